#pragma once

#include "tests/support/dice.hpp"

#include "scans/demo_surveys.hpp"

#include <vector>

namespace sweepflux::demo {

/// One row of a sweep as the logger had it, before it was written down in some dialect.
struct Row {
  double recorded_deg = 0.0;
  double speed_m_s = 0.0;   ///< 0 below the starting speed
  double spread_m_s = 0.0;  ///< standard deviation within the dwell
};

/// Errors that all readings of a survey share.
struct CommonErrors {
  double gain = 1.0;
  double offset_m_s = 0.0;
};
[[nodiscard]] CommonErrors draw_common_errors(test::Dice& dice);

/// Sweeps the fan before the probe: what a vane's head sees along its axis at each angle, with
/// noise of 3 % and 0.05 m/s, nothing below 0.3 m/s. Angles run far enough to see the stream end.
[[nodiscard]] std::vector<Row> measure(const DemoSurvey& survey,
                                       const DemoSweep& sweep,
                                       const CommonErrors& errors,
                                       test::Dice& dice);

/// Readings of the balance [g] while its zero moves evenly from nothing to the survey's drift.
[[nodiscard]] std::vector<double> weigh(const DemoSurvey& survey, test::Dice& dice);

}  // namespace sweepflux::demo
