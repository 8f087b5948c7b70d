#pragma once

#include "sweepflux/base/measured.hpp"

#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

namespace sweepflux {

/// A sum whose rounding error does not grow with the number of terms [Neumaier 1974].
class CompensatedSum {
 public:
  void add(double term) {
    const double next = sum_ + term;
    lost_ += std::abs(sum_) >= std::abs(term) ? (sum_ - next) + term : (term - next) + sum_;
    sum_ = next;
  }
  [[nodiscard]] double value() const { return sum_ + lost_; }

 private:
  double sum_ = 0.0;
  double lost_ = 0.0;
};

/// Count, mean and scatter of a stream of values in constant memory. Two of them merge into the
/// one of both streams, so that a long series can be kept as a few pieces [Chan 1983].
class RunningMoments {
 public:
  void add(double value) {
    ++count_;
    const double step = value - mean_;
    mean_ += step / static_cast<double>(count_);
    squares_ += step * (value - mean_);
  }
  void merge(const RunningMoments& other);

  [[nodiscard]] std::size_t count() const { return count_; }
  [[nodiscard]] double mean() const { return mean_; }
  [[nodiscard]] double variance() const;            ///< of the values, n - 1; 0 for fewer than two
  [[nodiscard]] double standard_deviation() const;  ///< square root of variance()

 private:
  std::size_t count_ = 0;
  double mean_ = 0.0;
  double squares_ = 0.0;  ///< sum of squared departures from the mean
};

/// Mean and scatter of a series; the sums are compensated and taken about the mean,
/// so that a large offset costs no digits.
///
/// @throws InputError  the series is empty (mean), or shorter than two values
[[nodiscard]] double mean(std::span<const double> values);
[[nodiscard]] double standard_deviation(std::span<const double> values);

/// Median; the mean of the middle two for an even count. @throws InputError  empty
[[nodiscard]] double median(std::span<const double> values);

/// 1.4826 times the median distance from the median: the standard deviation for normal values,
/// unmoved by less than half of foul ones. @throws InputError  empty
[[nodiscard]] double robust_scale(std::span<const double> values);

/// Median, standard deviation and the interval between the 2.5 and 97.5 % quantiles of draws
/// [JCGM 101, 7.7].
///
/// @param draws  any number but none
[[nodiscard]] Estimate estimate_of(std::vector<double> draws);

}  // namespace sweepflux
