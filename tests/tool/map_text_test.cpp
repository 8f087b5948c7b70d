#include "tool/map_text.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/rank/survey_summary.hpp"
#include "tests/support/made_result.hpp"
#include "tool/columns.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace sweepflux::tool {
namespace {

std::size_t count_in(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++count;
  }
  return count;
}

/// Lines joined again where they were cut.
std::string unwrapped(std::string text) {
  for (std::size_t at = text.find("\n  "); at != std::string::npos; at = text.find("\n  ", at)) {
    text.replace(at, text.find_first_not_of(' ', at + 1) - at, " ");
  }
  return text;
}

TEST(MapText, CutsNoLineBetweenANumberAndItsUnit) {
  for (std::size_t filler = 60; filler < 110; ++filler) {
    const std::string text =
        wrapped(std::string(filler, 'x') + " within +-9.9 % (from 1.5 m, 3 rows)", 2);
    EXPECT_EQ(text.find("9.9\n"), std::string::npos) << text;
    EXPECT_EQ(text.find("1.5\n"), std::string::npos) << text;
  }
  EXPECT_EQ(wrapped("a 3 m", 0), "a 3 m\n");
}

TEST(MapText, SaysOnceWhichUncertaintyItQuotes) {
  EXPECT_EQ(count_in(map_text(test::made_result()), uncertainty_words), 1u);
}

TEST(MapText, GivesAWarningOfSeveralPlanesInOneLine) {
  SurveyResult result = test::made_result();
  ASSERT_GT(result.planes.size(), 1u);
  result.planes[0].warnings = {"12 % of the flow is extrapolated"};
  result.planes[1].warnings = {"41 % of the flow is extrapolated"};
  const std::string text = map_text(result);
  EXPECT_EQ(count_in(text, "of the flow is extrapolated"), 1u) << text;
  EXPECT_NE(text.find("12 to 41 % of the flow is extrapolated"), std::string::npos) << text;
}

TEST(MapText, LeavesOutSharesThatWereNotComputed) {
  SurveyResult result = test::made_result();
  for (PlaneResult& plane : result.planes) {
    plane.warnings.clear();
  }
  EXPECT_GT(count_in(map_text(result), "% extrapolated"), 0u);
  for (PlaneResult& plane : result.planes) {
    plane.flow_extrapolated = plane.momentum_extrapolated =
        std::numeric_limits<double>::quiet_NaN();
  }
  EXPECT_EQ(count_in(map_text(result), "% extrapolated"), 0u);
}

TEST(MapText, NamesTheNextSweepInTheWordsOfTheSummary) {
  SurveyResult result = test::made_result();
  result.next_sweep = NextSweep{result.planes[0].distance_m, 1.21, 0.01};
  const std::string next = next_sweep_text(result);
  EXPECT_NE(next.find("from +- 0.03 to +- 0.01 N"), std::string::npos) << next;
  EXPECT_NE(unwrapped(map_text(result)).find(next), std::string::npos);
  EXPECT_EQ(survey_summary(result).back().substr(1), next.substr(1) + ".");
  result.next_sweep->momentum_uncertainty_after_n = 0.0299;
  EXPECT_NE(next_sweep_text(result).find("would hardly lower"), std::string::npos);
}

}  // namespace
}  // namespace sweepflux::tool
