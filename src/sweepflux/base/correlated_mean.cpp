#include "sweepflux/base/correlated_mean.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/statistics.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace sweepflux {
namespace {

/// What the values of a series are.
enum class SeriesOf {
  instants,    // the signal at equal steps
  block_means  // its means over equal stretches that touch
};

constexpr std::size_t most_instants = 80;
constexpr std::size_t most_blocks = 40;
constexpr double shortest_time = 0.003;  // of the stretch
constexpr double longest_time = 6.0;
constexpr double fitted_values = 32.0;  // for which the prior was fitted

/// Log prior of T/t. The knots were fitted to simulated series (n = 320, 32 blocks) so that the
/// coverage is 95 % at all T/t from 0.002 to 1 alike; between them it is linear in log T/t.
double log_prior(double log_time) {
  constexpr std::size_t knots = 8;
  constexpr std::array<double, knots> at = {0.003, 0.01, 0.03, 0.1, 0.3, 1.0, 2.5, 6.0};
  constexpr std::array<double, knots> value = {4.0, 0.19, 2.17, 0.93, -2.29, 0.0, 0.01, 0.0};
  for (std::size_t i = 1; i < knots; ++i) {
    const double high = std::log(at[i]);
    if (log_time <= high || i + 1 == knots) {
      const double low = std::log(at[i - 1]);
      const double share = std::clamp((log_time - low) / (high - low), 0.0, 1.0);
      return value[i - 1] + share * (value[i] - value[i - 1]);
    }
  }
  return 0.0;
}

/// Autocovariances of the series that a signal of unit variance gives.
struct Covariance {
  double same = 1.0;
  double next = 0.0;
  double decay = 0.0;  ///< from one lag to the following
};

Covariance covariance(double step_over_time, SeriesOf kind) {
  const double a = step_over_time;
  if (kind == SeriesOf::instants) {
    return {1.0, std::exp(-a), std::exp(-a)};
  }
  const double gone = -std::expm1(-a);  // 1 - exp(-a)
  // Below 1e-4 the closed form of `same` has lost its digits; its series has not.
  const double same = a < 1e-4 ? 1.0 - a / 3.0 : 2.0 * (a - gone) / (a * a);
  return {same, gone * gone / (a * a), std::exp(-a)};
}

/// What one candidate for T/t says of the mean.
struct Candidate {
  double log_weight = 0.0;
  double centre = 0.0;  ///< from the plain mean
  double scale = 0.0;   ///< of Student's t with n - 1 degrees
};

/// Generalised least squares of a constant, by the innovations of the series [Brockwell 1991, 5.3].
Candidate weigh(std::span<const double> departures, double time_over_stretch, SeriesOf kind) {
  const double n = static_cast<double>(departures.size());
  const Covariance c = covariance(1.0 / (time_over_stretch * n), kind);
  const double phi = c.decay;
  const double noise_same = (1.0 + phi * phi) * c.same - 2.0 * phi * c.next;
  const double noise_next = c.next - phi * c.same;
  double error_variance = c.same;
  double predicted_value = 0.0;
  double predicted_one = 0.0;
  // Of at most 80 factors above 1e-3, so it does not vanish; a logarithm each would be slow.
  double determinant = 1.0;
  double one_one = 0.0;
  double one_value = 0.0;
  double value_value = 0.0;
  for (const double value : departures) {
    const double weight = 1.0 / error_variance;
    const double surprise = value - predicted_value;
    const double surprise_one = 1.0 - predicted_one;
    determinant *= error_variance;
    one_one += weight * surprise_one * surprise_one;
    one_value += weight * surprise_one * surprise;
    value_value += weight * surprise * surprise;
    const double gain = noise_next * weight;
    predicted_value = phi * value + gain * surprise;
    predicted_one = phi + gain * surprise_one;
    error_variance = noise_same - gain * noise_next;
  }
  Candidate result;
  result.centre = one_value / one_one;
  const double squares = std::max(value_value - one_value * result.centre, 1e-300);
  result.scale = std::sqrt(squares / (n - 1.0) / one_one);
  result.log_weight = -0.5 * (std::log(determinant * one_one) + (n - 1.0) * std::log(squares));
  return result;
}

/// Every candidate time with its share of the probability; hopeless ones left out.
std::vector<Candidate> weigh_all(const MeanEvidence& evidence, const CorrelationPrior& prior) {
  double most = -1e300;
  for (std::size_t i = 0; i < correlation_candidates; ++i) {
    most = std::max(most, static_cast<double>(evidence.log_likelihood[i]) + prior[i]);
  }
  std::vector<Candidate> weighed;
  double total = 0.0;
  for (std::size_t i = 0; i < correlation_candidates; ++i) {
    const double weight =
        std::exp(static_cast<double>(evidence.log_likelihood[i]) + prior[i] - most);
    if (weight > 1e-4) {
      total += weight;
      weighed.push_back({weight,
                         static_cast<double>(evidence.centre[i]),
                         static_cast<double>(evidence.scale[i])});
    }
  }
  for (Candidate& c : weighed) {
    c.log_weight /= total;
  }
  return weighed;
}

/// Means over `size` neighbours each; a rest that fills no block is left out.
std::vector<double> block_means(std::span<const double> values, std::size_t size) {
  std::vector<double> means(values.size() / size);
  for (std::size_t i = 0; i < means.size(); ++i) {
    means[i] = mean(values.subspan(i * size, size));
  }
  return means;
}

/// Student's t by a normal deviate [Wallace 1959]: within 5e-4 from 10 degrees on, and quick.
double quick_t_probability(double t, double degrees) {
  if (degrees < 10.0) {
    return student_t_probability(t, degrees);
  }
  const double z = std::sqrt(degrees * std::log1p(t * t / degrees)) * (8.0 * degrees + 1.0) /
                   (8.0 * degrees + 3.0);
  return normal_probability(t < 0.0 ? -z : z);
}

/// Probability that the true mean lies within `half_width` of the plain one.
double inside(std::span<const Candidate> weighed, double half_width, double degrees) {
  double sum = 0.0;
  for (const Candidate& c : weighed) {
    sum += c.log_weight * (quick_t_probability((half_width - c.centre) / c.scale, degrees) -
                           quick_t_probability((-half_width - c.centre) / c.scale, degrees));
  }
  return sum;
}

double half_width_95(std::span<const Candidate> weighed, double degrees) {
  double high = 0.0;
  for (const Candidate& c : weighed) {
    high = std::max(high, std::abs(c.centre) + 2.0 * c.scale);
  }
  while (inside(weighed, high, degrees) < 0.95) {
    high *= 2.0;
  }
  double low = 0.0;
  double low_share = -0.95;
  double high_share = inside(weighed, high, degrees) - 0.95;
  double at = high;
  for (int i = 0; i < 60 && high - low > 1e-4 * high; ++i) {
    // False position, halving the end that stays (Illinois): few looks at the mixture.
    at = (low * high_share - high * low_share) / (high_share - low_share);
    const double share = inside(weighed, at, degrees) - 0.95;
    if (std::abs(share) < 1e-5) {
      return at;
    }
    if (share > 0.0) {
      high = at;
      high_share = share;
      low_share *= 0.5;
    } else {
      low = at;
      low_share = share;
      high_share *= 0.5;
    }
  }
  return at;
}

}  // namespace

double exponential_mean_variance(double time_over_stretch) {
  const double theta = time_over_stretch;
  if (theta <= 0.0) {
    return 0.0;
  }
  const double a = 1.0 / theta;
  return a < 1e-4 ? 1.0 - a / 3.0 : 2.0 * (a + std::expm1(-a)) / (a * a);
}

double exponential_time_of_variance(double share) {
  if (share <= 0.0) {
    return 0.0;
  }
  double low = 0.0;
  double high = 1.0;
  while (exponential_mean_variance(high) < share && high < 1e6) {
    high *= 2.0;
  }
  for (int i = 0; i < 100 && high - low > 1e-12 * high; ++i) {
    const double middle = 0.5 * (low + high);
    (exponential_mean_variance(middle) < share ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

SeriesCorrelation series_correlation(std::span<const double> values) {
  if (values.size() < 2) {
    throw InputError("series_correlation: two values or more are needed");
  }
  const std::size_t n = values.size();
  const double count = static_cast<double>(n);
  const double centre = mean(values);
  std::vector<double> departures(n);
  std::transform(values.begin(), values.end(), departures.begin(), [centre](double value) {
    return value - centre;
  });
  const auto products = [&](std::size_t lag) {
    double sum = 0.0;
    for (std::size_t i = 0; i + lag < n; ++i) {
      sum += departures[i] * departures[i + lag];
    }
    return sum / count;
  };
  const double variance = products(0);
  SeriesCorrelation result;
  if (!(variance > 0.0)) {
    return result;
  }
  double sum = 0.0;     // of (1 - k/n) r_k
  double tapers = 0.0;  // of (1 - k/n)
  double last_pair = 1e300;
  for (std::size_t lag = 0; lag + 1 <= std::max<std::size_t>(n / 2, 1); lag += 2) {
    // Sample products over n carry the taper already.
    const double first = lag == 0 ? 1.0 : products(lag) / variance;
    const double second = products(lag + 1) / variance;
    const double pair = first + second;
    if (pair <= 0.0) {
      break;
    }
    const double shrink = std::min(1.0, last_pair / pair);
    sum += lag == 0 ? second : shrink * pair;
    tapers += (lag == 0 ? 0.0 : 1.0 - static_cast<double>(lag) / count) + 1.0 -
              static_cast<double>(lag + 1) / count;
    last_pair = std::min(last_pair, pair);
  }
  // Departures from the own mean have their products lowered by the variance v of that mean:
  // r_k = rho_k (1 - v) + v; v solves n v = 1 + 2 sum rho_k (1 - k/n).
  const double beneath = count - 2.0 * (tapers - sum);
  const double share = beneath > 0.0 ? (1.0 + 2.0 * sum) / beneath : 0.95;
  result.mean_variance_share = std::clamp(share, 1.0 / count, 0.95);
  result.effective_samples = 1.0 / result.mean_variance_share;
  result.integral_time = count * exponential_time_of_variance(result.mean_variance_share);
  result.lost_variance = result.mean_variance_share;
  return result;
}

MeanEvidence mean_evidence(std::span<const double> values) {
  if (values.size() < 2) {
    throw InputError("mean_evidence: two values or more are needed");
  }
  const SeriesOf kind = values.size() <= most_instants ? SeriesOf::instants : SeriesOf::block_means;
  const std::size_t size =
      kind == SeriesOf::instants ? 1 : (values.size() + most_blocks - 1) / most_blocks;
  std::vector<double> departures = block_means(values, size);
  const double centre = mean(departures);
  double largest = 0.0;
  for (double& departure : departures) {
    departure -= centre;
    largest = std::max(largest, std::abs(departure));
  }
  MeanEvidence evidence;
  if (largest <= 1e-14 * std::abs(centre)) {
    return evidence;
  }
  for (double& departure : departures) {
    departure /= largest;
  }
  // Few values cannot tell short times apart, so the candidates start later, and the prior is
  // stretched with them; else all that look alike would outvote the rest.
  const double n = static_cast<double>(departures.size());
  const double shortest = shortest_time * std::pow(std::max(1.0, fitted_values / n), 2.2);
  std::array<Candidate, correlation_candidates> all{};
  double most = -1e300;
  for (std::size_t i = 0; i < correlation_candidates; ++i) {
    const double at = static_cast<double>(i) / (correlation_candidates - 1.0);
    all[i] = weigh(departures, shortest * std::pow(longest_time / shortest, at), kind);
    most = std::max(most, all[i].log_weight);
  }
  for (std::size_t i = 0; i < correlation_candidates; ++i) {
    evidence.log_likelihood[i] = static_cast<float>(all[i].log_weight - most);
    evidence.centre[i] = static_cast<float>(largest * all[i].centre);
    evidence.scale[i] = static_cast<float>(largest * all[i].scale);
  }
  evidence.degrees = static_cast<float>(n - 1.0);
  return evidence;
}

CorrelationPrior correlation_prior() {
  CorrelationPrior prior{};
  for (std::size_t i = 0; i < correlation_candidates; ++i) {
    const double at = static_cast<double>(i) / (correlation_candidates - 1.0);
    prior[i] = log_prior(std::log(shortest_time) + at * std::log(longest_time / shortest_time));
  }
  return prior;
}

double standard_error_of_mean(const MeanEvidence& evidence, const CorrelationPrior& prior) {
  if (evidence.degrees <= 0.0F) {
    return 0.0;
  }
  return half_width_95(weigh_all(evidence, prior), static_cast<double>(evidence.degrees)) /
         1.959963984540054;
}

double standard_error_of_mean(std::span<const double> values) {
  return standard_error_of_mean(mean_evidence(values), correlation_prior());
}

}  // namespace sweepflux
