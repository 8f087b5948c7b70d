#include "sweepflux/derive/log/drift.hpp"

#include "sweepflux/base/quantiles.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

struct Repeat {
  double time_s = 0.0;
  double log_speed = 0.0;
  double weight = 0.0;
};

/// Readings of one place, reached from one side.
using Place = std::vector<Repeat>;

std::vector<Place> group(std::span<const TimedReading> readings, double tolerance) {
  std::vector<TimedReading> sorted;
  std::copy_if(readings.begin(), readings.end(), std::back_inserter(sorted), [](const auto& r) {
    return r.speed_m_s > 0.0 && r.standard_error_m_s > 0.0 &&
           r.speed_m_s > 3.0 * r.standard_error_m_s;
  });
  std::sort(sorted.begin(), sorted.end(), [](const TimedReading& a, const TimedReading& b) {
    return std::pair(a.position, a.time_s) < std::pair(b.position, b.time_s);
  });
  std::vector<Place> places;
  std::size_t i = 0;
  while (i < sorted.size()) {
    std::size_t end = i;
    Place sides[3];
    while (end < sorted.size() && sorted[end].position - sorted[i].position <= tolerance) {
      const TimedReading& r = sorted[end];
      const double relative = r.standard_error_m_s / r.speed_m_s;
      sides[r.direction + 1].push_back(
          {r.time_s, std::log(r.speed_m_s), 1.0 / (relative * relative)});
      ++end;
    }
    for (Place& side : sides) {
      if (side.size() > 1) {
        places.push_back(std::move(side));
      }
    }
    i = end;
  }
  return places;
}

/// All readings of one way at one place.
struct Station {
  double at = 0.0;
  double speed = 0.0;
  double error = 0.0;
};

/// Of one way, by position.
std::vector<Station> profile_of(std::span<const TimedReading> readings, int direction) {
  std::vector<TimedReading> sorted;
  std::copy_if(readings.begin(), readings.end(), std::back_inserter(sorted), [&](const auto& r) {
    return r.direction == direction;
  });
  std::sort(sorted.begin(), sorted.end(), [](const TimedReading& a, const TimedReading& b) {
    return a.position < b.position;
  });
  std::vector<Station> profile;
  for (std::size_t i = 0; i < sorted.size();) {
    double speed = 0.0;
    double squares = 0.0;
    double count = 0.0;
    const double at = sorted[i].position;
    for (; i < sorted.size() && sorted[i].position == at; ++i, count += 1.0) {
      speed += sorted[i].speed_m_s;
      const double error = sorted[i].standard_error_m_s;
      squares += std::isfinite(error) ? error * error : 0.0;
    }
    profile.push_back({at, speed / count, std::sqrt(squares) / count});
  }
  return profile;
}

/// The lowest speed is the base: a room's draught would hold the centroid back.
double lowest(const std::vector<Station>& profile) {
  double least = 1e300;
  for (const Station& station : profile) {
    least = std::min(least, station.speed);
  }
  return least;
}

struct Centroid {
  double at = 0.0;
  double variance = 0.0;
  double edge = 0.0;
  double peak = 0.0;
};

/// Of the speed above `base`, by trapezoids.
std::optional<Centroid> centroid(const std::vector<Station>& profile, double base) {
  if (profile.size() < 3) {
    return std::nullopt;
  }
  std::vector<double> weight;
  double sum = 0.0;
  double moment = 0.0;
  Centroid c;
  for (std::size_t k = 0; k < profile.size(); ++k) {
    const double left = profile[k > 0 ? k - 1 : 0].at;
    const double right = profile[std::min(k + 1, profile.size() - 1)].at;
    weight.push_back(0.5 * (right - left));
    sum += weight[k] * (profile[k].speed - base);
    moment += weight[k] * (profile[k].speed - base) * profile[k].at;
    c.peak = std::max(c.peak, profile[k].speed);
  }
  if (!(sum > 0.0)) {
    return std::nullopt;
  }
  c.at = moment / sum;
  for (std::size_t k = 0; k < profile.size(); ++k) {
    const double slope = weight[k] * (profile[k].at - c.at) / sum;
    c.variance += slope * slope * profile[k].error * profile[k].error;
  }
  c.edge = std::max(profile.front().speed, profile.back().speed);
  return c;
}

}  // namespace

std::optional<Drift> find_drift(std::span<const TimedReading> readings, double tolerance) {
  const std::vector<Place> places = group(readings, tolerance);
  double time_time = 0.0;
  double time_speed = 0.0;
  double speed_speed = 0.0;
  Drift drift;
  for (const Place& place : places) {
    double weight = 0.0;
    double time = 0.0;
    double speed = 0.0;
    double first = place.front().time_s;
    double last = first;
    for (const Repeat& r : place) {
      weight += r.weight;
      time += r.weight * r.time_s;
      speed += r.weight * r.log_speed;
      first = std::min(first, r.time_s);
      last = std::max(last, r.time_s);
    }
    for (const Repeat& r : place) {
      const double dt = r.time_s - time / weight;
      const double dv = r.log_speed - speed / weight;
      time_time += r.weight * dt * dt;
      time_speed += r.weight * dt * dv;
      speed_speed += r.weight * dv * dv;
    }
    drift.repeats += place.size() - 1;
    drift.span_s = std::max(drift.span_s, last - first);
  }
  if (drift.repeats == 0 || !(time_time > 0.0)) {
    return std::nullopt;
  }
  const double rate = time_speed / time_time;
  drift.freedom = static_cast<double>(drift.repeats) - 1.0;
  if (drift.freedom > 0.0) {
    const double left = std::max(0.0, speed_speed - rate * time_speed);
    drift.scatter = std::sqrt(left / drift.freedom);
  }
  const double error = std::max(1.0, drift.scatter) / std::sqrt(time_time);
  drift.rate_per_s = {rate, error};
  const double limit =
      drift.scatter > 1.0 ? student_t_quantile(0.975, drift.freedom) : normal_quantile(0.975);
  drift.significant = std::abs(rate) > limit * error;
  return drift;
}

std::optional<Backlash> find_backlash(std::span<const TimedReading> readings) {
  std::vector<Station> up = profile_of(readings, 1);
  std::vector<Station> down = profile_of(readings, -1);
  if (up.size() < 3 || down.size() < 3) {
    return std::nullopt;
  }
  const double slack = 1e-9 * (1.0 + std::abs(up.back().at));
  const double low = std::max(up.front().at, down.front().at) - slack;
  const double high = std::min(up.back().at, down.back().at) + slack;
  for (std::vector<Station>* const way : {&up, &down}) {
    std::erase_if(*way, [&](const Station& s) { return !(s.at >= low && s.at <= high); });
  }
  const double base = std::min(lowest(up), lowest(down));
  const auto c_up = centroid(up, base);
  const auto c_down = centroid(down, base);
  if (!c_up || !c_down) {
    return std::nullopt;
  }
  Backlash backlash;
  backlash.half_gap = {0.5 * (c_up->at - c_down->at),
                       0.5 * std::sqrt(c_up->variance + c_down->variance)};
  backlash.edge_share = std::max(c_up->edge, c_down->edge) / std::max(c_up->peak, c_down->peak);
  backlash.significant = std::abs(backlash.half_gap.value) >
                         normal_quantile(0.975) * backlash.half_gap.standard_uncertainty;
  return backlash;
}

}  // namespace sweepflux
