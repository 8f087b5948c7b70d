#include "sweepflux/rank/survey_summary.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace sweepflux {
namespace {

SurveyResult one_plane() {
  SurveyResult result;
  PlaneResult plane;
  plane.distance_m = 1.2;
  plane.budget = {{"probe scale", 0.01, 0.03}, {"ambient air speed not measured", 0.02, 0.02}};
  result.planes.push_back(plane);
  return result;
}

bool says(const SurveyResult& result, const std::string& words) {
  const std::vector<std::string> said = survey_summary(result);
  return std::any_of(said.begin(), said.end(), [&](const std::string& sentence) {
    return sentence.find(words) != std::string::npos;
  });
}

TEST(SurveySummary, NamesTheLargestContributionToEachUncertainty) {
  SurveyResult result = one_plane();
  EXPECT_TRUE(says(result, "uncertainty of the flow: ambient air speed not measured; of the momentum flux: probe scale"));
  result.planes[0].budget[0].volume_flow_m3_s = 0.05;
  EXPECT_TRUE(says(result, "of flow and momentum flux alike: probe scale"));
}

TEST(SurveySummary, SaysWhereTheMomentumFluxAgreesWithTheThrustAndWhereItDoesNot) {
  SurveyResult result = one_plane();
  EXPECT_TRUE(says(result, "There is no balance reading"));
  result.thrust_n = Estimate{};
  CrossCheck near, far;
  near.distance_m = 1.2;
  near.agrees = true;
  far.distance_m = 2.4;
  result.cross_check = {near, far};
  EXPECT_TRUE(says(result, "The momentum flux agrees with the thrust at 1.2 m."));
  EXPECT_TRUE(says(result, "The momentum flux does not agree with the thrust at 2.4 m."));
}

TEST(SurveySummary, NamesAPlaneWithoutANumberWithTheReason) {
  SurveyResult result = one_plane();
  EXPECT_FALSE(says(result, "no number for the whole plane"));
  result.planes[0].withheld = "the readings do not bracket a stream";
  EXPECT_TRUE(says(result, "At 1.2 m there is no number for the whole plane: the readings do not"));
}

TEST(SurveySummary, AsksForAReadingWithTheFanOffUntilThereIsOne) {
  SurveyResult result = one_plane();
  EXPECT_TRUE(says(result, "ambient_speed"));
  result.survey.air.ambient_speed_m_s = Measured{0.03, 0.01};
  EXPECT_FALSE(says(result, "ambient_speed"));
}

}  // namespace
}  // namespace sweepflux
