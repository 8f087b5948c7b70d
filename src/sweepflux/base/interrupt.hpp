#pragma once

#include <functional>

namespace sweepflux {

/// How a long calculation talks to whoever started it. Both may be empty.
struct Progress {
  /// Called now and then with what is being done, and the share of it that is done, 0 to 1.
  std::function<void(const char* what, double share)> report;
  /// Asked now and then; true stops the work with Interrupted.
  std::function<bool()> stop_wanted;
};

}  // namespace sweepflux
