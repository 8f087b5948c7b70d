#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/judge/suspects_private.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sweepflux {
namespace {

/// Tilt makes the balance read T cos(tilt), 1 % low at 8 degrees. Friction, stiff cables: common
/// practice, no published source. Gravity: 9.780 to 9.832 m/s2 over the earth.
Suspect balance(const CheckedPlanes& c) {
  Suspect s{"tilt, friction or cable at the balance", {}, {}, 0.85, false};
  s.shift.assign(c.planes.size(), {-0.02, 0.03});
  s.text.assign(c.planes.size(),
                "At the balance a tilt of 8 degrees makes the thrust 1 % low, friction and a stiff "
                "cable 1 to 2 % high or low, gravity elsewhere than where the scale was adjusted "
                "up to 0.3 %.");
  return s;
}

double typical_ratio(const CheckedPlanes& c) {
  std::vector<double> sorted = c.ratio;
  std::sort(sorted.begin(), sorted.end());
  return sorted[sorted.size() / 2];
}

/// Whether a factor on momentum / thrust would bring all planes near one.
bool fits(double ratio, double factor) { return std::abs(std::log(ratio / factor)) < 0.3; }

/// The best-fitting slip of a speed's unit, when the gap is gross.
std::vector<Suspect> unit_slips(const CheckedPlanes& c) {
  struct Slip {
    const char* unit;
    double factor;  ///< in m/s
  };
  constexpr std::array<Slip, 5> units{{{"km/h", 1.0 / 3.6},
                                       {"mph", 0.44704},
                                       {"kn", 1852.0 / 3600.0},
                                       {"ft/s", 0.3048},
                                       {"ft/min", 0.00508}}};
  const double ratio = typical_ratio(c);
  if (!(ratio > 0.0) || std::abs(std::log(ratio)) < std::log(2.0)) {
    return {};
  }
  std::vector<Suspect> found;
  for (const Slip& unit : units) {
    const double as_metres = 1.0 / (unit.factor * unit.factor);
    for (const bool taken_for_metres : {true, false}) {
      const double factor = taken_for_metres ? as_metres : 1.0 / as_metres;
      if (!fits(ratio, factor)) {
        continue;
      }
      const std::string from = taken_for_metres ? unit.unit : "m/s";
      const std::string to = taken_for_metres ? "m/s" : unit.unit;
      Suspect s{"unit of the speeds", {}, {}, 1.0, false};
      s.shift.assign(c.planes.size(), {factor - 1.0, factor - 1.0});
      s.text.assign(c.planes.size(),
                    "Speeds in " + from + " that were read as " + to + " would make the ratio " +
                        format_number(factor, 3) + "; it is " + format_number(ratio, 3) + ".");
      found.push_back(std::move(s));
    }
  }
  return found;
}

/// A lever ratio turned upside down divides and multiplies: its square.
std::vector<Suspect> lever_slip(const CheckedPlanes& c) {
  if (!c.survey.balance || std::abs(std::log(c.survey.balance->lever_ratio)) < 0.05) {
    return {};
  }
  const double lever = c.survey.balance->lever_ratio;
  // As written: thrust = force / lever. Meant: thrust = force * lever.
  const double factor = lever * lever;
  if (!fits(typical_ratio(c), factor)) {
    return {};
  }
  Suspect s{"lever ratio upside down", {}, {}, 0.95, false};
  s.shift.assign(c.planes.size(), {factor - 1.0, factor - 1.0});
  s.text.assign(c.planes.size(),
                "lever_ratio is scale force / thrust; written the other way round, " +
                    format_number(lever, 3) + " makes the ratio " + format_number(factor, 3) + ".");
  return {s};
}

}  // namespace

std::vector<Suspect> balance_suspects(const CheckedPlanes& checked) {
  std::vector<Suspect> all{balance(checked)};
  for (Suspect& s : unit_slips(checked)) {
    all.push_back(std::move(s));
  }
  for (Suspect& s : lever_slip(checked)) {
    all.push_back(std::move(s));
  }
  return all;
}

}  // namespace sweepflux
