#pragma once

#include <cstddef>
#include <string>

namespace sweepflux {

/// A row that gives no reading, with the reason ("missing value `---`", "over range `OL`", ...).
struct LeftOut {
  std::size_t line = 0;
  std::string reason;
  bool over_range = false;  ///< the true value is large, so the row must not be taken as calm
};

}  // namespace sweepflux
