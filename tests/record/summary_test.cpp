#include "sweepflux/record/summary.hpp"

#include "tests/support/made_result.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <clocale>
#include <cmath>
#include <fstream>
#include <limits>

namespace sweepflux {
namespace {

using Json = nlohmann::json;

std::string refusal(std::string_view text) {
  try {
    static_cast<void>(parse_summary(text, "some/summary.json"));
  } catch (const InputError& error) {
    return error.what();
  }
  return "not refused";
}

TEST(Summary, HoldsTheKeysThatOtherProgramsRelyOn) {
  const Json json = Json::parse(summary_json(test::made_result()));
  EXPECT_TRUE(json.at("sweepflux").is_string());
  for (const char* key : {"title", "fan", "setting"}) {
    EXPECT_TRUE(json.at("survey").at(key).is_string()) << key;
  }
  EXPECT_EQ(json.at("air").at("density_kg_m3").at("value"), 1.187);
  EXPECT_EQ(json.at("air").at("density_kg_m3").at("standard_uncertainty"), 0.002);
  const Json& plane = json.at("planes").at(0);
  EXPECT_EQ(plane.at("distance_m"), 1.5);
  EXPECT_EQ(plane.at("sweeps"), 2);
  EXPECT_EQ(plane.at("readings"), 61);
  EXPECT_EQ(plane.at("left_out"), 3);
  for (const char* key : {"volume_flow_m3_s", "momentum_flux_n", "kinetic_power_w"}) {
    EXPECT_TRUE(plane.at(key).at("value").is_number()) << key;
    EXPECT_TRUE(plane.at(key).at("standard_uncertainty").is_number()) << key;
    EXPECT_EQ(plane.at(key).at("interval_95").size(), 2u) << key;
  }
  EXPECT_EQ(plane.at("share_beyond_readings").at("volume_flow"), 0.21);
  EXPECT_EQ(plane.at("share_beyond_readings").at("momentum_flux"), 0.031);
  EXPECT_EQ(plane.at("peak_speed_m_s"), 3.9);
  EXPECT_EQ(plane.at("centre_m").at("y"), 0.02);
  EXPECT_EQ(plane.at("centre_m").at("z"), 0.95);
  EXPECT_EQ(plane.at("half_width_m").at("y"), 0.16);
  EXPECT_EQ(plane.at("half_width_m").at("z"), 0.17);
  EXPECT_EQ(plane.at("budget").at(0).at("source"), "probe scale");
  EXPECT_EQ(plane.at("budget").at(0).at("volume_flow_m3_s"), 0.012);
  EXPECT_EQ(plane.at("budget").at(0).at("momentum_flux_n"), 0.048);
  EXPECT_EQ(json.at("thrust_n").at("interval_95"), Json({0.93, 0.97}));
  const Json& check = json.at("cross_check").at(0);
  EXPECT_EQ(check.at("distance_m"), 1.5);
  EXPECT_EQ(check.at("ratio"), 0.96);
  EXPECT_EQ(check.at("ratio_interval_95"), Json({0.89, 1.03}));
  EXPECT_EQ(check.at("normalised_error"), -0.63);
  EXPECT_EQ(check.at("agrees"), true);
  EXPECT_EQ(json.at("next_sweep").at("distance_m"), 1.5);
  EXPECT_EQ(json.at("next_sweep").at("height_m"), 1.21);
  EXPECT_EQ(json.at("next_sweep").at("momentum_uncertainty_after_n"), 0.027);
}

TEST(Summary, ReadBackAndWrittenAgainGivesTheSameText) {
  SurveyResult whole = test::made_result();
  whole.stream = StreamSummary{{0.93, 0.02, 0.89, 0.97},
                               false,
                               Estimate{-0.08, 0.02, -0.12, -0.04},
                               Estimate{-0.31, 0.2, -0.7, 0.1},
                               std::nullopt,
                               Estimate{0.27, 0.03, 0.21, 0.33}};
  whole.sampler = SamplerReport{512, 431.5, 0.21, true, 0};
  whole.stream_check = whole.cross_check.at(0);
  const std::string text = summary_json(whole);
  EXPECT_EQ(summary_json(parse_summary(text, "here")), text);

  SurveyResult bare = test::made_result();
  bare.thrust_n.reset();
  bare.cross_check.clear();
  bare.next_sweep.reset();
  bare.survey.outlet = {OutletShape::slot, 0, 0.06, 0.8, 0.62, 0.05, std::nullopt, {}};
  bare.planes[0].half_width_z_m = std::numeric_limits<double>::quiet_NaN();
  const std::string bare_text = summary_json(bare);
  EXPECT_EQ(summary_json(parse_summary(bare_text, "here")), bare_text);
}

TEST(Summary, KeepsEveryBitOfANumber) {
  SurveyResult result = test::made_result();
  result.planes[0].momentum_flux_n.value = 0.1 + 0.2;
  result.planes[0].peak_speed_m_s = 4.9e-324;
  const SurveyResult back = parse_summary(summary_json(result), "here");
  EXPECT_EQ(back.planes[0].momentum_flux_n.value, 0.1 + 0.2);
  EXPECT_EQ(back.planes[0].peak_speed_m_s, 4.9e-324);
}

TEST(Summary, SaysNullForWhatIsNotKnown) {
  SurveyResult result = test::made_result();
  result.thrust_n.reset();
  result.next_sweep.reset();
  result.planes[0].half_width_y_m = std::numeric_limits<double>::infinity();
  const Json json = Json::parse(summary_json(result));
  EXPECT_TRUE(json.at("thrust_n").is_null());
  EXPECT_TRUE(json.at("thrust_zero_drift_n").is_null());
  EXPECT_TRUE(json.at("next_sweep").is_null());
  EXPECT_TRUE(json.at("planes").at(0).at("half_width_m").at("y").is_null());
  EXPECT_TRUE(std::isnan(parse_summary(json.dump(), "here").planes[0].half_width_y_m));
}

TEST(Summary, NamesEveryRowThatGaveNoReading) {
  const Json rows = Json::parse(summary_json(test::made_result())).at("left_out");
  ASSERT_EQ(rows.size(), 3u);
  EXPECT_EQ(rows[1].at("sweep"), "low.csv");
  EXPECT_EQ(rows[1].at("line"), 23);
  EXPECT_EQ(rows[1].at("reason"), "over range `OL`");
  EXPECT_EQ(rows[1].at("over_range"), true);
}

TEST(Summary, SurvivesANameThatIsNoUtf8) {
  SurveyResult result = test::made_result();
  result.planes[0].samples.sweeps[0].name = "caf\xE9.csv";
  const Json json = Json::parse(summary_json(result));
  EXPECT_EQ(json["planes"][0]["sweep_list"][0]["name"], "caf\xEF\xBF\xBD.csv");
}

TEST(Summary, RefusesBrokenJsonWithLineAndColumn) {
  EXPECT_EQ(refusal("{\n  \"sweepflux\": }"),
            "some/summary.json:2:16: is no JSON; give a summary.json as `sweepflux map` writes it");
}

TEST(Summary, RefusesJsonOfSomethingElse) {
  EXPECT_NE(refusal("[1, 2]").find("no summary of sweepflux"), std::string::npos);
  EXPECT_NE(refusal("{\"name\": \"x\"}").find("no summary of sweepflux"), std::string::npos);
}

TEST(Summary, RefusesASummaryWithAKeyMissingOrOfTheWrongKind) {
  Json json = Json::parse(summary_json(test::made_result()));
  json["planes"][1].erase("peak_speed_m_s");
  EXPECT_NE(refusal(json.dump()).find("peak_speed_m_s"), std::string::npos);
  json = Json::parse(summary_json(test::made_result()));
  json["planes"][1]["sweeps"] = "two";
  EXPECT_NE(refusal(json.dump()).find("not a whole summary"), std::string::npos);
}

TEST(Summary, RefusesAFileThatIsNotThere) {
  EXPECT_THROW(static_cast<void>(read_summary(test::scratch_folder() / "none.json")), InputError);
  EXPECT_THROW(static_cast<void>(read_summary(test::scratch_folder())), InputError);
}

TEST(Summary, IsReadFromAFile) {
  const std::filesystem::path file = test::scratch_folder() / "summary.json";
  std::ofstream(file) << summary_json(test::made_result());
  EXPECT_EQ(read_summary(file).planes.size(), 2u);
}

}  // namespace
}  // namespace sweepflux
