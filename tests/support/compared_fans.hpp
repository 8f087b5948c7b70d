#pragma once

#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/rank/fan_at_setting.hpp"

#include <string>
#include <utility>

namespace sweepflux::test {

/// One fan at one setting, weighed.
inline FanAtSetting on_balance(
    std::string fan, std::string setting, double thrust_n, double u_n, double power_w = 0.0) {
  FanAtSetting e;
  e.fan = std::move(fan);
  e.setting = std::move(setting);
  e.source = e.fan + "-" + e.setting;
  e.thrust_n = symmetric_estimate(thrust_n, u_n);
  if (power_w > 0.0) {
    e.power_w = Measured{power_w, 0.01 * power_w};
  }
  e.density_kg_m3 = Measured{1.2, 0.002};
  e.outlet = Outlet{};
  e.outlet->diameter_m = 0.4;
  e.outlet->centre_height_m = 0.9;
  return e;
}

/// A plane; `probe` is the relative standard uncertainty that the probe puts on the flow.
inline PlaneFacts plane(double downstream_m,
                        double flow,
                        double flow_u,
                        double momentum,
                        double u,
                        double probe = 0.0) {
  PlaneFacts p;
  p.distance_m = downstream_m + 0.1;
  p.downstream_m = downstream_m;
  p.volume_flow_m3_s = symmetric_estimate(flow, flow_u);
  p.momentum_flux_n = symmetric_estimate(momentum, u);
  p.kinetic_power_w = symmetric_estimate(momentum, u);
  p.probe_share_of_flow = probe;
  p.probe_share_of_momentum = 2.0 * probe;
  p.peak_speed_m_s = 3.0 / downstream_m;
  p.centre = {0.0, 0.9};
  p.half_width_y_m = p.half_width_z_m = 0.1 * downstream_m;
  return p;
}

}  // namespace sweepflux::test
