#include "sweepflux/integrate/known_stream.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double most_apart = 0.4;  // see SamplerReport

/// Distance of the means of the logarithm in the two halves, in standard deviations.
///
/// @param half  draws of the first
double halves_apart(const std::vector<Triple>& whole, std::size_t half, std::size_t k) {
  const std::size_t n = whole.size();
  double sum[2] = {0.0, 0.0}, squares = 0.0, all = 0.0;
  for (std::size_t d = 0; d < n; ++d) {
    const double v = std::log(std::max(whole[d][k], 1e-300));
    sum[d < half ? 0 : 1] += v;
    all += v;
  }
  const double mean = all / static_cast<double>(n);
  for (std::size_t d = 0; d < n; ++d) {
    squares += std::pow(std::log(std::max(whole[d][k], 1e-300)) - mean, 2);
  }
  const double sd = std::sqrt(squares / static_cast<double>(n));
  const double apart = std::abs(sum[0] / static_cast<double>(half) -
                                sum[1] / static_cast<double>(n - half));
  return sd > 0.0 ? apart / sd : 0.0;
}

}  // namespace

KnownStream know_stream(const Survey& survey,
                        const std::vector<double>& wished_m,
                        const KnowOptions& options,
                        const Progress& progress) {
  KnownStream out;
  if (!survey.sweeps.empty()) {
    out.planes = derive_answerable_samples(survey, options.silent, options.threads);
  }
  for (const double d : wished_m) {
    const bool there = std::any_of(out.planes.begin(), out.planes.end(), [&](const auto& p) {
      return std::abs(p.distance_m - d) < 1e-3;
    });
    if (!there) {
      out.planes.push_back(plane_without_samples(survey, d));
    }
  }
  std::sort(out.planes.begin(), out.planes.end(), [](const auto& a, const auto& b) {
    return a.downstream_m < b.downstream_m;
  });
  PosteriorOptions posterior;
  posterior.threads = options.threads;
  posterior.expected_speed_m_s = options.expected_speed_m_s;
  out.posterior = StreamPosterior::sample(out.planes, survey.outlet, posterior, progress);
  for (std::size_t j = 0; j < out.planes.size(); ++j) {
    const Window window = out.swept(j) ? out.planes[j].window : Window{};
    out.draws.push_back(integrate_draws(
        out.posterior, j, window, survey.probe, options.threads));
  }
  out.sampler = out.posterior.report();
  for (std::size_t j = 0; j < out.planes.size(); ++j) {
    for (const std::size_t k : {std::size_t{0}, std::size_t{1}}) {
      out.sampler.apart = std::max(
          out.sampler.apart, halves_apart(out.draws[j].whole, out.sampler.of_first_half, k));
    }
  }
  out.sampler.converged = out.sampler.apart <= most_apart;
  return out;
}

}  // namespace sweepflux
