#pragma once

#include "sweepflux/field/stream/common_residual_private.hpp"
#include "sweepflux/field/stream/plane_readings_private.hpp"
#include "sweepflux/field/stream/stream_speed_private.hpp"

#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <vector>

namespace sweepflux {

/// Noise-free readings still differ from any model by .002 of the highest: its square.
inline constexpr double least_noise_2 = 4e-6;

/// Stands for a log likelihood that cannot be computed.
inline constexpr double not_computable = -1e30;

/// Sum of products over whole registers, in an order that compilers may vectorise.
inline double dot(const float* __restrict a, const float* __restrict b, std::size_t count) {
  float lane[lanes] = {};
  for (std::size_t j = 0; j < count; j += lanes) {
    for (std::size_t k = 0; k < lanes; ++k) {
      lane[k] += a[j + k] * b[j + k];
    }
  }
  float sum = 0.0f;
  for (const float l : lane) {
    sum += l;
  }
  return static_cast<double>(sum);
}

inline constexpr double log_2_pi = 1.8378770664093453;

/// Weight of a sweep's readings; none: all in.
inline double share_of(const std::vector<double>& shares, int sweep) {
  return shares.empty() ? 1.0 : shares[static_cast<std::size_t>(sweep)];
}

/// Each reading stands for two places, as neighbours may be one row.
inline double mean_of_two(const std::vector<float>& values,
                          const std::array<std::size_t, 2>& places) {
  return 0.5 * static_cast<double>(values[places[0]] + values[places[1]]);
}

/// Likelihood of a plane's readings under a stream, the coefficients of the residual, of the sweeps'
/// gains and of their heights' errors integrated out in closed form: reading = u (1 + g) (1 + gain)
/// + height error du/dz + sideways share + drift + offset + noise, whose variance has a least part.
/// Censored readings follow one after the other, each by the probability below its limit under the
/// mean and variance that the coefficients have by then, which take the moments of the cut normal
/// [assumed density filtering, Minka 2001]; two neighbours by that of the higher of them, as normal
/// [Clark 1961]. Keeps its scratch memory: one object a thread.
class PlaneLikelihood {
 public:
  /// @param readings  must outlive this
  explicit PlaneLikelihood(const PlaneReadings& readings);

  /// Natural logarithm, of a density in the stream's units; not_computable or less where it cannot be
  /// computed.
  /// `shares` weighs each sweep's readings (0: left out, 1: in); empty: all in.
  /// `common`: given what planes have in common of the residual; empty: given that it is zero.
  [[nodiscard]] double log_likelihood(const PlaneStream& stream, const SurveyStream& survey,
                                      const std::vector<double>& shares = {},
                                      const std::vector<double>& common = {});

  /// The same in two steps: of the readings above the limit, which bounds it from above, then of the
  /// censored ones given those, at most 0, once after the former. What is not more than `least` may
  /// be any value as small.
  [[nodiscard]] double of_rows(const PlaneStream& stream, const SurveyStream& survey,
                               const std::vector<double>& shares = {});
  [[nodiscard]] double of_censored(const PlaneStream& stream, const SurveyStream& survey,
                                   const std::vector<double>& shares = {},
                                   double least = -std::numeric_limits<double>::infinity(),
                                   const UpperFactor* common = nullptr);

  /// Between the two. What the rows say of the residual that planes have in common; and how given()
  /// a value of it changes their log density: moves the coefficients. of_censored then takes it as
  /// known, or as normal with the value as mean and this precision.
  void add_to(CommonResidual& common) const;
  [[nodiscard]] double given(const std::vector<double>& common);

  /// Means of the readings under the cores alone: rows, then censored places.
  void means(const PlaneStream& stream, const SurveyStream& survey, std::vector<double>& out);

  /// Adds to J' C^-1 J and J' C^-1 e of the stream that log_likelihood saw last [Gauss-Newton], C
  /// the covariance that the coefficients and the noise make; a censored reading counts as one whose
  /// slope and curvature its probability has.
  ///
  /// @param slopes    of the means, by each parameter; an empty one does not matter here
  /// @param hessian   row by row, parameters squared
  ///
  /// @param in_common  of each parameter, what it pulls of the common residual: of all planes, as J
  ///                   and e here are given that it is zero
  void add_normal_equations(const std::vector<std::vector<double>>& slopes,
                            std::vector<double>& hessian, std::vector<double>& gradient,
                            std::vector<std::vector<double>>& in_common) const;

  /// Readings of a sweep less what the stream and these coefficients have them be, with the standard
  /// deviation of their noise. Of the stream that log_likelihood saw last.
  void departures(const PlaneStream& stream, const SurveyStream& survey, int sweep,
                  const std::vector<float>& coefficients, std::vector<double>& departure,
                  std::vector<double>& noise) const;

  /// A draw of the coefficients of the stream that log_likelihood saw last: residual_columns, then
  /// a gain a sweep, then a height's error a sweep. What planes have in common is as given.
  /// @param normal  gives independent standard normal variables
  [[nodiscard]] std::vector<float> draw(const std::function<double()>& normal);

 private:
  /// A censored reading that moves the coefficients.
  struct Site {
    std::size_t index = 0;       ///< in the readings
    double limit = 0.0, mean = 0.0, noise_2 = 0.0, slope = 0.0;
    std::vector<float> column;
    std::vector<float> reduced;  ///< in independent coordinates: products of two are covariances
    double pull = 0.0, scale = 0.0;  ///< what it does to the mean; to the covariance
  };

  [[nodiscard]] double seen_speed(const StreamSpeeds& speeds, const PlaneStream& stream,
                                  std::size_t reading, double share) const;
  /// Columns of the residual at some readings: rows, then censored ones.
  void columns_at(const PlaneStream& stream, const std::vector<std::size_t>& readings,
                  std::vector<float>& out) const;
  void fill_rows(const PlaneStream& stream, const SurveyStream& survey,
                 const std::vector<double>& shares);
  void sum_products();
  void integrate_out();
  /// Common over own part of the residual.
  [[nodiscard]] double ratio() const { return std::sqrt(1.0 - own_ * own_) / own_; }
  double find_sites(const PlaneStream& stream, const SurveyStream& survey,
                    const std::vector<double>& shares, const UpperFactor* common);
  /// Drops the sites whose variance by these columns leaves so little chance of a reading above the
  /// limit that they say too little to move the coefficients; adds their log probability.
  void drop_clear_sites(std::vector<float> Site::*columns, double factor, double& log_sum);
  /// Columns of all sites over the factor; then what they have of the common residual, over its.
  void reduce_sites(const UpperFactor* common);
  double take_sites(double least);

  const PlaneReadings* readings_;
  StreamSpeeds speeds_, other_;
  // Columns: a gain and a height's error a sweep, which touch its rows alone; then the residual's.
  std::vector<std::size_t> begin_, end_;  ///< rows of each sweep, in whole registers
  std::size_t columns_ = 0, stride_ = 0, rows_stride_ = 0;
  double log_likelihood_ = 0.0;
  double own_ = 1.0;              ///< share of the residual that is the plane's own
  std::vector<float> rows_;       ///< whitened, a column after the other
  UpperFactor gram_;              ///< 1 + R'R
  std::vector<float> departure_;  ///< of each row, whitened
  std::vector<double> weight_;    ///< of each row: root of 1 / variance
  std::vector<double> mean_;      ///< of the coefficients, by the rows
  std::vector<double> pull_, curve_;  ///< of each censored reading: slope and curvature
  std::vector<Site> sites_;
  std::size_t site_count_ = 0;
  std::vector<std::size_t> asked_;    ///< scratch
  std::vector<float> block_;          ///< scratch
};

}  // namespace sweepflux
