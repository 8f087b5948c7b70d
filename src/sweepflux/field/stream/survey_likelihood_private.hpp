#pragma once

#include "sweepflux/field/stream/mode_search_private.hpp"
#include "sweepflux/field/stream/stream_likelihood_private.hpp"

#include <functional>
#include <span>
#include <vector>

namespace sweepflux {

/// What the readings of a plane say under a stream.
struct PlaneDraw {
  double log_likelihood = 0.0;
  std::vector<float> coefficients;  ///< a draw
  std::vector<double> common = {};  ///< residual that all planes share, which it was computed with
};

/// Likelihood of the readings of all planes, as a function of the prior's vector. Keeps scratch
/// memory: one object a thread.
class SurveyLikelihood {
 public:
  /// @param prior, readings  must outlive this
  SurveyLikelihood(const StreamPrior& prior, const std::vector<PlaneReadings>& readings);

  /// What is not more than `least` may be any value as small.
  [[nodiscard]] double log_likelihood(std::span<const double> z, double least);

  /// What the sampler and the search for modes ask. They hold this.
  [[nodiscard]] SamplerTarget target(std::function<bool()> stop,
                                     std::vector<StartingNormal> start = {});
  [[nodiscard]] ModeSearch search();

  /// A draw of each plane's coefficients under a stream.
  [[nodiscard]] std::vector<PlaneDraw> draw(const SurveyStream& stream,
                                            const std::function<double()>& normal);

 private:
  /// Of the readings above the limit, in all planes; then common_ is what planes have in common.
  double of_rows(const SurveyStream& stream);
  /// Of all readings, once the former was computed.
  double with_censored(const SurveyStream& stream, double rows, double least);
  std::vector<double> means(const SurveyStream& stream);
  void add_normal_equations(std::span<const double> z,
                            const std::vector<std::size_t>& entries,
                            const std::vector<double>& steps,
                            std::vector<double>& hessian,
                            std::vector<double>& gradient);

  const StreamPrior& prior_;
  const std::vector<PlaneReadings>& readings_;
  std::vector<PlaneLikelihood> planes_;
  CommonResidual common_;
};

}  // namespace sweepflux
