#include "sweepflux/plan/stops.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

namespace sweepflux {
namespace {

constexpr double fine = 0.24, middle = 0.48, coarse = 0.8;  // of a half width
constexpr double core_ends = 1.6, flank_ends = 2.4, outer_ends = 3.2;
constexpr double short_dwell_from = 1.8;
constexpr double widest_turn = 70.0 * std::numbers::pi / 180.0;

Stop stop_at(const Survey& survey, double distance_m, double y_m, double dwell_s) {
  Stop s{y_m, survey.rig.settle_time_s, dwell_s};
  if (survey.rig.motion == Motion::swivel) {
    // Counter-clockwise turns bring the left side of the stream to the probe.
    const double turn = std::clamp(-std::atan2(y_m, distance_m), -widest_turn, widest_turn);
    // Steps of a twentieth of a degree are what a person can dial in.
    const double twentieth = std::numbers::pi / 3600.0;
    s.position = survey.rig.angle_zero_rad +
                 std::round((survey.rig.clockwise ? -turn : turn) / twentieth) * twentieth;
  }
  return s;
}

/// Rising, and none beyond the limits of the rig.
void finish_stops(std::vector<Stop>& stops, const Rig& rig) {
  if (rig.drive.limits) {
    std::erase_if(stops, [&limits = *rig.drive.limits](const Stop& stop) {
      return stop.position < limits.first || stop.position > limits.second;
    });
  }
  constexpr std::size_t fewest = 3;
  if (stops.size() < fewest) {
    throw NumericalError("the limits of the rig leave " + std::to_string(stops.size()) +
                         " stops of a sweep through the stream; widen [rig] limits, or move the "
                         "rig so that its middle faces the stream");
  }
  std::sort(stops.begin(), stops.end(), [](const Stop& a, const Stop& b) {
    return a.position < b.position;
  });
}

}  // namespace

std::vector<Stop> lay_out_stops(const Survey& survey,
                                double distance_m,
                                double height_m,
                                const ExpectedStream& stream) {
  const double a = stream.half_width_y_m;
  const bool outer = std::abs(height_m - stream.centre_z_m) > 1.8 * stream.half_width_z_m;
  const double end = outer ? flank_ends : outer_ends;
  std::vector<Stop> stops;
  const auto add = [&](double at) {
    const double dwell = survey.rig.dwell_time_s * (at > short_dwell_from ? 0.5 : 1.0);
    stops.push_back(stop_at(survey, distance_m, stream.centre_y_m + at * a, dwell));
    if (at > 0.0) {
      stops.push_back(stop_at(survey, distance_m, stream.centre_y_m - at * a, dwell));
    }
  };
  for (double at = 0.0; at <= end + 1e-9;) {
    add(at);
    at += at < core_ends - 1e-9 ? fine : at < flank_ends - 1e-9 ? middle : coarse;
  }
  finish_stops(stops, survey.rig);
  return stops;
}

double across_m(const Survey& survey, double distance_m, const Stop& stop) {
  if (survey.rig.motion == Motion::traverse) {
    return stop.position;
  }
  const double turn = stop.position - survey.rig.angle_zero_rad;
  return distance_m * std::tan(survey.rig.clockwise ? turn : -turn);
}

std::vector<Stop> even_stops(const Survey& survey,
                             double distance_m,
                             const ExpectedStream& stream) {
  std::vector<Stop> stops;
  const auto n = static_cast<int>(std::floor(outer_ends / fine));
  for (int i = -n; i <= n; ++i) {
    stops.push_back(stop_at(survey,
                            distance_m,
                            stream.centre_y_m + fine * i * stream.half_width_y_m,
                            survey.rig.dwell_time_s));
  }
  finish_stops(stops, survey.rig);
  return stops;
}

double sweep_minutes(const Rig& rig, const std::vector<Stop>& stops, Change change) {
  double seconds = rig.return_time_s;
  for (const Stop& s : stops) {
    seconds += rig.step_time_s + s.settle_s + s.dwell_s;
  }
  seconds += change == Change::height     ? rig.height_change_time_s
             : change == Change::distance ? rig.distance_change_time_s
                                          : 0.0;
  return seconds / 60.0;
}

}  // namespace sweepflux
