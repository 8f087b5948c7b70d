#include "tests/support/make_survey.hpp"

#include "sweepflux/capture/survey/read_survey.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <string>

namespace sweepflux::test {
namespace {

TEST(MakeSurvey, TurnsAJetOnTheRightIntoLargeSpeedsAtNegativeAngles) {
  // y runs to the right for someone who faces the fan, and y = -D sin(angle).
  const Survey survey = make_survey(known_field("offset"), {});
  const Sweep& sweep = survey.sweeps.back();
  const auto top = std::max_element(
      sweep.readings.begin(), sweep.readings.end(), [](const Reading& l, const Reading& r) {
        return l.speed_m_s < r.speed_m_s;
      });
  EXPECT_LT(top->position, 0.0);
}

TEST(MakeSurvey, IsTheSameForTheSameSeedAndAnotherForAnother) {
  SurveyPlan plan;
  const Survey one = make_survey(known_field("twin"), plan);
  const Survey same = make_survey(known_field("twin"), plan);
  plan.seed = 2;
  const Survey other = make_survey(known_field("twin"), plan);
  bool differs = false;
  for (std::size_t k = 0; k < one.sweeps.size(); ++k) {
    for (std::size_t i = 0; i < one.sweeps[k].readings.size(); ++i) {
      EXPECT_EQ(one.sweeps[k].readings[i].speed_m_s, same.sweeps[k].readings[i].speed_m_s);
      differs |= one.sweeps[k].readings[i].speed_m_s != other.sweeps[k].readings[i].speed_m_s;
    }
  }
  EXPECT_TRUE(differs);
}

TEST(MakeSurvey, DrawsNoiseOfTheStatedSize) {
  SurveyPlan plan;
  plan.scale_uncertainty = 0.0;
  plan.offset_uncertainty_m_s = 0.0;
  plan.starting_speed_m_s = 0.0;
  plan.heights_m = {std::vector<double>(200, 0.9)};
  const Survey noisy = make_survey(known_field("gauss"), plan);
  const Survey clean = make_survey(known_field("gauss"), without_errors(plan));
  double sum = 0.0;
  double square = 0.0;
  double count = 0.0;
  for (std::size_t k = 0; k < noisy.sweeps.size(); ++k) {
    for (std::size_t i = 0; i < noisy.sweeps[k].readings.size(); ++i) {
      const double truth = clean.sweeps[k].readings[i].speed_m_s;
      if (truth < 0.5) {
        continue;  // a negative draw would have been cut at nothing
      }
      const double z =
          (noisy.sweeps[k].readings[i].speed_m_s - truth) / std::hypot(0.05, 0.03 * truth);
      sum += z;
      square += z * z;
      count += 1.0;
    }
  }
  ASSERT_GT(count, 1000.0);
  EXPECT_NEAR(sum / count, 0.0, 4.0 / std::sqrt(count));
  EXPECT_NEAR(square / count, 1.0, 4.0 * std::sqrt(2.0 / count));
}

TEST(MakeSurvey, DrawsCommonErrorsOnceASurveyAndOfTheStatedSize) {
  SurveyPlan plan;
  plan.noise_relative = 0.0;
  plan.noise_m_s = 0.0;
  plan.offset_uncertainty_m_s = 0.0;
  double square = 0.0;
  const int surveys = 300;
  for (int seed = 1; seed <= surveys; ++seed) {
    plan.seed = static_cast<std::uint64_t>(seed);
    plan.heights_m = {{0.9, 0.95}};
    const Survey survey = make_survey(known_field("gauss"), plan);
    const Survey clean = make_survey(known_field("gauss"), without_errors(plan));
    const double gain =
        survey.sweeps[0].readings[20].speed_m_s / clean.sweeps[0].readings[20].speed_m_s;
    EXPECT_NEAR(survey.sweeps[1].readings[20].speed_m_s,
                gain * clean.sweeps[1].readings[20].speed_m_s,
                1e-9);
    square += (gain - 1.0) * (gain - 1.0);
  }
  EXPECT_NEAR(std::sqrt(square / surveys), 0.02, 0.02 * 4.0 / std::sqrt(2.0 * surveys));
}

TEST(MakeSurvey, DealsOneCombRoundTheDistances) {
  SurveyPlan plan;
  plan.distances_m = {1.4, 1.8, 2.2};
  plan.count = 3;
  plan.jitter = 0.0;
  plan.rule = HeightRule::dealt_round;
  plan.motion = Motion::traverse;
  const auto heights = heights_of(known_field("gauss"), plan);
  std::vector<double> scaled;
  for (std::size_t plane = 0; plane < 3; ++plane) {
    ASSERT_EQ(heights[plane].size(), 3U);
    for (const double height : heights[plane]) {
      scaled.push_back((height - 0.9) * 1.8 / plan.distances_m[plane]);
    }
  }
  std::sort(scaled.begin(), scaled.end());
  for (std::size_t i = 1; i < scaled.size(); ++i) {
    EXPECT_NEAR(scaled[i] - scaled[i - 1], 0.84 / 9, 2e-4);
  }
  EXPECT_NEAR(scaled[4], 0.0, 0.0801);
}

TEST(MakeSurvey, PutsFirstAndLastHeightAtTheEndsWithoutJitter) {
  SurveyPlan plan;
  plan.jitter = 0.0;
  plan.count = 4;
  const auto heights = heights_of(known_field("floor"), plan);
  EXPECT_NEAR(heights[0].front(), 0.05, 1e-4);
  EXPECT_NEAR(heights[0].back(), 0.55, 1e-4);
}

TEST(MakeSurvey, WritesEverySweepWithEveryReading) {
  const Survey survey = make_survey(known_field("floor"), {});
  const std::filesystem::path file = write_survey(survey, scratch_folder());
  ASSERT_TRUE(std::filesystem::exists(file));
  for (const Sweep& sweep : survey.sweeps) {
    std::ifstream table(file.parent_path() / sweep.file);
    std::string row;
    std::size_t rows = 0;
    while (std::getline(table, row)) {
      ++rows;
    }
    EXPECT_EQ(rows, sweep.readings.size() + 1);
  }
}

TEST(MakeSurvey, ComesBackFromItsFilesAsItWas) {
  SurveyPlan plan;
  plan.ambient_speed_m_s = Measured{0.1, 0.02};
  plan.pivot_m = 0.11;
  for (const Motion motion : {Motion::swivel, Motion::traverse}) {
    plan.motion = motion;
    for (const char* name : {"drift", "slot", "floor"}) {
      const Survey made = make_survey(known_field(name), plan);
      const Survey read = read_survey(write_survey(made, scratch_folder()));
      EXPECT_EQ(read.fan, name);
      EXPECT_EQ(read.rig.motion, motion);
      EXPECT_EQ(read.outlet.shape, made.outlet.shape);
      EXPECT_NEAR(read.outlet.area_m2(), made.outlet.area_m2(), 1e-12);
      EXPECT_EQ(read.room.floor_m.has_value(), made.room.floor_m.has_value());
      ASSERT_TRUE(read.air.ambient_speed_m_s.has_value());
      EXPECT_NEAR(read.air.ambient_speed_m_s->value, 0.1, 1e-12);
      EXPECT_NEAR(read.air.ambient_speed_m_s->standard_uncertainty, 0.02, 1e-12);
      EXPECT_NEAR(read.probe.scale_uncertainty, 0.02, 1e-12);
      EXPECT_NEAR(read.probe.starting_speed_m_s, 0.3, 1e-12);
      ASSERT_TRUE(read.balance.has_value());
      EXPECT_NEAR(read.balance->readings_n.at(1), made.balance->readings_n.at(1), 1e-12);
      ASSERT_EQ(read.sweeps.size(), made.sweeps.size());
      for (std::size_t k = 0; k < made.sweeps.size(); ++k) {
        EXPECT_NEAR(read.sweeps[k].height_m, made.sweeps[k].height_m, 1e-12);
        ASSERT_EQ(read.sweeps[k].readings.size(), made.sweeps[k].readings.size());
        for (std::size_t i = 0; i < made.sweeps[k].readings.size(); ++i) {
          EXPECT_NEAR(
              read.sweeps[k].readings[i].position, made.sweeps[k].readings[i].position, 1e-12);
          EXPECT_EQ(read.sweeps[k].readings[i].speed_m_s, made.sweeps[k].readings[i].speed_m_s);
          EXPECT_EQ(read.sweeps[k].readings[i].line, made.sweeps[k].readings[i].line);
        }
      }
    }
  }
}

TEST(MakePlaneSamples, SaysWhatTheProbeSawAndWhereItSawNothing) {
  const auto planes = make_plane_samples(known_field("gauss"), {});
  ASSERT_EQ(planes.size(), 1U);
  const PlaneSamples& plane = planes[0];
  EXPECT_EQ(plane.samples.size(), 5U * 41U);
  std::size_t censored = 0;
  for (const Sample& sample : plane.samples) {
    EXPECT_TRUE(plane.window.contains(sample.at));
    EXPECT_GE(sample.noise_m_s, 0.05);
    EXPECT_LT(sample.noise_m_s, 0.15);
    EXPECT_EQ(sample.at.z_m, plane.sweeps.at(static_cast<std::size_t>(sample.sweep)).height_m);
    if (sample.censored) {
      ++censored;
      EXPECT_EQ(sample.speed_m_s, 0.3);
    } else {
      EXPECT_GE(sample.speed_m_s, 0.3);
    }
  }
  EXPECT_GT(censored, 50U);
  EXPECT_LT(censored, 190U);
}

}  // namespace
}  // namespace sweepflux::test
