#include "sweepflux/rank/growth.hpp"

#include "sweepflux/rank/campaign_check.hpp"
#include "sweepflux/rank/throw.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// Weighted straight line through flow against distance: slope and its own uncertainty.
Measured slope_of(const std::vector<PlaneFacts>& planes) {
  double w_sum = 0.0, x_mean = 0.0, q_mean = 0.0;
  std::vector<double> weight;
  for (const PlaneFacts& p : planes) {
    const double q = p.volume_flow_m3_s.value;
    const double own = own_uncertainty(p.volume_flow_m3_s, p.probe_share_of_flow);
    weight.push_back(1.0 / (own * own));
    w_sum += weight.back();
    x_mean += weight.back() * p.downstream_m;
    q_mean += weight.back() * q;
  }
  x_mean /= w_sum;
  q_mean /= w_sum;
  double sxx = 0.0, sxq = 0.0;
  for (std::size_t i = 0; i < planes.size(); ++i) {
    const double dx = planes[i].downstream_m - x_mean;
    sxx += weight[i] * dx * dx;
    sxq += weight[i] * dx * (planes[i].volume_flow_m3_s.value - q_mean);
  }
  return {sxq / sxx, 1.0 / std::sqrt(sxx)};
}

}  // namespace

Growth growth_of(const FanAtSetting& fan) {
  Growth growth;
  growth.planes = fan.planes.size();
  const bool known = !fan.planes.empty() &&
                     std::all_of(fan.planes.begin(), fan.planes.end(), [](const PlaneFacts& p) {
                       return p.volume_flow_m3_s.standard_uncertainty > 0.0;
                     });
  if (fan.planes.size() >= 2 && known &&
      fan.planes.back().downstream_m - fan.planes.front().downstream_m > 0.01) {
    Measured slope = slope_of(fan.planes);
    double probe = 0.0;
    for (const PlaneFacts& p : fan.planes) {
      probe = std::max(probe, p.probe_share_of_flow);
    }
    slope.standard_uncertainty = std::hypot(slope.standard_uncertainty, probe * slope.value);
    growth.per_metre_m2_s = slope;
    if (fan.thrust_n && fan.density_kg_m3 && fan.thrust_n->value > 0.0) {
      const double v = std::sqrt(fan.thrust_n->value / fan.density_kg_m3->value);
      const double e = slope.value / v;
      const double v_relative = 0.5 * fan.thrust_n->standard_uncertainty / fan.thrust_n->value;
      growth.entrainment = Measured{e, std::hypot(slope.standard_uncertainty / v, e * v_relative)};
    }
  }
  if (fan.thrust_n && fan.density_kg_m3 && fan.outlet && fan.thrust_n->value > 0.0) {
    StreamSource source;
    source.thrust_n = {fan.thrust_n->value, fan.thrust_n->standard_uncertainty};
    source.density_kg_m3 = *fan.density_kg_m3;
    source.outlet = *fan.outlet;
    const Measured outlet = thrust_derived_flow_m3_s(source);
    growth.outlet_flow_m3_s = outlet;
    for (const PlaneFacts& p : fan.planes) {
      growth.dragged_m3_s.push_back(
          {p.volume_flow_m3_s.value - outlet.value,
           std::hypot(p.volume_flow_m3_s.standard_uncertainty, outlet.standard_uncertainty)});
    }
  }
  return growth;
}

}  // namespace sweepflux
