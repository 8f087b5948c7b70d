#pragma once

#include "render/canvas/canvas.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux::render {

/// One stop of the rig as it was found in a log.
struct TraceDwell {
  double start_s = 0.0;  ///< the stop begins; from here to settled_s nothing counts
  double settled_s = 0.0;
  double end_s = 0.0;
  double mean_m_s = 0.0;
  double standard_error_m_s = 0.0;
  std::string name;  ///< "-12°"; shown where there is room
  bool used = true;  ///< false: left out, shown without shade of its own
};

struct TraceChartInput {
  std::string title;
  std::string subtitle;
  std::vector<double> time_s;     ///< not falling
  std::vector<double> speed_m_s;  ///< as many; not-a-number leaves a gap
  std::vector<TraceDwell> dwells;
  std::optional<double> starting_speed_m_s;
  std::string remark;
};

/// What a logger recorded: speed against time, dwells shaded, their means with twice the standard
/// error. Long logs are thinned to the highest and lowest value in each half pixel, so that no
/// spike gets lost.
///
/// @throws InputError  lists of different length, empty, or time running backwards
[[nodiscard]] Canvas draw_trace_chart(const TraceChartInput& input);

}  // namespace sweepflux::render
