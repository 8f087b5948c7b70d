#include "sweepflux/rank/verdict.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace sweepflux {
namespace {

SurveyResult one_plane() {
  SurveyResult result;
  PlaneResult plane;
  plane.distance_m = 1.2;
  plane.budget = {{"probe scale", 0.01, 0.03}, {"ambient drift", 0.02, 0.02}};
  result.planes.push_back(plane);
  return result;
}

bool says(const SurveyResult& result, const std::string& words) {
  const std::vector<std::string> said = survey_verdict(result);
  return std::any_of(said.begin(), said.end(), [&](const std::string& sentence) {
    return sentence.find(words) != std::string::npos;
  });
}

TEST(Verdict, NamesTheLargestContributionToEachUncertainty) {
  SurveyResult result = one_plane();
  EXPECT_TRUE(says(result, "uncertainty of the flow: ambient drift; of the momentum flux: probe scale"));
  result.planes[0].budget[0].volume_flow_m3_s = 0.05;
  EXPECT_TRUE(says(result, "of flow and momentum flux alike: probe scale"));
}

TEST(Verdict, AsksForAReadingWithTheFanOffUntilThereIsOne) {
  SurveyResult result = one_plane();
  EXPECT_TRUE(says(result, "ambient_speed"));
  result.survey.air.ambient_speed_m_s = Measured{0.03, 0.01};
  EXPECT_FALSE(says(result, "ambient_speed"));
}

}  // namespace
}  // namespace sweepflux
