#include "sweepflux/field/stream/survey_likelihood_private.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// Seven sweeps of 41 places through a stream, without noise, in one plane.
std::vector<PlaneReadings> readings_of(const StreamPrior& prior, const SurveyStream& stream) {
  PlaneReadings r;
  r.sweeps = 7;
  for (int sweep = 0; sweep < 7; ++sweep) {
    for (int i = 0; i < 41; ++i) {
      const auto at = r.y.size();
      r.places.push_back({at, at});
      r.y.push_back(0.15f * static_cast<float>(i - 20));
      r.z.push_back(0.6f * static_cast<float>(sweep - 3));
      r.rows.push_back({0.0, 1e-4, 1.0, 0.0, sweep});
    }
  }
  StreamSpeeds speeds;
  stream_speeds(prior.reference(stream), r.y.data(), r.z.data(), r.y.size(), false, speeds);
  for (std::size_t i = 0; i < r.rows.size(); ++i) {
    r.rows[i].value = static_cast<double>(speeds.u[i]);
  }
  return {r};
}

/// Where the cores stand, from left to right, and their strengths.
std::vector<Core> cores_of(const StreamPrior& prior, const std::vector<double>& z) {
  const SurveyStream s = prior.stream(z);
  const PlaneStream& plane = prior.reference(s);
  std::vector<Core> out(plane.core, plane.core + plane.cores);
  std::sort(out.begin(), out.end(), [](const Core& a, const Core& b) { return a.y < b.y; });
  return out;
}

TEST(CorePursuit, FindsTwoCoresSideBySide) {
  StreamScales scales;
  scales.downstream = {10.0};
  scales.extent_y = scales.extent_z = 2.0;
  const StreamPrior prior(scales, 2);
  std::vector<double> truth(prior.dimension(), 0.0);
  const std::size_t y = prior.entries_of_core(0).front(),
                    further = prior.entries_of_core(1).front();
  truth[y] = -1.5;
  truth[further] = 1.5;
  prior.set_strengths(truth, std::vector<double>{1.0, 0.8});
  const std::vector<Core> wanted = cores_of(prior, truth);
  ASSERT_GT(wanted[1].y - wanted[0].y, 1.0);
  EXPECT_NEAR(wanted[0].amplitude, 1.0, 1e-3);
  EXPECT_NEAR(wanted[1].amplitude, 0.8, 1e-3);

  const std::vector<PlaneReadings> readings = readings_of(prior, prior.stream(truth));
  SurveyLikelihood likelihood(prior, readings);
  Dice dice(1);
  const std::vector<std::vector<double>> starts = likelihood.search().starts(dice);
  ASSERT_FALSE(starts.empty());
  const std::vector<Core> first = cores_of(prior, starts.front());
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_NEAR(first[i].y, wanted[i].y, 0.3) << i;
    EXPECT_NEAR(first[i].z, wanted[i].z, 0.3) << i;
    EXPECT_NEAR(first[i].amplitude, wanted[i].amplitude, 0.3) << i;
  }

  // And the climb from there ends at the truth, to what the residual leaves open.
  Dice other(2);
  const std::vector<Mode> modes = find_modes(likelihood.target({}), likelihood.search(), other);
  ASSERT_FALSE(modes.empty());
  const std::vector<Core> found = cores_of(prior, modes.front().z);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_NEAR(found[i].y, wanted[i].y, 0.05) << i;
    EXPECT_NEAR(found[i].amplitude, wanted[i].amplitude, 0.05) << i;
  }
}

TEST(CorePursuit, HasNoStartWhereNothingBlows) {
  StreamScales scales;
  scales.downstream = {10.0};
  scales.extent_y = scales.extent_z = 2.0;
  const StreamPrior prior(scales, 1);
  std::vector<PlaneReadings> readings =
      readings_of(prior, prior.stream(std::vector<double>(prior.dimension(), 0.0)));
  for (PlaneReadings::Row& row : readings[0].rows) {
    row.value = -0.01;
  }
  SurveyLikelihood likelihood(prior, readings);
  Dice dice(1);
  EXPECT_TRUE(likelihood.search().starts(dice).empty());
}

TEST(NormalMixture, InverseUndoesIt) {
  const NormalMixture m(0.7, {0.0, 0.2}, {-0.1, 0.5}, -1.0, 2.0);
  for (const double z : {-3.0, -1.2, 0.0, 0.33, 2.5}) {
    EXPECT_NEAR(m.inverse(m.at(z)), z, 1e-9);
  }
  EXPECT_NEAR(m.at(m.inverse(5.0)), 2.0, 1e-3);
}

}  // namespace
}  // namespace sweepflux
