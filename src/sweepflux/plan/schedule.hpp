#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/plan/effort.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// What the sweeps are to make certain.
enum class PlanTarget { momentum, flow, map };

struct PlanOptions {
  std::optional<double> budget_s;      ///< time there is; none: until the target, or 15 sweeps
  std::optional<double> wished_share;  ///< wished standard uncertainty of the target, relative
  PlanTarget of = PlanTarget::momentum;
  std::size_t count = 0;  ///< sweeps wanted at most; 0: as budget or target say
  int threads = 0;
};

/// One sweep of a schedule, with the uncertainty to expect once it is made: standard uncertainty
/// of the plane of this sweep, as a share of the value expected now times that value.
struct PlannedSweep {
  std::size_t order = 1;
  double distance_m = 0.0;
  double height_m = 0.0;
  std::vector<Stop> stops;
  double minutes = 0.0;
  double elapsed_minutes = 0.0;
  double momentum_uncertainty_after_n = 0.0;
  double flow_uncertainty_after_m3_s = 0.0;
  double target_share_after = 0.0;  ///< relative standard uncertainty of the target, worst plane
};

/// A point of the chart: so much after so many minutes.
struct PlanPoint {
  double minutes = 0.0;
  double target_share = 0.0;
};

struct Schedule {
  std::vector<PlannedSweep> sweeps;
  bool before_any_data = true;
  bool stop = false;                 ///< the wished uncertainty is reached: no sweep is needed
  std::string why;                   ///< one or two sentences
  std::vector<std::string> reasons;  ///< for the distances and heights
  std::vector<std::string> caveats;
  double target_share_now = 0.0;   ///< before the first sweep planned here
  std::vector<PlanPoint> planned;  ///< best order
  std::vector<PlanPoint> even;     ///< evenly spaced heights at the same minutes, for comparison
  std::size_t knee = 0;            ///< index into `planned`: beyond it little is gained
  double minutes_saved_by_stops = 0.0;  ///< by coarser steps and shorter dwells in the skirt
};

/// Which sweeps to make: before the first from outlet, room, rig and a rough speed; after some
/// from the fitted field itself. Greedy by variance taken per minute in closed form, so every
/// prefix is the best found for its time. Several distances share one model of the stream, so the
/// heights stagger by themselves in scaled coordinates.
///
/// @throws InputError      an option is out of range, or the survey lacks what a plan needs
/// @throws NumericalError  room or time cannot give an answer worth having; the message says why
[[nodiscard]] Schedule plan_sweeps(const Survey& survey,
                                   const PlanOptions& options,
                                   const Progress& progress = {});

}  // namespace sweepflux
