#pragma once

#include "sweepflux/base/unit_text.hpp"

#include <span>
#include <string_view>

namespace sweepflux {

/// One spelling of one unit.
struct UnitSpelling {
  std::string_view text;
  UnitScale scale;
  bool shown = false;  ///< in messages; the others are spellings of the same
};

/// Every spelling that is understood: the only table of conversion factors.
[[nodiscard]] std::span<const UnitSpelling> unit_table();

}  // namespace sweepflux
