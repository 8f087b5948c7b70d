#pragma once

#include "sweepflux/field/stream/covariance_private.hpp"
#include "sweepflux/field/stream/field_part_private.hpp"
#include "sweepflux/field/stream/mean_model_private.hpp"

#include <Eigen/Cholesky>

#include <string>
#include <vector>

namespace sweepflux {

/// A mean model plus a Gaussian process for what the mean cannot say:
///   speed = m(x; t) + w(x) f(x),  f Matern 5/2 in half-width coordinates.
/// The shape t is not held at its best: points spread over its posterior with f integrated out, so
/// doubt of the shape is carried as far as the shape really moves, bends and all; the posterior of
/// the speed gathers over them. For the evidence and for sweeps left out, where a closed form is
/// wanted, J (t' - t) with big steps stands for the points [Rasmussen & Williams 2006, 2.7].
/// Each sweep has its own gain and height error. Censored samples count only where the field would
/// rise above what they allow.
class ResidualProcess final : public FieldPart {
 public:
  ResidualProcess(const FitData& data, const MeanModel& model, MeanModel::Fitted fitted);
  /// A stream only guessed, before any reading: points about `guess` with the given deviations. The
  /// samples in `data` say where the stream is expected, and count for nothing else.
  ResidualProcess(const FitData& data,
                  const MeanModel& model,
                  const Vector& guess,
                  const Vector& guess_sd,
                  const Hyper& hyper);

  /// The same best shape and process with another word on its parameters, as `model` has it: to be
  /// spread.
  ResidualProcess(const ResidualProcess& other, const MeanModel& model);

  /// Spreads points over the shape's posterior. Before, the best shape stands alone; only
  /// candidates that weigh are worth it.
  void spread();

  [[nodiscard]] const MeanModel& model() const { return *model_; }
  [[nodiscard]] const MeanModel::Fitted& fitted() const { return fitted_; }
  [[nodiscard]] const Hyper& hyper() const { return hyper_; }
  /// Where the spread has its middle; the best shape before.
  [[nodiscard]] const Vector& middle() const { return points_.front(); }

  [[nodiscard]] Features features(int plane, const Array& y, const Array& z) const;
  [[nodiscard]] Array shape(int plane, const Array& y, const Array& z) const override {
    return model_->evaluate(fitted_.t, plane, y, z);
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

  /// Log marginal likelihood of the uncensored samples.
  [[nodiscard]] double log_evidence() const { return log_evidence_; }

  /// Each sweep foretold from the others, parameters held (closed form).
  struct LeftOutSweep {
    int sweep = 0;
    double log_score = 0.0;
    double rms_error = 0.0;
    double z = 0.0;  ///< rms of the whitened... error over foretold deviation
  };
  [[nodiscard]] const std::vector<LeftOutSweep>& left_out_sweeps() const { return left_out_; }
  struct LeftOutReading {
    Eigen::Index sample = 0;
    double expected = 0.0;
    double z = 0.0;
  };
  /// Samples more than `limit` standard deviations from what all others say.
  [[nodiscard]] std::vector<LeftOutReading> outlying(double limit) const;

 private:
  void choose();
  void select(const Array& field);
  void factor();
  void explain();  ///< what each point of the shape leaves to the process
  void judge();
  [[nodiscard]] Features sample_features(const std::vector<Eigen::Index>& which) const;
  /// Covariance of the process, each plane's own departure included; without shape and structure.
  [[nodiscard]] Matrix kernel(const Features& a, const Features& b) const;
  [[nodiscard]] Array kernel_diagonal(const Features& f) const;
  [[nodiscard]] Array field_at_samples() const;
  void spread_shapes();
  /// Nodes x points: the speed that each point of the shape foretells there.
  [[nodiscard]] Matrix points_at(int plane,
                                 const Array& y,
                                 const Array& z,
                                 const Matrix& cross_kernel) const;
  /// value value' where both places are in one sweep, else nought.
  [[nodiscard]] Matrix same_sweep(const std::vector<Eigen::Index>& which, const Array& value) const;
  void add_noise(Matrix& k, const std::vector<Eigen::Index>& which, const Array& sd) const;

  const FitData& data_;
  const MeanModel* model_;
  MeanModel::Fitted fitted_;
  Vector prior_sd_;
  Hyper hyper_;
  Array all_mean_, all_slope_;  ///< mean and its slope in z at every sample

  std::vector<Eigen::Index> kept_;  ///< samples that count
  Array kept_value_, kept_sd_;
  Features kept_features_;
  Eigen::LLT<Matrix> llt_;
  std::vector<Vector> points_;  ///< of the shape: centre, then two along each axis
  Matrix alpha_;                ///< kept samples x points

  double log_evidence_ = 0.0;
  std::vector<LeftOutSweep> left_out_;
  std::vector<LeftOutReading> loo_;
};

}  // namespace sweepflux
