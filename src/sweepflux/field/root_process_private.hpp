#pragma once

#include "sweepflux/field/covariance_private.hpp"
#include "sweepflux/field/field_part_private.hpp"
#include "sweepflux/field/mean_model_private.hpp"

#include <Eigen/Cholesky>

#include <vector>

namespace sweepflux {

/// The candidate without a shape: the square root of the speed as a Gaussian process about
/// nought, so that the speed is never negative. Of one plane. Its speed has mean m^2 + V and
/// variance 4 m^2 V + 2 V^2 where the root has m and V.
class RootProcess final : public FieldPart {
 public:
  explicit RootProcess(const FitData& data, int plane = 0);

  [[nodiscard]] Array shape(int /*plane*/, const Array& y, const Array& /*z*/) const override {
    return Array::Zero(y.size());
  }
  [[nodiscard]] NodePosterior posterior(int plane, const Array& y, const Array& z) const override;
  [[nodiscard]] Matrix covariance(int plane, const Array& y, const Array& z,
                                  const Matrix& w) const override;
  [[nodiscard]] CrossPosterior cross(int plane, const Array& y, const Array& z, const Vector& c,
                                     const Places& places) const override;
  /// Log marginal likelihood of the uncensored speeds (the root's, turned into the speed's).
  [[nodiscard]] double log_evidence() const { return log_evidence_; }

 private:
  [[nodiscard]] static Features features(const Array& y, const Array& z);

  Hyper hyper_;
  Features samples_;
  Eigen::LLT<Matrix> llt_;
  Vector alpha_;
  double log_evidence_ = 0.0;
};

}  // namespace sweepflux
