#include "sweepflux/derive/sample/fewer_samples.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace sweepflux {
namespace {

constexpr std::size_t least_cells = 4;  // of a sweep

/// Mean of samples [begin, end), all of one sweep and alike in censoring.
Sample mean_of(const std::vector<Sample>& all, std::size_t begin, std::size_t end) {
  Sample out = all[begin + (end - begin) / 2];
  const auto n = static_cast<double>(end - begin);
  out.at = {0.0, 0.0};
  out.speed_m_s = 0.0;
  double variance = 0.0;
  for (std::size_t i = begin; i < end; ++i) {
    out.at.y_m += all[i].at.y_m / n;
    out.at.z_m += all[i].at.z_m / n;
    out.speed_m_s += all[i].speed_m_s / n;
    variance += all[i].noise_m_s * all[i].noise_m_s;
  }
  out.noise_m_s = std::sqrt(variance) / n;
  return out;
}

}  // namespace

PlaneSamples fewer_samples(const PlaneSamples& plane, std::size_t most) {
  if (plane.samples.size() <= most) {
    return plane;
  }
  if (plane.sweeps.size() > most / least_cells) {
    throw InputError("the plane at " + format_number(plane.distance_m) + " m has " +
                     std::to_string(plane.sweeps.size()) + " sweeps; " +
                     std::to_string(most / least_cells) +
                     " are the most that one fit can take: leave sweeps out of the survey, or map "
                     "the distances one by one");
  }
  const double share = static_cast<double>(most) / static_cast<double>(plane.samples.size());
  PlaneSamples out = plane;
  out.samples.clear();
  for (std::size_t begin = 0; begin < plane.samples.size();) {
    std::size_t end = begin;
    while (end < plane.samples.size() && plane.samples[end].sweep == plane.samples[begin].sweep) {
      ++end;
    }
    const std::size_t count = end - begin;
    const auto wanted = static_cast<std::size_t>(share * static_cast<double>(count));
    const std::size_t cells = std::min(count, std::max(wanted, least_cells));
    for (std::size_t c = 0; c < cells; ++c) {
      const std::size_t last = begin + (c + 1) * count / cells;
      for (std::size_t i = begin + c * count / cells; i < last;) {
        std::size_t alike = i;
        while (alike < last && plane.samples[alike].censored == plane.samples[i].censored) {
          ++alike;
        }
        out.samples.push_back(mean_of(plane.samples, i, alike));
        i = alike;
      }
    }
    begin = end;
  }
  return out;
}

std::vector<PlaneSamples> fewer_samples(const std::vector<PlaneSamples>& planes) {
  constexpr std::size_t most_for_exact = 3000;
  std::vector<PlaneSamples> out;
  for (const PlaneSamples& p : planes) {
    out.push_back(fewer_samples(p, most_for_exact / planes.size()));
  }
  return out;
}

}  // namespace sweepflux
