#include "sweepflux/base/message_text.hpp"

#include "sweepflux/base/unit_text.hpp"

#include <cmath>

namespace sweepflux {

std::string percent_text(double share) {
  const double percent = 100.0 * share;
  return format_number(std::abs(percent) < 99.5 ? percent : std::round(percent),
                       std::abs(percent) < 99.5 ? 2 : 15) +
         " %";
}

std::string metres_text(double length_m) {
  return format_number(std::round(1e3 * length_m) / 1e3, 15) + " m";
}

std::string seconds_text(double time_s) { return format_number(time_s, 3) + " s"; }

}  // namespace sweepflux
