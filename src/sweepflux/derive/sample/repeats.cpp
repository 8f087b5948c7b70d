#include "sweepflux/derive/sample/repeats.hpp"

#include "sweepflux/derive/sample/samples.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double default_sd = 0.01;
constexpr double default_weight = 1.0;  ///< in degrees of freedom
constexpr double same_height_m = 0.002;

struct Line {
  std::vector<double> y_m;
  std::vector<double> speed_m_s;
  std::vector<double> noise_m_s;
};

Line line_of(std::span<const Sample> samples, std::size_t sweep) {
  std::vector<const Sample*> own;
  for (const Sample& s : samples) {
    if (static_cast<std::size_t>(s.sweep) == sweep && !s.censored) {
      own.push_back(&s);
    }
  }
  std::sort(own.begin(), own.end(), [](const Sample* a, const Sample* b) {
    return a->at.y_m < b->at.y_m;
  });
  Line line;
  for (const Sample* s : own) {
    line.y_m.push_back(s->at.y_m);
    line.speed_m_s.push_back(s->speed_m_s);
    line.noise_m_s.push_back(s->noise_m_s);
  }
  return line;
}

/// Area under a line over [low, high], straight between readings, and its variance.
struct Sum {
  double value = 0.0;
  double variance = 0.0;
};

Sum sum_over(const Line& line, double low, double high) {
  std::vector<double> weight(line.y_m.size(), 0.0);
  for (std::size_t i = 0; i + 1 < line.y_m.size(); ++i) {
    const double width = line.y_m[i + 1] - line.y_m[i];
    const double a = std::max(low, line.y_m[i]);
    const double b = std::min(high, line.y_m[i + 1]);
    if (b <= a || width <= 0.0) {
      continue;
    }
    const double share = (0.5 * (a + b) - line.y_m[i]) / width;
    weight[i] += (b - a) * (1.0 - share);
    weight[i + 1] += (b - a) * share;
  }
  Sum sum;
  for (std::size_t i = 0; i < weight.size(); ++i) {
    sum.value += weight[i] * line.speed_m_s[i];
    sum.variance += std::pow(weight[i] * line.noise_m_s[i], 2);
  }
  return sum;
}

/// Sweeps at one height, in the order of their indices.
std::vector<std::vector<std::size_t>> groups_of(std::span<const double> heights_m) {
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t i = 0; i < heights_m.size(); ++i) {
    const auto home = std::find_if(groups.begin(), groups.end(), [&](const auto& group) {
      return std::abs(heights_m[group.front()] - heights_m[i]) <= same_height_m;
    });
    if (home == groups.end()) {
      groups.push_back({i});
    } else {
      home->push_back(i);
    }
  }
  return groups;
}

}  // namespace

SweepGains find_sweep_gains(std::span<const Sample> samples, std::span<const double> heights_m) {
  SweepGains found;
  found.sd = default_sd;
  found.gain.assign(heights_m.size(), 1.0);
  double excess = 0.0;
  for (const std::vector<std::size_t>& group : groups_of(heights_m)) {
    std::vector<Line> lines;
    double low = -1e300;
    double high = 1e300;
    std::vector<std::size_t> members;
    for (const std::size_t sweep : group) {
      Line line = line_of(samples, sweep);
      if (line.y_m.size() >= 2) {
        low = std::max(low, line.y_m.front());
        high = std::min(high, line.y_m.back());
        members.push_back(sweep);
        lines.push_back(std::move(line));
      }
    }
    if (members.size() < 2 || high <= low) {
      continue;
    }
    std::vector<Sum> sums;
    double mean = 0.0;
    for (const Line& line : lines) {
      sums.push_back(sum_over(line, low, high));
      mean += sums.back().value / static_cast<double>(lines.size());
    }
    if (mean <= 0.0) {
      continue;
    }
    const double count = static_cast<double>(members.size());
    for (std::size_t i = 0; i < members.size(); ++i) {
      found.gain[members[i]] = sums[i].value / mean;
      // The noise of a mean of `count` takes (count - 1) / count of each variance.
      excess += std::pow(found.gain[members[i]] - 1.0, 2) -
                sums[i].variance / (mean * mean) * (count - 1.0) / count;
    }
    found.freedom += count - 1.0;
  }
  if (found.freedom > 0.0) {
    const double total = default_weight + found.freedom;
    const double variance =
        (default_weight * default_sd * default_sd + std::max(0.0, excess)) / total;
    found.sd = std::sqrt(variance);
  }
  return found;
}

}  // namespace sweepflux
