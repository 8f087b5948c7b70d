#include "sweepflux/rank/fan_at_setting.hpp"

#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/service_value.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double same_distance = 0.05;  // relative; a stream changes about as much over it

std::optional<Profile> profile_through_centre(const PlaneResult& plane) {
  const PlaneMap& map = plane.map;
  if (map.ny < 2 || map.nz < 1 || !(map.step_m > 0.0)) {
    return std::nullopt;
  }
  const double row = std::round((plane.centre.z_m - map.z_min_m) / map.step_m);
  const auto iz = static_cast<std::size_t>(std::clamp(row, 0.0, static_cast<double>(map.nz - 1)));
  Profile profile;
  profile.from_map = true;
  profile.height_m = map.z_min_m + static_cast<double>(iz) * map.step_m;
  for (std::size_t iy = 0; iy < map.ny; ++iy) {
    const std::size_t at = iz * map.ny + iy;
    profile.across_m.push_back(map.y_min_m + static_cast<double>(iy) * map.step_m);
    profile.speed_m_s.push_back(map.speed_m_s[at]);
    profile.uncertainty_m_s.push_back(map.uncertainty_m_s[at]);
    if (!map.low_m_s.empty()) {
      profile.low_m_s.push_back(map.low_m_s[at]);
      profile.high_m_s.push_back(map.high_m_s[at]);
    }
  }
  return profile;
}

PlaneFacts facts_of(const PlaneResult& plane) {
  PlaneFacts facts;
  facts.distance_m = plane.distance_m;
  facts.downstream_m = plane.downstream_m;
  facts.volume_flow_m3_s = plane.volume_flow_m3_s;
  facts.momentum_flux_n = plane.momentum_flux_n;
  facts.kinetic_power_w = plane.kinetic_power_w;
  facts.flow_extrapolated = plane.flow_extrapolated;
  facts.peak_speed_m_s = plane.peak_speed_m_s;
  facts.centre = plane.centre;
  facts.half_width_y_m = plane.half_width_y_m;
  facts.half_width_z_m = plane.half_width_z_m;
  facts.warnings = plane.warnings;
  facts.profile = profile_through_centre(plane);
  facts.map = plane.map;
  for (const BudgetRow& row : plane.budget) {
    if (row.source == "probe scale" || row.source == "probe offset") {
      const double flow = std::abs(plane.volume_flow_m3_s.value);
      const double momentum = std::abs(plane.momentum_flux_n.value);
      if (flow > 0.0) {
        facts.probe_share_of_flow =
            std::hypot(facts.probe_share_of_flow, row.volume_flow_m3_s / flow);
      }
      if (momentum > 0.0) {
        facts.probe_share_of_momentum =
            std::hypot(facts.probe_share_of_momentum, row.momentum_flux_n / momentum);
      }
    }
  }
  return facts;
}

/// What distinguishes one balance from another, as far as a survey describes it.
std::string balance_text(const Survey& survey) {
  if (!survey.balance) {
    return {};
  }
  const Balance& b = *survey.balance;
  return "lever " + format_number(b.lever_ratio, 6) + " +- " +
         format_number(b.lever_ratio_uncertainty, 6) + ", steps of " +
         format_number(b.resolution_n, 6) + " N";
}

/// Of the stream as a whole; the simpler methods know planes only, whose errors are mostly common,
/// so their mean is no better than the best of them.
std::optional<Estimate> momentum_of(const SurveyResult& result,
                                    const std::vector<PlaneFacts>& planes) {
  if (planes.empty()) {
    return std::nullopt;
  }
  if (result.stream) {
    return result.stream->momentum_flux_n;
  }
  double sum = 0.0, u = planes.front().momentum_flux_n.standard_uncertainty;
  for (const PlaneFacts& p : planes) {
    sum += p.momentum_flux_n.value;
    u = std::min(u, p.momentum_flux_n.standard_uncertainty);
  }
  return symmetric_estimate(sum / static_cast<double>(planes.size()), u);
}

/// Spread over speed of the dwells in the faster half of each sweep: the middle one, known as well
/// as those scatter. A probe's lag hides quick gusts, so it is a lower bound where the lag is long.
std::optional<Measured> turbulence_of(const std::vector<Sweep>& sweeps) {
  std::vector<double> intensity;
  for (const Sweep& sweep : sweeps) {
    double peak = 0.0;
    for (const Reading& r : sweep.readings) {
      peak = std::max(peak, r.speed_m_s);
    }
    for (const Reading& r : sweep.readings) {
      if (r.spread_m_s && r.speed_m_s > 0.5 * peak && *r.spread_m_s > 0.0) {
        intensity.push_back(*r.spread_m_s / r.speed_m_s);
      }
    }
  }
  if (intensity.size() < 3) {
    return std::nullopt;
  }
  return Measured{median(intensity),
                  robust_scale(intensity) / std::sqrt(static_cast<double>(intensity.size()))};
}

}  // namespace

std::string FanAtSetting::name() const {
  return fan + (setting.empty() ? "" : " at " + setting) +
         (variant.empty() ? "" : ", " + variant);
}

std::string FanAtSetting::series() const {
  return fan + (variant.empty() ? "" : ", " + variant);
}

std::optional<double> setting_number(const std::string& setting) {
  std::string_view text = setting;
  while (!text.empty() && (text.back() == '%' || text.back() == ' ')) {
    text.remove_suffix(1);
  }
  const auto number = parse_number(text);
  return number && std::isfinite(*number) ? number : std::nullopt;
}

FanAtSetting summarise(const SurveyResult& result) {
  const Survey& survey = result.survey;
  FanAtSetting fan;
  fan.title = survey.title;
  fan.fan = survey.fan;
  fan.setting = survey.setting;
  fan.variant = survey.variant;
  fan.source = survey.file.string();
  fan.density_kg_m3 = result.density_kg_m3;
  fan.outlet = survey.outlet;
  fan.room = survey.room;
  if (std::isfinite(survey.air.temperature_k.value)) {
    fan.air_temperature_k = survey.air.temperature_k;
  }
  fan.power_w = survey.outlet.power_w;
  fan.sound = survey.outlet.sound;
  fan.seat = survey.seat;
  fan.thrust_n = result.thrust_n;
  fan.lever_share = survey.balance ? survey.balance->lever_ratio_uncertainty : 0.0;
  fan.balance = balance_text(survey);
  // A table of results from before probes were described in it leaves this one as it was made.
  if (survey.probe.scale_uncertainty > 0.0 || survey.probe.head_diameter_m > 0.0) {
    fan.probe = survey.probe;
  }
  fan.turbulence = turbulence_of(survey.sweeps);
  fan.warnings = result.warnings;
  if (const auto service = service_value(result)) {
    fan.ring_value_m3_min_w = service->ring_value_m3_min_w;
  }
  for (const PlaneResult& plane : result.planes) {
    if (plane.withheld.empty()) {  // else there is nothing to compare
      fan.planes.push_back(facts_of(plane));
    }
    fan.readings += plane.readings;
    fan.left_out += plane.left_out;
  }
  std::stable_sort(fan.planes.begin(), fan.planes.end(), [](const auto& a, const auto& b) {
    return a.downstream_m < b.downstream_m;
  });
  fan.momentum_flux_n = momentum_of(result, fan.planes);
  return fan;
}

std::vector<LoneSweep> lone_sweeps_of(const std::vector<PlaneSamples>& planes,
                                      const std::string& why) {
  std::vector<LoneSweep> lone;
  for (const PlaneSamples& plane : planes) {
    for (std::size_t i = 0; i < plane.sweeps.size(); ++i) {
      std::vector<const Sample*> line;
      for (const Sample& s : plane.samples) {
        if (static_cast<std::size_t>(s.sweep) == i && !s.censored) {
          line.push_back(&s);
        }
      }
      std::sort(line.begin(), line.end(), [](const Sample* a, const Sample* b) {
        return a->at.y_m < b->at.y_m;
      });
      LoneSweep sweep{plane.distance_m, plane.downstream_m, {}, why};
      sweep.profile.height_m = plane.sweeps[i].height_m;
      for (const Sample* s : line) {
        sweep.profile.across_m.push_back(s->at.y_m);
        sweep.profile.speed_m_s.push_back(s->speed_m_s);
      }
      if (line.size() >= 2) {
        lone.push_back(std::move(sweep));
      }
    }
  }
  return lone;
}

bool near_distance(double downstream_m, double wanted_m) {
  return std::abs(downstream_m - wanted_m) <= same_distance * wanted_m;
}

const PlaneFacts* plane_at(const FanAtSetting& fan, double downstream_m) {
  return nearest_of(fan.planes, [&](const PlaneFacts& plane) {
    return near_distance(plane.downstream_m, downstream_m)
               ? std::optional(std::abs(plane.downstream_m - downstream_m))
               : std::nullopt;
  });
}

}  // namespace sweepflux
