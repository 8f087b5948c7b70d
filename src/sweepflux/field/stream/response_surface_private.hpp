#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace sweepflux {

/// A quadratic form that stands in for a log likelihood near the posterior, fitted to places where
/// that was computed [response surface, Box & Wilson 1951].
class ResponseSurface {
 public:
  explicit ResponseSurface(std::size_t coordinates) : d_(coordinates) {}

  /// Keeps a place where the log likelihood was computed, for the next fit.
  void add(std::span<const float> place, double value);

  /// Least squares over the latest places that are at least so likely, with a slight pull to a flat
  /// surface. Where they are too few for so many terms, the surface stays as it was.
  void fit(double least);

  [[nodiscard]] bool is_fitted() const { return !terms_.empty(); }
  /// Never more than the highest value that it was fitted to; once fitted.
  [[nodiscard]] double at(std::span<const float> place) const;

 private:
  void standardise(std::span<const float> place, std::span<float> out) const;

  std::size_t d_ = 0;
  std::vector<float> places_;  ///< one after the other
  std::vector<double> values_;
  std::vector<float> mean_, scale_;
  std::vector<float> terms_;  ///< row by row of the upper triangle: linear, then of two coordinates
  double constant_ = 0.0, highest_ = 0.0;
};

}  // namespace sweepflux
