#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace sweepflux::bench {

/// Two populations of surveys with nothing wrong in them, alike in nothing but the day: a desk fan to a
/// big circulator, swivel or traverse, one to three planes, one to nine heights, with or without power,
/// balance and fan-off reading. Thresholds may be chosen with `handbook` in sight, never with
/// `known_fields`, which is to judge them.
enum class Population {
  handbook,     ///< handbook profiles of a spread and a virtual origin of their own
  known_fields  ///< those of tests/support/known_fields.hpp, all lists, made larger, smaller, faster
};

/// The same seed gives the same survey anywhere.
[[nodiscard]] Survey any_survey(Population population, std::uint64_t seed);

/// What befell a survey.
struct Mistake {
  std::string group;  ///< "speed ft/min", "angle", "distance", ...
  std::string fits;   ///< what a message that names it holds, "in km/h, not in m/s"
};

/// Reads one quantity of a right survey in a wrong unit. Which one follows from the seed: of ten four
/// are speeds (ft/min, km/h, mph, kn, either way), two angles or places across, three other lengths
/// (mm, cm, m), one power or balance.
[[nodiscard]] Mistake mistake_one_unit(Survey& survey, std::uint64_t seed);

}  // namespace sweepflux::bench
