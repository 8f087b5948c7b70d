#pragma once

#include <string>
#include <string_view>

namespace sweepflux {

/// A cell as instruments send it: `0,39 m/s`, `+ 12 g ST`, `ST,GS,+ 12.3 g`.
struct MeasuredCell {
  std::string number;  ///< with its sign drawn to it; empty: there is none
  std::string unit;    ///< the word behind it; empty: none
};

/// Takes number and unit apart. Words of letters before the number, and anything from the second
/// word behind it on, are status and passed over.
[[nodiscard]] MeasuredCell split_measured_cell(std::string_view text);

}  // namespace sweepflux
