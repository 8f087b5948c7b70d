#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <functional>
#include <string>
#include <vector>

namespace sweepflux {

/// One unit that may have been mistaken for another.
struct UnitSlip {
  std::string what;    ///< "the speeds are in km/h, not in m/s"
  std::string remedy;  ///< what to change, and where
  double cost = 0.0;   ///< minus the logarithm of how often that befalls a survey
  std::function<void(Survey&)> mend;
};

/// Where the user wrote it all: keys are called otherwise in a balance session.
enum class Place { survey, session };

/// The usual mix-ups: m/s, ft/min, km/h, mph, kn, ft/s; deg and rad; mm, cm, m, in, ft; N, g, kg, oz, lb;
/// W, mW, kW; degC and degF; each of every quantity that bears on a survey's proportions. How often
/// they happen is common practice, no published source.
[[nodiscard]] std::vector<UnitSlip> possible_slips(const Survey& survey, Place place);

}  // namespace sweepflux
