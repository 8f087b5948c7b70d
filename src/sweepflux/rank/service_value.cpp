#include "sweepflux/rank/service_value.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/integrate/rings.hpp"
#include "sweepflux/rank/fan_at_setting.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <utility>

namespace sweepflux {
namespace {

constexpr double first_station_m = 0.020;
constexpr double pitch_m = 0.040;
constexpr double limit_m_s = 0.4;
constexpr double wanted_diameters = 3.0;

/// Straight between the places; empty beyond the last.
std::optional<double> speed_at(std::span<const double> across_m,
                               std::span<const double> speed_m_s,
                               double at_m) {
  const auto after = std::lower_bound(across_m.begin(), across_m.end(), at_m);
  const auto i = static_cast<std::size_t>(after - across_m.begin());
  if (i == across_m.size() || (i == 0 && across_m[0] > at_m)) {
    return std::nullopt;
  }
  if (i == 0) {
    return speed_m_s[0];
  }
  const double w = (at_m - across_m[i - 1]) / (across_m[i] - across_m[i - 1]);
  return (1.0 - w) * speed_m_s[i - 1] + w * speed_m_s[i];
}

const PlaneResult* nearest_plane(const SurveyResult& result, double wanted_m) {
  return nearest_of(result.planes, [&](const PlaneResult& p) {
    const bool usable =
        !p.samples.samples.empty() && !p.map.speed_m_s.empty() && p.withheld.empty();
    return usable ? std::optional(std::abs(p.downstream_m - wanted_m)) : std::nullopt;
  });
}

struct Line {
  double height_m = 0.0;
  std::vector<double> across_m;
  std::vector<double> speed_m_s;
  std::vector<double> noise_m_s;
};

/// The sweep nearest to the outlet's axis, places counted from it; censored readings are calm to
/// this rule, whose own limit lies above what they can hide.
Line axis_line(const PlaneResult& plane) {
  const PlaneSamples& s = plane.samples;
  const auto nearest = std::min_element(
      s.sweeps.begin(), s.sweeps.end(), [&](const PlacedSweep& a, const PlacedSweep& b) {
        return std::abs(a.height_m - s.outlet_centre.z_m) <
               std::abs(b.height_m - s.outlet_centre.z_m);
      });
  std::vector<Sample> places;
  std::copy_if(
      s.samples.begin(), s.samples.end(), std::back_inserter(places), [&](const Sample& p) {
        return p.sweep == nearest - s.sweeps.begin();
      });
  std::sort(places.begin(), places.end(), [](const Sample& a, const Sample& b) {
    return a.at.y_m < b.at.y_m;
  });
  Line line;
  line.height_m = s.sweeps.empty() ? 0.0 : nearest->height_m;
  for (const Sample& place : places) {
    const double across_m = place.at.y_m - s.outlet_centre.y_m;
    if (line.across_m.empty() || across_m > line.across_m.back()) {
      line.across_m.push_back(across_m);
      line.speed_m_s.push_back(place.censored ? 0.0 : place.speed_m_s);
      line.noise_m_s.push_back(place.censored ? 0.0 : place.noise_m_s);
    }
  }
  return line;
}

/// Of the rings' flow, as this rule defines it: noise of the readings through the change that each
/// makes, then what all share: scale, offset, drift of the sweep, distance.
double ring_uncertainty(const Line& line, const CommonErrors& common, double gain_sd, double flow) {
  constexpr double step_m_s = 0.01;
  const auto changed_by = [&](const std::vector<double>& change_m_s) {
    std::vector<double> speed = line.speed_m_s;
    for (std::size_t i = 0; i < speed.size(); ++i) {
      speed[i] = std::max(0.0, speed[i] + change_m_s[i]);
    }
    return ring_flow(line.across_m, speed).flow_m3_s - flow;
  };
  double u = 0.0;
  for (std::size_t i = 0; i < line.speed_m_s.size(); ++i) {
    std::vector<double> change(line.speed_m_s.size(), 0.0);
    change[i] = step_m_s;
    u = std::hypot(u, changed_by(change) / step_m_s * line.noise_m_s[i]);
  }
  const double offset = std::hypot(common.offset_m_s, common.ambient_m_s);
  if (offset > 0.0) {
    u = std::hypot(u, changed_by(std::vector<double>(line.speed_m_s.size(), offset)));
  }
  return std::hypot(u, std::hypot(common.scale, gain_sd) * flow);
}

double flow_above_limit(const PlaneMap& map) {
  double sum = 0.0;
  for (const double u : map.speed_m_s) {
    sum += u >= limit_m_s ? u : 0.0;
  }
  return sum * map.step_m * map.step_m;
}

std::string flow_text(double flow) { return format_number(flow, 3) + " m3/s"; }

void explain(ServiceValue& v) {
  const double map = v.map_flow_m3_s.value;
  const double outer = map - v.map_flow_above_limit_m3_s;
  v.differences.push_back(
      "The rings stop where the air is slower than 0.4 m/s; the map counts the "
      "slow outer region too, " +
      flow_text(outer) + " of its " + flow_text(map) + ".");
  const double shape = v.rings.flow_m3_s - v.map_flow_above_limit_m3_s;
  v.differences.push_back(
      "The rings take one level line for the whole round stream, centred on the outlet's axis; a "
      "stream that is not round, or lies beside the axis, gives them " +
      flow_text(std::abs(shape)) + (shape < 0.0 ? " less" : " more") +
      " than the map has above that speed.");
  if (std::abs(v.downstream_m - v.wanted_m) > 0.05 * v.wanted_m) {
    v.differences.push_back("The rule wants the plane at three diameters, " +
                            format_number(v.wanted_m, 3) + " m; the nearest here is at " +
                            format_number(v.downstream_m, 3) + " m, and flow grows with distance.");
  }
  if (v.rings.ran_out) {
    v.differences.emplace_back(
        "The sweep ended before the speed fell below 0.4 m/s, so rings are "
        "missing.");
  }
}

}  // namespace

RingFlow ring_flow(std::span<const double> across_m, std::span<const double> speed_m_s) {
  if (across_m.size() < 2 || across_m.size() != speed_m_s.size() ||
      std::adjacent_find(across_m.begin(), across_m.end(), std::greater_equal<>()) !=
          across_m.end()) {
    throw InputError(
        "flow by rings needs two places across the axis or more, rising, each with "
        "its speed");
  }
  RingFlow flow;
  std::vector<double> radius_m, mean_m_s;
  bool open[2] = {true, true};
  while (open[0] || open[1]) {
    const double radius = first_station_m + pitch_m * static_cast<double>(radius_m.size());
    double mean = 0.0;
    for (const int side : {0, 1}) {
      if (!open[side]) {
        continue;
      }
      const auto speed = speed_at(across_m, speed_m_s, side == 0 ? -radius : radius);
      if (!speed || *speed < limit_m_s) {
        open[side] = false;
        flow.ran_out = flow.ran_out || !speed;
        continue;
      }
      mean += 0.5 * *speed;
      (side == 0 ? flow.edge_left_m : flow.edge_right_m) = radius + 0.5 * pitch_m;
    }
    // The last station is the one without air, so that the ring before it ends halfway to it.
    radius_m.push_back(radius);
    mean_m_s.push_back(mean);
    flow.rings += mean > 0.0 ? 1 : 0;
  }
  if (flow.rings > 0) {
    flow.flow_m3_s = ring_sum(radius_m, mean_m_s).flow_m3_s;
  }
  return flow;
}

std::optional<ServiceValue> service_value(const SurveyResult& result) {
  const Outlet& outlet = result.survey.outlet;
  if (outlet.shape != OutletShape::round || !(outlet.diameter_m > 0.0)) {
    return std::nullopt;
  }
  ServiceValue v;
  v.wanted_m = wanted_diameters * outlet.diameter_m;
  const PlaneResult* plane = nearest_plane(result, v.wanted_m);
  if (!plane) {
    return std::nullopt;
  }
  const Line line = axis_line(*plane);
  if (line.across_m.size() < 2) {
    return std::nullopt;
  }
  v.downstream_m = plane->downstream_m;
  v.height_m = line.height_m;
  v.rings = ring_flow(line.across_m, line.speed_m_s);
  v.ring_uncertainty_m3_s = ring_uncertainty(
      line, plane->samples.common, plane->samples.sweep_gain_sd, v.rings.flow_m3_s);
  v.map_flow_m3_s = plane->volume_flow_m3_s;
  v.map_flow_above_limit_m3_s = flow_above_limit(plane->map);
  if (outlet.power_w && outlet.power_w->value > 0.0) {
    const Measured& p = *outlet.power_w;
    const double per_minute = 60.0 / p.value;
    const double power_u = p.standard_uncertainty / p.value;
    const Estimate& q = v.map_flow_m3_s;
    v.ring_value_m3_min_w =
        Measured{v.rings.flow_m3_s * per_minute,
                 per_minute * std::hypot(v.ring_uncertainty_m3_s, v.rings.flow_m3_s * power_u)};
    v.map_value_m3_min_w = Measured{
        q.value * per_minute, per_minute * std::hypot(q.standard_uncertainty, q.value * power_u)};
  }
  explain(v);
  return v;
}

}  // namespace sweepflux
