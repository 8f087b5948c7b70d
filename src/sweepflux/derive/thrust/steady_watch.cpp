#include "sweepflux/derive/thrust/steady_watch.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {

void SteadyWatch::add(double time_s, double force_n) {
  if (seen_++ % skip_ != 0) {
    return;
  }
  recent_.emplace_back(time_s, force_n);
  const auto old = std::find_if(recent_.begin(), recent_.end(), [&](const auto& one) {
    return one.first >= time_s - window_s_;
  });
  // One older row stays, so that a full window can be distinguished from one that has just begun.
  if (old - recent_.begin() > 1) {
    recent_.erase(recent_.begin(), old - 1);
  }
  if (recent_.size() > 512) {
    std::size_t kept = 0;
    for (std::size_t i = 0; i < recent_.size(); i += 2) {
      recent_[kept++] = recent_[i];
    }
    recent_.resize(kept);
    skip_ *= 2;
  }
}

double SteadyWatch::mean_n() const {
  RunningMoments all;
  for (const auto& [time_s, force_n] : recent_) {
    all.add(force_n);
  }
  return all.mean();
}

std::array<RunningMoments, 2> SteadyWatch::halves() const {
  std::array<RunningMoments, 2> halves;
  for (std::size_t i = 0; i < recent_.size(); ++i) {
    halves[2 * i < recent_.size() ? 0 : 1].add(recent_[i].second);
  }
  return halves;
}

double SteadyWatch::trend_n() const {
  const auto [before, newest] = halves();
  return newest.mean() - before.mean();
}

bool SteadyWatch::steady() const {
  if (recent_.size() < 6 || recent_.back().first - recent_.front().first < 0.9 * window_s_) {
    return false;
  }
  const auto [before, newest] = halves();
  // Of the quieter half: a step within the window must not count as scatter and so hide itself.
  const double scatter = std::sqrt(std::min(before.variance(), newest.variance()));
  const double n = 0.5 * static_cast<double>(recent_.size());
  return std::abs(trend_n()) <= 3.0 * scatter * std::sqrt(2.0 / n) + resolution_n_;
}

}  // namespace sweepflux
