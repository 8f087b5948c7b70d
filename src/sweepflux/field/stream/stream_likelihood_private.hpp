#pragma once

#include "sweepflux/field/stream/plane_readings_private.hpp"
#include "sweepflux/field/stream/stream_speed_private.hpp"

#include <functional>
#include <vector>

namespace sweepflux {

/// Likelihood of a plane's readings under a stream, the coefficients of the residual, of the sweeps'
/// gains and of their heights' errors integrated out in closed form: reading = u (1 + g) (1 + gain)
/// + height error du/dz + sideways share + drift + offset + noise. Censored readings follow one
/// after the other, each by the probability below its limit under the mean and variance that the
/// coefficients have by then, which take the moments of the cut normal [assumed density filtering,
/// Minka 2001]. Keeps its scratch memory: one object a thread.
class PlaneLikelihood {
 public:
  /// @param readings  must outlive this
  explicit PlaneLikelihood(const PlaneReadings& readings) : readings_(&readings) {}

  /// Natural logarithm, of a density in the stream's units. `shares` weighs each sweep's readings
  /// (0: left out, 1: in); empty: all in.
  [[nodiscard]] double log_likelihood(const PlaneStream& stream, const SurveyStream& survey,
                                      const std::vector<double>& shares = {});

  /// Means of the readings under the cores alone: rows, then censored places.
  void means(const PlaneStream& stream, const SurveyStream& survey, std::vector<double>& out);

  /// Adds to J' C^-1 J and J' C^-1 e of the stream that log_likelihood saw last [Gauss-Newton], C
  /// the covariance that the coefficients and the noise make; a censored reading counts as one whose
  /// slope and curvature its probability has.
  ///
  /// @param slopes    of the means, by each parameter; an empty one does not matter here
  /// @param hessian   row by row, parameters squared
  void add_normal_equations(const std::vector<std::vector<double>>& slopes,
                            std::vector<double>& hessian, std::vector<double>& gradient) const;

  /// Readings of a sweep less what the stream and these coefficients have them be, with the standard
  /// deviation of their noise. Of the stream that log_likelihood saw last.
  void departures(const PlaneStream& stream, const SurveyStream& survey, int sweep,
                  const std::vector<float>& coefficients, std::vector<double>& departure,
                  std::vector<double>& noise) const;

  /// A draw of the coefficients of the stream that log_likelihood saw last: residual_columns, then
  /// a gain a sweep, then a height's error a sweep.
  /// @param normal  gives independent standard normal variables
  [[nodiscard]] std::vector<float> draw(const std::function<double()>& normal);

 private:
  // Of a row or a censored one, by the first of its two places: speed of the cores, what the probe sees
  // of them, columns of the residual.
  [[nodiscard]] double seen_speed(const StreamSpeeds& speeds, const PlaneStream& stream,
                                  std::size_t place, double share) const;
  void fill_columns(const PlaneStream& stream, std::size_t place, float* out) const;
  void fill_rows(const PlaneStream& stream, const SurveyStream& survey,
                 const std::vector<double>& shares);
  void factorise();
  void invert();
  void times_covariance(const float* column, float* out);
  double censored(const PlaneStream& stream, const SurveyStream& survey,
                  const std::vector<double>& shares);

  const PlaneReadings* readings_;
  StreamSpeeds speeds_, other_;
  std::size_t columns_ = 0, stride_ = 0;
  double log_likelihood_ = 0.0;
  bool inverted_ = false;
  std::vector<float> rows_;       ///< whitened columns of each row
  std::vector<double> weight_, departure_;   ///< of each row: root of 1 / variance; whitened
  std::vector<double> pull_, curve_;         ///< of each censored place: slope and curvature
  std::vector<float> gram_;       ///< then its upper Cholesky factor
  std::vector<float> inverse_;    ///< of that factor
  std::vector<float> half_;       ///< scratch
  std::vector<double> mean_;      ///< of the coefficients
  struct Site {
    std::vector<float> column, along;
    double scale = 0.0, left = 1.0;
  };
  std::vector<Site> sites_;
  std::size_t site_count_ = 0;
};

}  // namespace sweepflux
