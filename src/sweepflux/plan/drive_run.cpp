#include "sweepflux/plan/drive_run.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/log/rests.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

void check_limits(const Rig& rig, const DriveRun& run, std::size_t order) {
  if (!rig.drive.limits) {
    return;
  }
  const auto [low, high] = *rig.drive.limits;
  const double rounding = rig.motion == Motion::swivel ? 0.005 * degree_rad : 5e-5;
  std::vector<double> places = {run.home, run.run_up};
  for (const DriveStop& stop : run.stops) {
    places.push_back(stop.position);
  }
  for (const double place : places) {
    if (place < low - rounding || place > high + rounding) {
      throw InputError("sweep " + std::to_string(order) + " would go to " +
                       place_text(place, rig.motion) + ", the limits of the rig are " +
                       place_text(low, rig.motion) + " to " + place_text(high, rig.motion));
    }
  }
}

}  // namespace

DriveRun drive_run(const Rig& rig, const PlannedSweep& sweep) {
  const bool swivel = rig.motion == Motion::swivel;
  const double unit = swivel ? degree_rad : 1.0;
  const auto rounded = [swivel](double position) {
    return swivel ? std::round(position / degree_rad * 100.0) / 100.0 * degree_rad
                  : std::round(position * 1e4) / 1e4;
  };
  DriveRun run;
  run.home = swivel ? rig.angle_zero_rad : 0.0;
  if (rig.drive.limits) {
    run.home = swivel ? run.home : std::clamp(0.0, rig.drive.limits->first, rig.drive.limits->second);
  }
  const double first = rounded(sweep.stops.front().position);
  const double up = sweep.stops.back().position >= first ? 1.0 : -1.0;
  run.run_up = first - up * (swivel ? 2.0 : 0.02) * unit;
  if (rig.drive.limits) {
    run.run_up = std::clamp(run.run_up, rig.drive.limits->first, rig.drive.limits->second);
    run.run_up = up > 0.0 ? std::min(run.run_up, first) : std::max(run.run_up, first);
  }
  double at = run.home;
  double now_s = 0.0;
  const auto go = [&](double place) {
    const double move_s = std::abs(place - at) / rig.drive.feed;
    at = place;
    return move_s;
  };
  now_s += go(run.run_up);
  for (const Stop& stop : sweep.stops) {
    DriveStop one;
    one.position = rounded(stop.position);
    one.start_s = now_s;
    one.move_s = go(one.position);
    one.settle_s = stop.settle_s;
    one.dwell_s = stop.dwell_s;
    now_s += one.move_s + one.settle_s + one.dwell_s;
    run.stops.push_back(one);
  }
  run.seconds = now_s + go(run.home);
  check_limits(rig, run, sweep.order);
  return run;
}

long motor_steps(const Drive& drive, double position) {
  return std::lround(position / drive.step.value_or(1.0));
}

}  // namespace sweepflux
