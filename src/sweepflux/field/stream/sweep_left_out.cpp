#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/field/stream/population_sampler.hpp"
#include "sweepflux/field/stream/stream_posterior_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// Weights that take a sweep out, from its log probability given the rest under each draw; summing
/// to 1, none above 1 / sqrt(n) before that.
std::vector<double> weights_without(const std::vector<double>& log_probability) {
  const double least = *std::min_element(log_probability.begin(), log_probability.end());
  std::vector<double> w;
  double sum = 0.0;
  for (const double l : log_probability) {
    w.push_back(std::exp(least - l));
    sum += w.back();
  }
  const double most = sum / std::sqrt(static_cast<double>(w.size()));
  double cut = 0.0;
  for (double& v : w) {
    v = std::min(v, most);
    cut += v;
  }
  for (double& v : w) {
    v /= cut;
  }
  return w;
}

}  // namespace

StreamPosterior::LeftOut StreamPosterior::leave_out(std::size_t plane, std::size_t sweep) const {
  const Parts& p = *parts_;
  const PlaneReadings& readings = p.readings[plane];
  LeftOut out;
  std::size_t all = 0;
  for (const PlaneReadings& r : p.readings) {
    all += r.sweeps;
  }
  const bool observed = std::any_of(readings.rows.begin(), readings.rows.end(), [&](const auto& row) {
    return row.sweep == static_cast<int>(sweep);
  });
  if (!observed || all < 2 || readings.sweeps == 0) {
    return out;
  }
  std::vector<double> shares(readings.sweeps, 1.0);
  shares[sweep] = 0.0;
  PlaneLikelihood likelihood(readings);
  // One stream of numbers a sweep, whatever else was asked before.
  Dice dice(7919 * (plane + 1) + sweep);
  const auto normal = [&] { return dice.normal(); };
  std::vector<double> log_probability;
  std::vector<std::vector<double>> departure, noise;
  for (const Parts::Draw& drawn : p.draws) {
    const SurveyStream& s = drawn.stream;
    const PlaneStream& stream = s.planes[plane];
    const double without = likelihood.log_likelihood(stream, s, shares, drawn.planes[plane].common);
    log_probability.push_back(drawn.planes[plane].log_likelihood - without);
    departure.emplace_back();
    noise.emplace_back();
    likelihood.departures(stream, s, static_cast<int>(sweep), likelihood.draw(normal),
                          departure.back(), noise.back());
  }
  const std::vector<double> w = weights_without(log_probability);
  const std::size_t n = departure.front().size();
  std::vector<double> mean(n, 0.0), variance(n, 0.0);
  double squares = 0.0;
  for (std::size_t d = 0; d < w.size(); ++d) {
    squares += w[d] * w[d];
    for (std::size_t i = 0; i < n; ++i) {
      mean[i] += w[d] * departure[d][i];
    }
  }
  for (std::size_t d = 0; d < w.size(); ++d) {
    for (std::size_t i = 0; i < n; ++i) {
      variance[i] += w[d] * (std::pow(departure[d][i] - mean[i], 2) + std::pow(noise[d][i], 2));
    }
  }
  // Readings that were never made, of each draw, depart as the sweep should.
  const auto score = [&](const auto& error_at) {
    double sum = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      sum += std::pow(error_at(i), 2) / variance[i];
    }
    return std::sqrt(sum / static_cast<double>(n));
  };
  double error_2 = 0.0;
  for (const double m : mean) {
    error_2 += m * m / static_cast<double>(n);
  }
  out.rms_error_m_s = p.scales.speed_m_s * std::sqrt(error_2);
  out.z_score = score([&](std::size_t i) { return mean[i]; });
  double counted = 0.0, first = 0.0, second = 0.0;
  for (std::size_t d = 0; d < w.size(); ++d) {
    const double made = score([&](std::size_t i) {
      return departure[d][i] - mean[i] + noise[d][i] * dice.normal();
    });
    counted += made >= out.z_score ? w[d] : 0.0;
    first += w[d] * made * made;
    second += w[d] * std::pow(made, 4);
  }
  // So few draws cannot count what is rare: then by the multiple of chi square that has the mean
  // and the variance of their squares [Satterthwaite 1946], whose tail is smooth.
  const double scale = (second - first * first) / (2.0 * first);
  const double tail =
      scale > 0.0 ? 1.0 - chi_square_probability(out.z_score * out.z_score / scale, first / scale)
                  : 0.0;
  out.chance = std::clamp(std::max(counted, tail), 0.0, 1.0);
  out.effective_draws = 1.0 / squares;
  return out;
}

}  // namespace sweepflux
