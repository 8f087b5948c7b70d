#include "sweepflux/field/stream/stream_likelihood_private.hpp"
#include "tests/support/dice.hpp"

#include <Eigen/Cholesky>
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double own = 0.4, gain_sd = 0.02, height_sd = 0.03;
constexpr std::size_t rows_a_plane = 2, stops_a_row = 9;

PlaneStream stream_of(double size) {
  PlaneStream s;
  s.core[0].a = s.a = 1.2 * size;
  s.core[0].b = s.b = 0.8 * size;
  s.core[0].amplitude = 1.1 / size;
  s.n = 1.8;
  s.xi = 0.1;
  s.bump_sd = 0.1;
  s.ring_sd = 0.06;
  s.lobe_sd = 0.08;
  return s;
}

SurveyStream survey_of_two() {
  SurveyStream s;
  s.planes = {stream_of(1.0), stream_of(1.3)};
  s.own_residual = own;
  s.noise_factor = 1.1;
  return s;
}

/// Two sweeps of nine readings in each of two planes, every third of which stands for two places;
/// the second plane has one censored reading more.
std::array<PlaneReadings, 2> readings_of_two(double limit) {
  test::Dice dice(1);
  std::array<PlaneReadings, 2> out;
  for (PlaneReadings& r : out) {
    r.sweeps = rows_a_plane;
    r.gain_sd = gain_sd;
    r.height_sd = height_sd;
    r.downstream = 10.0;
    for (int sweep = 0; sweep < static_cast<int>(rows_a_plane); ++sweep) {
      for (std::size_t i = 0; i < stops_a_row; ++i) {
        const std::size_t first = r.y.size(), places = i % 3 == 0 ? 2 : 1;
        for (std::size_t k = 0; k < places; ++k) {
          r.y.push_back(0.3f * (static_cast<float>(i) - 4.2f) + 0.25f * static_cast<float>(k));
          r.z.push_back(0.7f * (static_cast<float>(sweep) - 0.4f));
        }
        r.places.push_back({first, first + places - 1});
        r.rows.push_back({std::abs(dice.normal(0.6)), 1e-3, 1.0, 0.0, sweep});
      }
    }
  }
  out[1].places.push_back({out[1].y.size(), out[1].y.size()});
  out[1].y.push_back(1.6f);
  out[1].z.push_back(0.42f);
  out[1].censored.push_back({limit, 1e-3, 1, 0.0, 1});
  return out;
}

/// All readings at once in double precision, none of the algebra of the classes: columns for what
/// is common, for each plane's own, for each sweep; the censored reading last.
struct Dense {
  Eigen::MatrixXd columns;
  Eigen::VectorXd mean, noise_2, departure;

  Dense(const SurveyStream& survey, const std::array<PlaneReadings, 2>& readings) {
    const auto g = static_cast<Eigen::Index>(residual_columns);
    const auto all = static_cast<Eigen::Index>(2 * rows_a_plane * stops_a_row + 1);
    columns = Eigen::MatrixXd::Zero(all, 3 * g + static_cast<Eigen::Index>(4 * rows_a_plane));
    mean.resize(all);
    noise_2.resize(all);
    departure = Eigen::VectorXd::Zero(all);
    Eigen::Index i = 0;
    for (std::size_t p = 0; p < 2; ++p) {
      const PlaneReadings& r = readings[p];
      for (std::size_t k = 0; k < r.places.size(); ++k, ++i) {
        double u = 0.0, u_z = 0.0;
        for (const std::size_t place : r.places[k]) {
          StreamSpeeds v;
          stream_speeds(survey.planes[p], &r.y[place], &r.z[place], 1, true, v);
          float row[residual_columns * lanes];
          residual_at(survey.planes[p], v.p.data(), v.q.data(), v.r.data(), 1, row);
          const double half = 0.5 * static_cast<double>(v.u[0]);
          for (Eigen::Index j = 0; j < g; ++j) {
            const double c = half * static_cast<double>(row[j * static_cast<Eigen::Index>(lanes)]);
            columns(i, j) += std::sqrt(1.0 - own * own) * c;
            columns(i, g + static_cast<Eigen::Index>(p) * g + j) += own * c;
          }
          u += half;
          u_z += 0.5 * static_cast<double>(v.u_z[0]);
        }
        const bool is_row = k < r.rows.size();
        const int sweep = is_row ? r.rows[k].sweep : r.censored[0].sweep;
        const auto of_sweep = p * rows_a_plane + static_cast<std::size_t>(sweep);
        const Eigen::Index at = 3 * g + 2 * static_cast<Eigen::Index>(of_sweep);
        columns(i, at) = gain_sd * u;
        columns(i, at + 1) = height_sd * u_z;
        mean[i] = u;
        noise_2[i] = std::pow(survey.noise_factor, 2) * 1e-3 +
                     std::pow(survey.noise_share * u, 2) + least_noise_2;
        departure[i] = is_row ? r.rows[k].value - u : 0.0;
      }
    }
  }

  [[nodiscard]] Eigen::Index rows() const { return mean.size() - 1; }
  [[nodiscard]] Eigen::MatrixXd covariance() const {
    Eigen::MatrixXd c = columns * columns.transpose();
    c.diagonal() += noise_2;
    return c;
  }
};

struct Both {
  std::array<PlaneReadings, 2> readings;
  SurveyStream survey = survey_of_two();
  PlaneLikelihood plane[2];
  CommonResidual common;
  double of_rows = 0.0;

  explicit Both(double limit)
      : readings(readings_of_two(limit)),
        plane{PlaneLikelihood(readings[0]), PlaneLikelihood(readings[1])} {
    common.clear();
    for (std::size_t p = 0; p < 2; ++p) {
      of_rows += plane[p].of_rows(survey.planes[p], survey);
      plane[p].add_to(common);
    }
    of_rows += common.log_evidence();
  }
};

TEST(CommonResidual, LikelihoodIsThatOfTheDenseCovarianceOfAllPlanes) {
  const Both both(0.1);
  const Dense dense(both.survey, both.readings);
  const Eigen::Index n = dense.rows();
  const Eigen::LLT<Eigen::MatrixXd> factor(dense.covariance().topLeftCorner(n, n));
  const Eigen::VectorXd white = factor.matrixL().solve(dense.departure.head(n));
  const double log_root_det = Eigen::MatrixXd(factor.matrixL()).diagonal().array().log().sum();
  EXPECT_NEAR(both.of_rows,
              -0.5 * white.squaredNorm() - log_root_det -
                  0.5 * static_cast<double>(n) * std::log(2.0 * std::numbers::pi),
              2e-3);
}

TEST(CommonResidual, CoefficientsHaveTheMeanThatAllPlanesGiveThem) {
  Both both(0.1);
  const Dense dense(both.survey, both.readings);
  const Eigen::Index n = dense.rows(), g = static_cast<Eigen::Index>(residual_columns);
  const Eigen::VectorXd c =
      dense.columns.topRows(n).transpose() *
      dense.covariance().topLeftCorner(n, n).ldlt().solve(dense.departure.head(n));
  for (std::size_t p = 0; p < 2; ++p) {
    (void)both.plane[p].given(both.common.mean());
    const std::vector<float> found = both.plane[p].draw([] { return 0.0; });
    for (Eigen::Index j = 0; j < g; ++j) {
      const double wanted = std::sqrt(1.0 - own * own) * c[j] +
                            own * c[g + static_cast<Eigen::Index>(p) * g + j];
      EXPECT_NEAR(static_cast<double>(found[static_cast<std::size_t>(j)]), wanted, 2e-3);
    }
  }
}

TEST(CommonResidual, ACensoredReadingIsPredictedFromAllPlanes) {
  for (const double limit : {0.2, 0.45, 0.7}) {
    Both both(limit);
    const Dense dense(both.survey, both.readings);
    const Eigen::Index n = dense.rows();
    const Eigen::MatrixXd c = dense.covariance();
    const Eigen::VectorXd weights =
        c.topLeftCorner(n, n).ldlt().solve(Eigen::VectorXd(c.col(n).head(n)));
    const double mean = dense.mean[n] + weights.dot(dense.departure.head(n));
    const double variance = c(n, n) - weights.dot(c.col(n).head(n));
    const double wanted = log_normal_cdf((limit - mean) / std::sqrt(variance));
    (void)both.plane[1].given(both.common.mean());
    const double found = both.plane[1].of_censored(
        both.survey.planes[1], both.survey, {}, -1e9, &both.common.precision());
    EXPECT_NEAR(found, wanted, 3e-3 + 3e-3 * std::abs(wanted)) << limit;
  }
}

TEST(CommonResidual, GivenItsValueThePlanesAddUpToTheWhole) {
  // log p(rows) = log p(rows | c) + log p(c) - log p(c | rows), whatever c is.
  Both both(0.1);
  const std::vector<double> mean = both.common.mean();
  double of_planes = 0.0, prior = 0.0;
  for (std::size_t p = 0; p < 2; ++p) {
    of_planes += both.plane[p].of_rows(both.survey.planes[p], both.survey) +
                 both.plane[p].given(mean);
  }
  double posterior = 0.0;
  for (std::size_t j = 0; j < residual_columns; ++j) {
    prior -= 0.5 * mean[j] * mean[j];
    posterior += std::log(static_cast<double>(both.common.precision().row(j)[j]));
  }
  EXPECT_NEAR(of_planes + prior - posterior, both.of_rows, 2e-3);
}

TEST(CommonResidual, NormalEquationsAreThoseOfTheDenseCovariance) {
  const Both both(-1.0);  // no limit that the censored reading could clear
  Dense dense(both.survey, both.readings);
  const Eigen::Index n = dense.rows();
  constexpr std::size_t d = 3;
  test::Dice dice(2);
  Eigen::MatrixXd slopes(n, static_cast<Eigen::Index>(d));
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < slopes.cols(); ++j) {
      slopes(i, j) = dice.normal(1.0);
    }
  }
  std::vector<double> hessian(d * d, 0.0), gradient(d, 0.0);
  std::vector<std::vector<double>> in_common(d, std::vector<double>(residual_columns, 0.0));
  for (std::size_t p = 0; p < 2; ++p) {
    std::vector<std::vector<double>> of_plane(d);
    for (std::size_t j = 0; j < d; ++j) {
      for (Eigen::Index i = 0; i < n / 2; ++i) {
        of_plane[j].push_back(
            slopes(static_cast<Eigen::Index>(p) * n / 2 + i, static_cast<Eigen::Index>(j)));
      }
    }
    both.plane[p].add_normal_equations(of_plane, hessian, gradient, in_common);
  }
  both.common.correct(in_common, hessian, gradient);
  const auto inverse = dense.covariance().topLeftCorner(n, n).ldlt();
  const Eigen::MatrixXd h = slopes.transpose() * inverse.solve(slopes);
  const Eigen::VectorXd g = slopes.transpose() * inverse.solve(dense.departure.head(n));
  for (Eigen::Index j = 0; j < slopes.cols(); ++j) {
    EXPECT_NEAR(gradient[static_cast<std::size_t>(j)], g[j], 1e-3 * h(j, j));
    for (Eigen::Index k = 0; k < slopes.cols(); ++k) {
      EXPECT_NEAR(hessian[static_cast<std::size_t>(j) * d + static_cast<std::size_t>(k)],
                  h(j, k),
                  1e-4 * h(j, j));
    }
  }
}

}  // namespace
}  // namespace sweepflux
