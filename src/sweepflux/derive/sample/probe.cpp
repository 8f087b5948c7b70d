#include "sweepflux/derive/sample/probe.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {

Calibration::Calibration(std::vector<std::pair<double, double>> pairs) : pairs_(std::move(pairs)) {
  if (pairs_.size() == 1) {
    throw InputError(
        "probe.calibration has one pair only; give at least two (true, indicated), or none");
  }
  for (std::size_t i = 0; i < pairs_.size(); ++i) {
    const bool finite = std::isfinite(pairs_[i].first) && std::isfinite(pairs_[i].second);
    const bool rising = i == 0 || (pairs_[i].first > pairs_[i - 1].first &&
                                   pairs_[i].second > pairs_[i - 1].second);
    if (!finite || !rising) {
      throw InputError("probe.calibration does not rise at pair " + std::to_string(i + 1) +
                       "; both the true and the indicated speed must grow from pair to pair");
    }
  }
}

std::size_t Calibration::piece(double indicated_m_s) const {
  const auto above = std::upper_bound(
      pairs_.begin() + 1,
      pairs_.end() - 1,
      indicated_m_s,
      [](double value, const std::pair<double, double>& pair) { return value < pair.second; });
  return static_cast<std::size_t>(above - pairs_.begin()) - 1;
}

double Calibration::slope(double indicated_m_s) const {
  if (pairs_.empty()) {
    return 1.0;
  }
  const std::size_t i = piece(indicated_m_s);
  return (pairs_[i + 1].first - pairs_[i].first) / (pairs_[i + 1].second - pairs_[i].second);
}

double Calibration::speed_m_s(double indicated_m_s) const {
  if (pairs_.empty()) {
    return indicated_m_s;
  }
  const std::size_t i = piece(indicated_m_s);
  const double speed = pairs_[i].first + slope(indicated_m_s) * (indicated_m_s - pairs_[i].second);
  return indicated_m_s >= 0.0 ? std::max(0.0, speed) : speed;
}

double yaw_correction(Response response, double yaw_rad) {
  return response == Response::cosine ? 1.0 / std::cos(yaw_rad) : 1.0;
}

bool below_start(const Probe& probe, double speed_m_s) {
  // The margin forgives rounding by a change of units, nothing more.
  return probe.starting_speed_m_s > 0.0 &&
         std::abs(speed_m_s) < probe.starting_speed_m_s * (1.0 - 1e-9);
}

ProbePlace place_probe(
    const Rig& rig, const Outlet& outlet, double distance_m, double height_m, double position) {
  if (rig.motion == Motion::traverse) {
    return {outlet.ahead_of_axis_m + distance_m, position, height_m, 0.0};
  }
  // The remainder lets a sweep run across +-180 degrees of the turntable's own scale.
  const double recorded = std::remainder(position - rig.angle_zero_rad, 2.0 * std::numbers::pi);
  const double turn = rig.clockwise ? -recorded : recorded;
  // "0.0 -" keeps a minus zero out of the results.
  return {distance_m * std::cos(turn), 0.0 - distance_m * std::sin(turn), height_m, turn};
}

OnPlane carry_to_plane(const ProbePlace& place, const Outlet& outlet, double downstream_m) {
  const double stretch = downstream_m / (place.x_m - outlet.ahead_of_axis_m);
  const double z0 = outlet.centre_height_m;
  return {{stretch * place.y_m, z0 + stretch * (place.z_m - z0)}, 1.0 / stretch};
}

double downstream_of_outlet_m(const Rig& rig, const Outlet& outlet, double distance_m) {
  return rig.motion == Motion::swivel ? distance_m - outlet.ahead_of_axis_m : distance_m;
}

}  // namespace sweepflux
