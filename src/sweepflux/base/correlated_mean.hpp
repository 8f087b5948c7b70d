#pragma once

#include <array>
#include <cstddef>
#include <span>

namespace sweepflux {

/// Variance of the mean over a stretch of an exponentially correlated signal, as a share of the
/// signal's variance: (2T/t)[1 - (T/t)(1 - exp(-t/T))] [Lumley 1964].
///
/// @param time_over_stretch  T/t, integral time over the length of the stretch, >= 0
[[nodiscard]] double exponential_mean_variance(double time_over_stretch);

/// The T/t at which exponential_mean_variance gives the share; 0 for a share <= 0.
///
/// @param share  below 1
[[nodiscard]] double exponential_time_of_variance(double share);

/// What a correlated series tells about its mean; times are in steps of the series.
struct SeriesCorrelation {
  double mean_variance_share = 1.0;  ///< variance of the mean over the variance of one value
  double integral_time = 0.5;        ///< in steps; half a step for independent values
  double effective_samples = 1.0;    ///< 1 / mean_variance_share, at most n
  double lost_variance = 0.0;        ///< share by which taking off the own mean lowers the scatter
};

/// Integral time from the autocorrelations, summed while sums of neighbouring pairs stay positive
/// and fall (initial monotone sequence, [Geyer 1992]); so noise in the far lags is not summed up.
/// The bias from using the series' own mean is taken off in closed form.
///
/// @param values  two or more; a constant series gives one effective value
///
/// Cost: O(n L), L the lag at which the sum stops, at most n / 2.
[[nodiscard]] SeriesCorrelation series_correlation(std::span<const double> values);

/// With fewer values a series alone cannot tell its correlation; see standard_error_of_mean.
inline constexpr std::size_t fewest_values_alone = 27;

/// Candidates for T/t that are weighed against each other.
inline constexpr std::size_t correlation_candidates = 40;

/// What a series says of its mean under each candidate correlation time; see
/// standard_error_of_mean. Single precision is enough: none of it is ever differenced.
struct MeanEvidence {
  std::array<float, correlation_candidates> log_likelihood{};
  std::array<float, correlation_candidates> centre{};  ///< of the true mean, from the plain one
  std::array<float, correlation_candidates> scale{};   ///< of Student's t
  float degrees = 0.0F;                                ///< of it; 0: no uncertainty to speak of
};

using CorrelationPrior = std::array<double, correlation_candidates>;  ///< logarithms

/// @param values  two or more
[[nodiscard]] MeanEvidence mean_evidence(std::span<const double> values);

/// The prior for one series alone.
[[nodiscard]] CorrelationPrior correlation_prior();

/// The prior for series of one kind, such as the dwells of a sweep: a normal distribution of
/// log T/t, averaged over all middles and widths after their likelihood over all the series, and
/// the prior for one alone with the weight of four series. A short dwell so borrows the correlation
/// time of its sweep.
///
/// Over 1000 dwells of one kind mean +- 1.96 of the error so held the true mean in 93 to 97 % for
/// T/t up to 1 (320 values each), 93 to 98 % for 10 to 30 values and T/t up to 0.6 (measured in
/// tests/base). Forty dwells cannot exclude times beyond their own length: from T/t = 0.3 on their
/// intervals hold 97 to 99.7 %, wide, not wrong.
///
/// @param all  8 or more are worth it
///
/// Cost: O(series), about 10 microseconds each.
[[nodiscard]] CorrelationPrior pooled_correlation_prior(std::span<const MeanEvidence> all);

/// @return half the width of the 95 % interval over 1.96; 0 when there is no uncertainty to speak of
[[nodiscard]] double standard_error_of_mean(const MeanEvidence& evidence,
                                            const CorrelationPrior& prior);

/// Half the width of the 95 % interval of the mean over 1.96, for values of a signal at equal steps
/// that may be correlated over any time up to the length of the series.
///
/// An exponentially correlated signal is assumed; its correlation time is not plugged in but
/// averaged over, after the likelihood of each (more than 80 values go in as 27 to 40 block means:
/// a first order moving average of a first order autoregression, so the likelihood is exact), with
/// Student's t at each. The prior of T/t is set so that mean +- 1.96 of it holds the true mean in
/// 95 % of the cases for every T/t up to 1, as measured in tests/base/correlated_mean_test.cpp: 93
/// to 97 % from 27 values on; ten values alone that are all correlated fall to 90 % at T/t = 0.3
/// and 76 % at 1, since they hardly tell their correlation from a change of the mean. A slow swing
/// buried under stronger fast noise is found only in part.
///
/// @param values  two or more; a rest that fills no block (under 4 %) is not looked at
/// @return 0 for a constant series
///
/// Cost: O(n), plus about 20 microseconds.
[[nodiscard]] double standard_error_of_mean(std::span<const double> values);

}  // namespace sweepflux
