#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/field/general/method.hpp"
#include "sweepflux/judge/survey_result.hpp"

namespace sweepflux {

struct MapOptions {
  Method method = Method::automatic;
  double grid_step_m = 0.0;  ///< of the maps; 0: chosen from the half width
  int threads = 0;           ///< 0: as many as the machine has
  bool hold_out = true;      ///< predict each sweep from the others
  bool next_sweep = true;    ///< look for the best next sweep
};

/// The main job: readings to samples, samples to fields, fields to flow, momentum and power, all
/// with their uncertainty, and the check against the balance.
///
/// @throws InputError      the survey has no sweeps, or an option is out of range
/// @throws NumericalError  the readings give no answer; the message says why
/// @throws Interrupted     the user stopped it
[[nodiscard]] SurveyResult map_survey(const Survey& survey,
                                      const MapOptions& options = {},
                                      const Progress& progress = {});

}  // namespace sweepflux
