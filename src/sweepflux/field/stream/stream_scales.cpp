#include "sweepflux/field/stream/stream_scales_private.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>

namespace sweepflux {
namespace {

double mean_of_highest(const PlaneSamples& plane) {
  std::array<double, 3> top{};
  for (const Sample& s : plane.samples) {
    if (!s.censored && s.speed_m_s > top[2]) {
      top[2] = s.speed_m_s;
      std::sort(top.begin(), top.end(), std::greater<>());
    }
  }
  const double sum = top[0] + top[1] + top[2];
  const auto count = std::count_if(top.begin(), top.end(), [](double v) { return v > 0.0; });
  return count > 0 ? sum / static_cast<double>(count) : 0.0;
}

/// Standard deviation of the drift along the stream [m/s]. Where the room's section is stated, the
/// flow of a round Gaussian comes back through it [continuity in a closed room], and that bounds
/// the part against the stream, which is half as wide (see StreamPrior).
double drift_of_room(double speed_m_s, double half_width_m, std::optional<double> section_m2) {
  const double flow_m3_s =
      speed_m_s * std::numbers::pi * half_width_m * half_width_m / std::numbers::ln2;
  return section_m2 ? std::min(drift_of_room_m_s, 2.0 * flow_m3_s / *section_m2)
                    : drift_of_room_m_s;
}

}  // namespace

StreamScales scales_of(const std::vector<PlaneSamples>& planes,
                       const Outlet& outlet,
                       const PosteriorOptions& options) {
  StreamScales s;
  s.shape = outlet.shape;
  std::size_t most = 0;
  for (std::size_t p = 0; p < planes.size(); ++p) {
    if (planes[p].samples.size() > most) {
      most = planes[p].samples.size();
      s.reference = p;
    }
  }
  s.length_m = nine_digits(expected_half_width_m(outlet, planes[s.reference].downstream_m));
  double highest = 0.0, offset = 0.0, drift_m_s = 0.0;
  bool read = true;
  for (const PlaneSamples& p : planes) {
    s.downstream.push_back(nine_digits(p.downstream_m / s.length_m));
    // As fast at the reference plane as a stream that keeps its momentum.
    highest = std::max(
        highest, mean_of_highest(p) * expected_half_width_m(outlet, p.downstream_m) / s.length_m);
    offset = std::max(offset, std::hypot(p.common.offset_m_s, p.common.ambient_m_s));
    read = read && p.ambient_known;
  }
  if (highest <= 0.0) {
    highest = options.expected_speed_m_s *
              expected_half_width_m(outlet, planes.front().downstream_m) / s.length_m;
  }
  s.speed_m_s = nine_digits(options.prior_speed_m_s > 0.0 ? options.prior_speed_m_s : highest);
  s.extent_y = nine_digits(outlet.extent_y_m() / s.length_m);
  s.extent_z = nine_digits(outlet.extent_z_m() / s.length_m);
  s.offset_sd = nine_digits(offset / s.speed_m_s);
  for (const PlaneSamples& p : planes) {
    const double half_width_m = expected_half_width_m(outlet, p.downstream_m);
    const double speed_m_s = s.speed_m_s * s.length_m / half_width_m;
    drift_m_s = std::max(drift_m_s, drift_of_room(speed_m_s, half_width_m, p.room_section_m2));
  }
  s.drift_sd = read ? 0.0 : nine_digits(drift_m_s / s.speed_m_s);
  return s;
}

bool leans_left(const std::vector<PlaneSamples>& planes) {
  double first = 0.0, third = 0.0, size = 0.0;
  for (const PlaneSamples& p : planes) {
    for (const Sample& s : p.samples) {
      if (!s.censored) {
        const double y = s.at.y_m - p.outlet_centre.y_m;
        first += s.speed_m_s * y;
        third += s.speed_m_s * s.speed_m_s * y * y * y;
        size += s.speed_m_s * std::abs(y);
      }
    }
  }
  return std::abs(first) > 1e-9 * size ? first < 0.0 : third < 0.0;
}

}  // namespace sweepflux
