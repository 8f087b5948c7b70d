#include "sweepflux/base/correlated_mean.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <vector>

namespace sweepflux {
namespace {

using Shares = std::array<double, correlation_candidates>;

constexpr double worth_of_single = 4.0;  // series: what the prior for one alone still counts
/// Of the correlation times of one kind of series, as standard deviation of candidates' numbers.
constexpr std::array<double, 6> widths_of_kind = {0.75, 1.5, 3.0, 5.0, 9.0, 15.0};

template <typename Logarithms>
Shares shares_of(const Logarithms& logarithms) {
  Shares shares{};
  std::transform(logarithms.begin(), logarithms.end(), shares.begin(), [](auto logarithm) {
    return std::exp(static_cast<double>(logarithm));
  });
  return shares;
}

Shares normalised(Shares shares) {
  const double total = std::accumulate(shares.begin(), shares.end(), 0.0);
  for (double& share : shares) {
    share /= total;
  }
  return shares;
}

/// A normal distribution of log T/t over the candidates.
Shares bell(std::size_t middle, double width) {
  Shares shares{};
  for (std::size_t i = 0; i < correlation_candidates; ++i) {
    const double away = (static_cast<double>(i) - static_cast<double>(middle)) / width;
    shares[i] = std::exp(-0.5 * away * away);
  }
  return normalised(shares);
}

}  // namespace

CorrelationPrior pooled_correlation_prior(std::span<const MeanEvidence> all) {
  std::vector<Shares> likelihoods;
  for (const MeanEvidence& evidence : all) {
    if (evidence.degrees > 0.0F) {
      likelihoods.push_back(shares_of(evidence.log_likelihood));
    }
  }
  const Shares single = normalised(shares_of(correlation_prior()));
  const double kept = worth_of_single / (worth_of_single + static_cast<double>(likelihoods.size()));
  std::vector<Shares> kinds;
  std::vector<double> log_likelihoods;
  double most = -1e300;
  for (const double width : widths_of_kind) {
    for (std::size_t middle = 0; middle < correlation_candidates; ++middle) {
      Shares kind = bell(middle, width);
      double sum = 0.0;
      for (std::size_t i = 0; i < correlation_candidates; ++i) {
        kind[i] = (1.0 - kept) * kind[i] + kept * single[i];
      }
      for (const Shares& likelihood : likelihoods) {
        sum += std::log(std::inner_product(kind.begin(), kind.end(), likelihood.begin(), 0.0));
      }
      kinds.push_back(kind);
      log_likelihoods.push_back(sum);
      most = std::max(most, sum);
    }
  }
  Shares mixed{};
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    const double weight = std::exp(log_likelihoods[k] - most);
    for (std::size_t i = 0; i < correlation_candidates; ++i) {
      mixed[i] += weight * kinds[k][i];
    }
  }
  mixed = normalised(mixed);
  CorrelationPrior prior{};
  std::transform(
      mixed.begin(), mixed.end(), prior.begin(), [](double share) { return std::log(share); });
  return prior;
}

}  // namespace sweepflux
