#pragma once

#include "sweepflux/plan/stops.hpp"
#include "tests/bench/support/cases.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux::bench {

/// One sweep that a strategy wants.
struct WantedSweep {
  double distance_m = 0.0;
  double height_m = 0.0;
  std::vector<Stop> stops;
  std::optional<double> predicted_momentum_sd_n;  ///< after it, when the strategy says
};

/// What a strategy may know: no truth, only the rig, what the tester guesses, and the readings.
struct Situation {
  const Survey* survey = nullptr;  ///< with the sweeps taken so far
  double height_low_m = 0.0;       ///< the stand's limits
  double height_high_m = 0.0;
  std::vector<Stop> even_stops;  ///< what a tester without a plan would do at each height
  int total = 0;                 ///< sweeps to be taken in all
  test::Dice* dice = nullptr;
};

/// The next sweep, or nothing when the strategy would stop.
using Strategy = std::function<std::optional<WantedSweep>(const Situation&)>;

struct NamedStrategy {
  std::string name;
  bool nested = false;  ///< the first sweeps do not depend on how many will follow
  Strategy next;
};

/// A known field with a guess of where its middle is, and limits of the stand.
struct Scene {
  test::KnownField field;  ///< its middle is off the outlet's axis by a draw
  test::SurveyPlan plan;
  double height_low_m = 0.0;
  double height_high_m = 0.0;
};

/// A real fan does not blow where it points: the jet's middle is off by a draw of `off_sd_m` up or
/// down (not over a table), and the stand reaches 0.6 m to either side of the outlet's axis.
[[nodiscard]] Scene make_scene(const test::KnownField& field,
                               const test::SurveyPlan& plan,
                               double off_sd_m);

/// After so many sweeps: what the clock says and what the map says.
struct Stage {
  int sweeps = 0;
  double height_m = 0.0;  ///< of the last sweep
  double minutes = 0.0;   ///< since the start, by the rig's own times (plan/stops)
  std::optional<double> predicted_momentum_sd;  ///< relative to the truth
  std::optional<PlaneScore> score;             ///< of the plane asked for; nothing when refused
};

/// Takes sweeps one by one as the strategy says, and maps at each of `counts` (rising).
[[nodiscard]] std::vector<Stage> live_through(const Scene& scene,
                                              const NamedStrategy& strategy,
                                              const std::vector<int>& counts);

}  // namespace sweepflux::bench
