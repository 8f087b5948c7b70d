#include "sweepflux/field/stream/stream_likelihood_private.hpp"
#include "sweepflux/field/stream/stream_posterior_private.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/prior_truth.hpp"

#include <Eigen/Cholesky>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {


constexpr ReadingFrame frame{0.2, 3.0, 0.001, false};

PlaneStream oval_stream() {
  PlaneStream s;
  s.core[0].amplitude = 1.05;
  s.core[0].y = s.y = 0.1;
  s.core[0].z = s.z = -0.2;
  s.core[0].a = s.a = 1.2;
  s.core[0].b = s.b = 0.8;
  s.core[0].cosine = s.cosine = std::cos(0.3);
  s.core[0].sine = s.sine = std::sin(0.3);
  s.xi = 0.1;
  s.bump_sd = 0.05;
  s.ring_sd = 0.04;
  s.lobe_sd = 0.06;
  return s;
}

SurveyStream survey_of(const PlaneStream& s) {
  SurveyStream survey;
  survey.planes = {s};
  survey.noise_factor = 1.2;
  survey.noise_share = 0.02;
  survey.drift = 0.01;
  survey.offset = -0.005;
  return survey;
}

/// `step` apart across, three heights; values near the stream, none censored.
PlaneSamples plane_of(double step_m, std::uint64_t seed) {
  test::Dice dice(seed);
  PlaneSamples plane;
  plane.distance_m = plane.downstream_m = 1.8;
  plane.outlet_centre = {0.0, 0.9};
  plane.sweep_gain_sd = 0.01;
  plane.common.height_m = 0.004;
  for (int k = 0; k < 3; ++k) {
    plane.sweeps.push_back({"row", {}, 0.8 + 0.12 * k, 0, 0});
    for (double y = -0.4; y < 0.4; y += step_m) {
      Sample s;
      s.at = {y, plane.sweeps.back().height_m};
      const double r2 = (y * y + std::pow(s.at.z_m - 0.88, 2)) / 0.04;
      s.speed_m_s = 3.0 * std::exp2(-r2) + dice.normal(0.06);
      s.noise_m_s = 0.05;
      s.sideways = 0.1 * y;
      s.sweep = k;
      plane.samples.push_back(s);
    }
  }
  return plane;
}

/// The same density by the covariance of all readings, in double precision and with none of the
/// algebra of the class.
double dense_log_likelihood(const PlaneSamples& plane,
                            const PlaneStream& s,
                            const SurveyStream& survey) {
  const auto n = static_cast<Eigen::Index>(plane.samples.size());
  const auto sweeps = static_cast<Eigen::Index>(plane.sweeps.size());
  const auto g = static_cast<Eigen::Index>(residual_columns);
  Eigen::MatrixXd h = Eigen::MatrixXd::Zero(n, g + 2 * sweeps);
  Eigen::VectorXd e(n), noise_2(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Sample& sample = plane.samples[static_cast<std::size_t>(i)];
    const auto y = static_cast<float>(sample.at.y_m / frame.length_m);
    const auto z = static_cast<float>((sample.at.z_m - 0.9) / frame.length_m);
    StreamSpeeds v;
    stream_speeds(s, &y, &z, 1, true, v);
    const double u = v.u[0];
    const double seen = u + sample.sideways * sideways_speed(s, 1.8 / frame.length_m, u, y, z);
    float row[residual_columns * lanes];
    residual_at(s, v.p.data(), v.q.data(), v.r.data(), 1, row);
    for (Eigen::Index j = 0; j < g; ++j) {
      h(i, j) = seen * static_cast<double>(row[j * static_cast<Eigen::Index>(lanes)]);
    }
    h(i, g + sample.sweep) = plane.sweep_gain_sd * seen;
    h(i, g + sweeps + sample.sweep) =
        plane.common.height_m / frame.length_m * static_cast<double>(v.u_z[0]);
    e[i] = sample.speed_m_s / frame.speed_m_s - seen - survey.drift - survey.offset;
    noise_2[i] = std::pow(survey.noise_factor * sample.noise_m_s / frame.speed_m_s, 2) +
                 std::pow(survey.noise_share * u, 2) + least_noise_2;
  }
  Eigen::MatrixXd c = h * h.transpose();
  c.diagonal() += noise_2;
  const Eigen::LLT<Eigen::MatrixXd> factor(c);
  const Eigen::VectorXd white = factor.matrixL().solve(e);
  const double log_root_det = Eigen::MatrixXd(factor.matrixL()).diagonal().array().log().sum();
  return -0.5 * white.squaredNorm() - log_root_det -
         0.5 * static_cast<double>(n) * std::log(2.0 * std::numbers::pi);
}

TEST(StreamLikelihood, IsThatOfTheDenseCovariance) {
  const PlaneSamples plane = plane_of(0.031, 1);
  const PlaneStream s = oval_stream();
  const SurveyStream survey = survey_of(s);
  const PlaneReadings readings = plane_readings(plane, frame);
  ASSERT_EQ(readings.rows.size(), plane.samples.size());
  PlaneLikelihood likelihood(readings);
  EXPECT_NEAR(likelihood.log_likelihood(s, survey), dense_log_likelihood(plane, s, survey), 1e-3);
}

TEST(StreamLikelihood, LeavesOutASweepAsIfItHadNeverBeenMade) {
  const PlaneSamples plane = plane_of(0.031, 2);
  PlaneSamples fewer = plane;
  std::erase_if(fewer.samples, [](const Sample& s) { return s.sweep == 1; });
  const PlaneStream s = oval_stream();
  const SurveyStream survey = survey_of(s);
  const PlaneReadings readings = plane_readings(plane, frame);
  PlaneLikelihood likelihood(readings);
  EXPECT_NEAR(likelihood.log_likelihood(s, survey, {1.0, 0.0, 1.0}),
              dense_log_likelihood(fewer, s, survey),
              1e-3);
}

TEST(StreamLikelihood, DrawsHaveTheMomentsOfTheConditionalNormal) {
  // Few rows, so that the residual's coefficients stay as the prior has them along most directions;
  // along a row's own column the conditional is known.
  PlaneSamples plane = plane_of(0.031, 3);
  plane.samples.resize(1);
  const PlaneStream s = oval_stream();
  const SurveyStream survey = survey_of(s);
  const PlaneReadings readings = plane_readings(plane, frame);
  PlaneLikelihood likelihood(readings);
  (void)likelihood.log_likelihood(s, survey);
  std::vector<double> departure, noise;
  test::Dice dice(4);
  double sum = 0.0, squares = 0.0;
  constexpr int draws = 4000;
  for (int d = 0; d < draws; ++d) {
    const std::vector<float> c = likelihood.draw([&] { return dice.normal(1.0); });
    likelihood.departures(s, survey, 0, c, departure, noise);
    // departures() leaves out the height's error, which the gain and the residual are not.
    sum += departure.front() / draws;
    squares += departure.front() * departure.front() / draws;
  }
  std::vector<float> none(residual_columns + 6, 0.0f);
  likelihood.departures(s, survey, 0, none, departure, noise);
  const double e = departure.front(), noise_2 = noise.front() * noise.front();
  // Prior variances of what departures() knows of, and of the height's error.
  std::vector<float> unit = none;
  double known_2 = 0.0;
  for (std::size_t j = 0; j < residual_columns + 1; ++j) {
    unit.assign(none.size(), 0.0f);
    unit[j] = 1e-2f;
    likelihood.departures(s, survey, 0, unit, departure, noise);
    known_2 += std::pow((departure.front() - e) / 1e-2, 2);
  }
  StreamSpeeds v;
  stream_speeds(s, readings.y.data(), readings.z.data(), 1, true, v);
  const double height_2 = std::pow(readings.height_sd * static_cast<double>(v.u_z[0]), 2);
  const double all = known_2 + height_2 + noise_2;
  const double mean = e * (1.0 - known_2 / all), variance = known_2 - known_2 * known_2 / all;
  EXPECT_NEAR(sum, mean, 5.0 * std::sqrt(variance / draws) + 1e-5);
  EXPECT_NEAR((squares - sum * sum) / variance, 1.0, 0.12);
}

TEST(StreamLikelihood, OneCensoredReadingIsTheProbabilityBelowItsLimit) {
  PlaneSamples plane = plane_of(0.031, 5);
  plane.samples.resize(1);
  plane.samples[0].censored = true;
  plane.samples[0].sideways = 0.0;
  PlaneStream s = oval_stream();
  s.bump_sd = s.ring_sd = s.lobe_sd = 0.0;
  plane.sweep_gain_sd = 0.0;
  const SurveyStream survey = survey_of(s);
  const PlaneReadings free = plane_readings(plane, frame);
  StreamSpeeds v;
  stream_speeds(s, free.y.data(), free.z.data(), 1, false, v);
  const double u = v.u[0];
  for (const double limit_m_s : {0.0, 0.3, 1.0, 3.0}) {
    plane.samples[0].speed_m_s = limit_m_s;
    const PlaneReadings readings = plane_readings(plane, frame);
    PlaneLikelihood likelihood(readings);
    const double noise = std::hypot(
        survey.noise_factor * 0.05 / 3.0, survey.noise_share * u, std::sqrt(least_noise_2));
    // The outer region's column alone has a variance that stays.
    float row[residual_columns * lanes];
    residual_at(s, v.p.data(), v.q.data(), v.r.data(), 1, row);
    const double sd =
        std::hypot(noise, u * static_cast<double>(row[(residual_columns - 1) * lanes]));
    const double exact = log_normal_cdf((limit_m_s / 3.0 - u - survey.drift - survey.offset) / sd);
    EXPECT_NEAR(likelihood.log_likelihood(s, survey), exact, 1e-3 * std::max(1.0, std::abs(exact)))
        << limit_m_s;
  }
}

TEST(PlaneReadings, RowsOfNeighboursSayWhatTheySay) {
  // Smooth streams differ in log likelihood by as much from neighbours in rows as from each alone.
  PlaneSamples plane = plane_of(0.02, 6);
  for (Sample& s : plane.samples) {
    s.noise_m_s = 0.15;
  }
  ReadingFrame rows = frame;
  rows.finest_m = 0.3 * 0.094 * 1.8;
  const PlaneReadings single = plane_readings(plane, frame), grouped = plane_readings(plane, rows);
  ASSERT_EQ(single.rows.size(), plane.samples.size());
  ASSERT_LT(2 * grouped.rows.size(), single.rows.size() + 1);
  PlaneLikelihood by_single(single), by_group(grouped);
  const PlaneStream middle = oval_stream();
  SurveyStream survey = survey_of(middle);
  survey.noise_factor = 1.0;
  const auto both = [&](const PlaneStream& s) {
    return std::pair{by_single.log_likelihood(s, survey), by_group.log_likelihood(s, survey)};
  };
  const auto [single_0, grouped_0] = both(middle);
  const auto expect_alike = [&](const PlaneStream& s, const char* what) {
    const auto [single_1, grouped_1] = both(s);
    const double change = single_1 - single_0;
    EXPECT_NEAR(grouped_1 - grouped_0, change, 0.1 + 0.03 * std::abs(change)) << what;
  };
  PlaneStream s = middle;
  s.core[0].a = s.a = 1.15;
  expect_alike(s, "width");
  s = middle;
  s.core[0].amplitude = 1.0;
  expect_alike(s, "amplitude");
  s = middle;
  s.core[0].y = s.y = 0.15;
  expect_alike(s, "place");
  s = middle;
  s.n = 2.3;
  expect_alike(s, "flatness");
  s = middle;
  s.bump_sd = 0.02;
  expect_alike(s, "residual");
}

TEST(PlaneReadings, NeverMixCensoredReadingsWithOthersNorSweepsNorLoseAny) {
  PlaneSamples plane = plane_of(0.004, 7);
  for (Sample& s : plane.samples) {
    s.censored = s.speed_m_s < 1.0;
  }
  ReadingFrame rows = frame;
  rows.finest_m = 0.05;
  const PlaneReadings readings = plane_readings(plane, rows);
  double count = 0.0, censored = 0.0;
  for (const auto& row : readings.rows) {
    count += static_cast<double>(row.count);
    EXPECT_GT(row.value, 1.0 / 3.0 - 1e-6);
    // Standard error of a mean of `count`.
    EXPECT_NEAR(row.noise_2 * row.count, std::pow(0.05 / 3.0, 2), 1e-8);
  }
  for (const auto& site : readings.censored) {
    censored += static_cast<double>(site.count);
  }
  const auto below = std::count_if(
      plane.samples.begin(), plane.samples.end(), [](const Sample& s) { return s.censored; });
  EXPECT_EQ(censored, static_cast<double>(below));
  EXPECT_EQ(count + censored, static_cast<double>(plane.samples.size()));
}

TEST(PlaneReadings, NearTheLimitStandAlone) {
  PlaneSamples plane = plane_of(0.004, 7);
  ReadingFrame rows = frame;
  rows.finest_m = 0.05;
  for (Sample& s : plane.samples) {
    s.speed_m_s = 2.0;
  }
  const std::size_t all_clear = plane_readings(plane, rows).rows.size();
  EXPECT_LT(all_clear, plane.samples.size() / 3);
  // The noise is 0.05 m/s: every mean clears the limit by less than three of it, or by more.
  plane.starting_speed_m_s = 1.9;
  EXPECT_EQ(plane_readings(plane, rows).rows.size(), plane.samples.size());
  plane.starting_speed_m_s = 1.8;
  EXPECT_EQ(plane_readings(plane, rows).rows.size(), all_clear);
}

// The slope of a log likelihood has mean zero over readings that its own parameters make: whatever
// approximates the likelihood must keep that, or every interval is off to one side.
TEST(PlaneLikelihood, ItsSlopesHaveMeanZeroOverReadingsOfItsOwnStream) {
  constexpr int times = 500;
  for (const std::uint64_t seed : {3ULL, 8ULL}) {
    test::PriorTruth truth = test::draw_prior_truth(test::round_outlet(), 5, seed);
    const auto& scales = truth.stream.parts().scales;
    const SurveyStream at = truth.stream.parts().draws.front().stream;
    const auto moved = [&](int which, double step) {
      SurveyStream s = at;
      PlaneStream& p = s.planes.front();
      for (int c = 0; c < p.cores; ++c) {
        Core& core = p.core[c];
        core.amplitude *= which == 0 ? std::exp(step) : 1.0;
        core.a *= which == 1 ? std::exp(step) : 1.0;
        core.b *= which == 1 ? std::exp(step) : 1.0;
        core.z += which == 2 ? step : 0.0;
      }
      p.n *= which == 3 ? std::exp(step) : 1.0;
      s.drift += which == 4 ? 0.1 * step : 0.0;
      s.noise_factor *= which == 5 ? std::exp(step) : 1.0;
      return s;
    };
    double sum[6] = {}, squares[6] = {};
    for (int i = 0; i < times; ++i) {
      test::measure_again(truth, 1000 + static_cast<std::uint64_t>(i));
      const PlaneSamples& plane = truth.planes.front();
      PlaneReadings readings = plane_readings(
          plane, {scales.length_m, scales.speed_m_s, 0.3 * 0.094 * plane.downstream_m, false});
      PlaneLikelihood likelihood(readings);
      for (int which = 0; which < 6; ++which) {
        constexpr double step = 0.003;
        const SurveyStream up = moved(which, step), down = moved(which, -step);
        const double slope = (likelihood.log_likelihood(up.planes.front(), up) -
                              likelihood.log_likelihood(down.planes.front(), down)) /
                             (2.0 * step);
        sum[which] += slope;
        squares[which] += slope * slope;
      }
    }
    for (int which = 0; which < 6; ++which) {
      const double mean = sum[which] / times;
      const double sd = std::sqrt(squares[which] / times - mean * mean);
      // A fifth of a standard deviation of one survey's slope, and the noise of the mean of 500.
      EXPECT_LT(std::abs(mean), 0.2 * sd + 3.0 * sd / std::sqrt(times)) << seed << ' ' << which;
    }
  }
}

}  // namespace
}  // namespace sweepflux
