#pragma once

#include <string>

namespace sweepflux {

/// A share as messages print it, two significant digits and from 99.5 % on whole percent: "4.2 %".
[[nodiscard]] std::string percent_text(double share);

/// A length as messages print it, to the millimetre and without zeros at its end: "1.5 m".
[[nodiscard]] std::string metres_text(double length_m);

/// A time as messages print it, three significant digits: "8.25 s".
[[nodiscard]] std::string seconds_text(double time_s);

}  // namespace sweepflux
