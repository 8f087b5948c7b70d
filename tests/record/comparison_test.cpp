#include "sweepflux/record/comparison.hpp"

#include "tests/support/made_result.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <sstream>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

Comparison made_comparison() {
  std::vector<FanAtSetting> entries{summarise(test::made_result())};
  FanAtSetting e;
  e.fan = "teal, \"new\"";
  e.setting = "6";
  e.source = "session.toml";
  e.thrust_n = Estimate{1.4, 0.01, 1.38, 1.42};
  e.power_w = Measured{60.0, 1.0};
  e.density_kg_m3 = Measured{1.2, 0.002};
  e.outlet = Outlet{};
  e.outlet->diameter_m = 0.35;
  entries.push_back(e);
  return compare(std::move(entries));
}

/// Cells of one line, quotes understood.
std::vector<std::string> cells(const std::string& line) {
  std::vector<std::string> out(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '"') {
      if (quoted && i + 1 < line.size() && line[i + 1] == '"') {
        out.back() += line[i++];
      } else {
        quoted = !quoted;
      }
    } else if (line[i] == ',' && !quoted) {
      out.emplace_back();
    } else {
      out.back() += line[i];
    }
  }
  return out;
}

TEST(comparison_csv, names_are_no_formulas_and_numbers_stay_numbers) {
  FanAtSetting e;
  e.fan = "=1+2";
  e.setting = "-3";
  e.source = "@x/survey.toml";
  e.thrust_n = Estimate{-0.5, 0.01, -0.52, -0.48};
  const std::string csv = comparison_csv(compare({e}));
  EXPECT_NE(csv.find("\n'=1+2,'-3,thrust,,-0.5,0.01,-0.52,-0.48,N,measured,'@x/survey.toml\n"),
            std::string::npos)
      << csv;
}

TEST(comparison_csv, every_row_has_every_column_and_awkward_names_survive) {
  std::istringstream csv(comparison_csv(made_comparison()));
  std::string line;
  std::getline(csv, line);
  const std::size_t columns = cells(line).size();
  EXPECT_EQ(columns, 11u);
  std::size_t rows = 0, awkward = 0;
  bool flow_seen = false;
  while (std::getline(csv, line)) {
    const auto row = cells(line);
    ASSERT_EQ(row.size(), columns) << line;
    ++rows;
    awkward += row[0] == "teal, \"new\"" ? 1u : 0u;
    if (row[2] == "volume_flow" && row[9] == "measured" && row[3] == "1.39") {
      flow_seen = true;
      EXPECT_EQ(row[4], "0.61");
      EXPECT_EQ(row[8], "m3/s");
    }
    EXPECT_TRUE(row[9] == "measured" || row[9] == "derived" || row[9] == "predicted") << line;
  }
  EXPECT_GT(rows, 20u);
  EXPECT_GT(awkward, 5u);
  EXPECT_TRUE(flow_seen);
}

TEST(comparison_json, can_be_read_back_and_says_what_was_measured) {
  const Comparison c = made_comparison();
  const auto json = nlohmann::json::parse(comparison_json(c));
  ASSERT_EQ(json.at("entries").size(), 2u);
  EXPECT_EQ(json.at("entries")[0].at("planes").size(), 2u);
  EXPECT_EQ(json.at("entries")[0].at("planes")[0].at("volume_flow_m3_s").at("value"), 0.61);
  EXPECT_TRUE(json.at("entries")[0].at("power_w").at("value").is_number());
  bool ranked = false;
  for (const auto& ranking : json.at("rankings")) {
    if (ranking.at("by") == "thrust") {
      ranked = true;
      EXPECT_EQ(ranking.at("rows")[0].at("fan"), "teal, \"new\"");
      EXPECT_EQ(ranking.at("rows")[0].at("place"), 1);
      EXPECT_TRUE(ranking.at("differences")[0].at("different_at_95"));
    }
  }
  EXPECT_TRUE(ranked);
  EXPECT_EQ(json.at("predicted").size(), 2u);
}

TEST(session_csv, a_row_a_setting_in_newtons_and_grams_force) {
  SessionThrust thrust;
  SettingThrust s;
  s.fan = "heron";
  s.setting = "3";
  s.repeats = 2;
  s.readings = 6;
  s.thrust_n = {0.980665, 0.01, 0.96, 1.0};
  thrust.settings = {s};
  std::istringstream csv(session_csv(thrust));
  std::string head, row;
  std::getline(csv, head);
  std::getline(csv, row);
  EXPECT_EQ(cells(head).size(), cells(row).size());
  EXPECT_EQ(cells(row)[4], "0.980665");
  EXPECT_EQ(cells(row)[8].substr(0, 3), "100");
  EXPECT_EQ(cells(row)[10], "");  // no power was read
}

}  // namespace
}  // namespace sweepflux
