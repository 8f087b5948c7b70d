#include "scans/measure.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux::demo {
namespace {

constexpr double starting_speed_m_s = 0.3;
constexpr double radian_per_degree = std::numbers::pi / 180.0;

/// Mean over the head's disc of the speed along the probe's axis, which points at the turntable's
/// axis: seven points, exact for polynomials to the fifth degree [Abramowitz 1964, 25.4.61].
double along_probe(const DemoSurvey& survey, const DemoSweep& sweep, double turn_rad) {
  const double c = std::cos(turn_rad);
  const double s = std::sin(turn_rad);
  const double ring_m = survey.head_diameter_m / 2 * std::sqrt(2.0 / 3.0);
  double sum = 0.0;
  for (int k = 0; k < 7; ++k) {
    const double t = (k - 1) * std::numbers::pi / 3.0;
    const double side_m = k == 0 ? 0.0 : ring_m * std::cos(t);
    const double up_m = k == 0 ? 0.0 : ring_m * std::sin(t);
    const double x_m = sweep.distance_m * c + side_m * s - survey.ahead_of_axis_m;
    const double y_m = -sweep.distance_m * s + side_m * c;
    const double z_m = sweep.height_m + up_m - survey.centre_height_m;
    const Velocity velocity = survey.stream(x_m, y_m, z_m);
    sum += (k == 0 ? 0.25 : 0.125) * (velocity.u_m_s * c - velocity.v_m_s * s);
  }
  return sum;
}

/// Wide enough to leave the stream, in whole degrees: it widens by less than it recedes.
double span_deg(const DemoSurvey& survey, const DemoSweep& sweep) {
  const bool tower = survey.fan == "teal";
  const double half_width_m =
      tower ? 0.03 + 0.1 * sweep.distance_m : 0.08 + 0.09 * sweep.distance_m;
  const double reach_m = survey.fan == "heron" ? 0.12 + 2.3 * half_width_m : 2.4 * half_width_m;
  return std::ceil(std::asin(reach_m / sweep.distance_m) / radian_per_degree);
}

}  // namespace

CommonErrors draw_common_errors(test::Dice& dice) {
  CommonErrors errors;
  errors.gain = 1.0 + dice.normal(0.015);
  errors.offset_m_s = dice.normal(0.02);
  return errors;
}

std::vector<Row> measure(const DemoSurvey& survey,
                         const DemoSweep& sweep,
                         const CommonErrors& errors,
                         test::Dice& dice) {
  const double drift = 1.0 + dice.normal(0.007);  // of the fan, from one sweep to the next
  const double span = span_deg(survey, sweep);
  constexpr int stops = 41;
  std::vector<Row> rows;
  for (int i = 0; i < stops; ++i) {
    const double turn_deg = -span + 2 * span * i / (stops - 1);
    const double truth = along_probe(survey, sweep, turn_deg * radian_per_degree);
    const double seen = errors.gain * drift * truth * (1.0 + dice.normal(0.03)) +
                        errors.offset_m_s + dice.normal(0.05);
    const double spread = (0.03 + 0.18 * std::max(truth, 0.0)) * (1.0 + dice.normal(0.1));
    const double recorded = survey.angle_zero_deg + (survey.clockwise ? -turn_deg : turn_deg);
    const bool turns = seen >= starting_speed_m_s;
    rows.push_back({recorded, turns ? seen : 0.0, turns ? spread : 0.0});
  }
  if (sweep.backwards) {
    std::reverse(rows.begin(), rows.end());
  }
  return rows;
}

std::vector<double> weigh(const DemoSurvey& survey, test::Dice& dice) {
  constexpr double gravity_m_s2 = 9.80665;
  constexpr int count = 5;
  const double thrust_g = survey.thrust_n / gravity_m_s2 * 1000.0;
  std::vector<double> readings_g;
  for (int i = 0; i < count; ++i) {
    const double zero_g = survey.zero_drift_g * (i + 1) / (count + 1);
    readings_g.push_back(thrust_g * (1.0 + dice.normal(0.006)) + zero_g);
  }
  return readings_g;
}

}  // namespace sweepflux::demo
