#include "sweepflux/rank/shown_profile.hpp"

#include "sweepflux/base/quantiles.hpp"

#include <cmath>

namespace sweepflux {
namespace {

// How far similarity is trusted past what was mapped; common practice, no published source.
constexpr double past_mapped = 1.5;

const Profile* profile_at(const FanAtSetting& e, double downstream_m) {
  const PlaneFacts* plane = plane_at(e, downstream_m);
  if (plane && plane->profile) {
    return &*plane->profile;
  }
  for (const LoneSweep& s : e.lone_sweeps) {
    if (near_distance(s.downstream_m, downstream_m)) {
      return &s.profile;
    }
  }
  return nullptr;
}

const PlaneFacts* nearest_profile(const FanAtSetting& e, double downstream_m) {
  return nearest_of(e.planes, [&](const PlaneFacts& p) {
    return p.profile && p.profile->from_map
               ? std::optional(std::abs(std::log(p.downstream_m / downstream_m)))
               : std::nullopt;
  });
}

Profile carry(const PlaneFacts& from, const PredictedStream& f, double to_m) {
  const StreamPrediction here = predict_stream(f.source, f.shape, from.downstream_m);
  const StreamPrediction there = predict_stream(f.source, f.shape, to_m);
  const double speed = there.centre_speed_m_s.value / here.centre_speed_m_s.value;
  const double width = there.half_width_m.value / here.half_width_m.value;
  const double origin = f.shape.origin_m.value;
  const double of_origin =
      f.shape.origin_m.standard_uncertainty *
      std::abs(1.0 / std::max(to_m - origin, 0.1 * to_m) -
               1.0 / std::max(from.downstream_m - origin, 0.1 * from.downstream_m));
  const bool developing =
      here.zone == StreamZone::developing || there.zone == StreamZone::developing;
  const double of_exponent = developing ? std::abs(std::log(to_m / from.downstream_m)) /
                                              std::sqrt(12.0) * (f.planes > 1 ? 0.5 : 1.0)
                                        : 0.0;
  const double relative = std::hypot(of_origin, of_exponent);
  Profile carried = *from.profile;
  for (std::size_t i = 0; i < carried.across_m.size(); ++i) {
    carried.across_m[i] = from.centre.y_m + (carried.across_m[i] - from.centre.y_m) * width;
    const double here_m_s = carried.speed_m_s[i], there_m_s = here_m_s * speed;
    carried.speed_m_s[i] = there_m_s;
    carried.uncertainty_m_s[i] =
        std::hypot(carried.uncertainty_m_s[i] * speed, relative * there_m_s);
    const auto edge = [&](double edge_m_s) {
      return std::hypot((edge_m_s - here_m_s) * speed, normal_95 * relative * there_m_s);
    };
    if (!carried.low_m_s.empty()) {
      carried.low_m_s[i] = there_m_s - edge(carried.low_m_s[i]);
      carried.high_m_s[i] = there_m_s + edge(carried.high_m_s[i]);
    }
  }
  return carried;
}

}  // namespace

std::vector<ShownProfile> profiles_at(std::span<const FanAtSetting> entries,
                                      std::span<const PredictedStream> predicted,
                                      double downstream_m) {
  std::vector<ShownProfile> shown;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    if (const Profile* profile = profile_at(entries[i], downstream_m)) {
      shown.push_back({i, downstream_m, *profile, std::nullopt});
      continue;
    }
    const PlaneFacts* from = nearest_profile(entries[i], downstream_m);
    const PredictedStream* f = predicted_of(predicted, i);
    if (!from || !f || !f->shape.fitted) {
      continue;
    }
    const bool supported = downstream_m * past_mapped >= f->shape.nearest_m &&
                           downstream_m <= past_mapped * f->shape.furthest_m;
    const StreamZone zone = predict_stream(f->source, f->shape, downstream_m).zone;
    if (supported && zone != StreamZone::beyond_room) {
      shown.push_back({i, downstream_m, carry(*from, *f, downstream_m), from->downstream_m});
    }
  }
  return shown;
}

}  // namespace sweepflux
