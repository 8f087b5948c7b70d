#pragma once

#include "sweepflux/field/stream/covariance_private.hpp"
#include "sweepflux/field/stream/field_part_private.hpp"
#include "sweepflux/field/stream/mean_model_private.hpp"

#include <Eigen/Cholesky>

#include <functional>
#include <vector>

namespace sweepflux {

/// The candidate for streams that no shape fits: the square root of the speed as a Gaussian
/// process about the root of a first guess, so that the speed is never negative, the process may
/// depart as far as the readings ask, and what no reading reaches falls back to the guess rather
/// than to calm. Of one plane. Its speed has mean m^2 + V and variance 4 m^2 V + 2 V^2 where the
/// root has m and V.
class RootProcess final : public FieldPart {
 public:
  using Guess = std::function<Array(const Array& y, const Array& z)>;

  /// @param data      of one plane
  /// @param guess     speed at any place [m/s]
  /// @param envelope  0 to 1: how far the root may depart from the guess's, as a share of what it
  ///                  may in the core; a little is allowed anywhere in the swept window
  /// @param background_m_s  taken off every reading first
  RootProcess(const FitData& data, Guess guess, Guess envelope, double background_m_s);

  [[nodiscard]] Array shape(int /*plane*/, const Array& y, const Array& z) const override {
    return guess_(y, z).max(0.0);
  }
  [[nodiscard]] NodeFunctionals functionals(int plane,
                                            const Array& y,
                                            const Array& z,
                                            const NodeWeights& weights) const override;
  [[nodiscard]] CrossPosterior cross(int plane,
                                     const Array& y,
                                     const Array& z,
                                     const Functionals& of,
                                     const Places& places) const override;
  /// Log marginal likelihood of the uncensored speeds (the root's, turned into the speed's).
  [[nodiscard]] double log_evidence() const { return log_evidence_; }

 private:
  [[nodiscard]] Features features(const Array& y, const Array& z) const;
  [[nodiscard]] Array guessed_root(const Array& y, const Array& z) const;

  Guess guess_;
  Guess envelope_;
  Window window_;

  Hyper hyper_;
  Features samples_;
  Eigen::LLT<Matrix> llt_;
  Vector alpha_;
  double log_evidence_ = 0.0;
};

}  // namespace sweepflux
