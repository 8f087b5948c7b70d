#pragma once

#include "render/charts/chart.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::render {

/// The uncertainty that is left after so much work.
struct ScheduleStep {
  double minutes = 0.0;
  double relative_uncertainty = 0.0;  ///< of the value: 0.05 is 5 %; `remark` says of which kind
  std::string where;                  ///< for a resting pointer: "1.50 m, height 0.92 m"
};

struct ScheduleChartInput : PictureWords {
  std::string quantity = "momentum flux";
  std::vector<ScheduleStep> plan;           ///< a step a sweep
  std::vector<ScheduleStep> evenly_spaced;  ///< the same from evenly spaced heights; may be empty
  std::optional<std::size_t> knee;          ///< index into plan: more work buys little from here on
  std::optional<double> target;             ///< relative uncertainty that is asked for
  std::optional<double> budget_minutes;
};

/// What each sweep of a plan buys: uncertainty to expect against minutes of work.
///
/// @throws InputError  the plan is empty, its knee is not in it, or an uncertainty is not > 0
[[nodiscard]] Canvas draw_schedule_chart(const ScheduleChartInput& input);

}  // namespace sweepflux::render
