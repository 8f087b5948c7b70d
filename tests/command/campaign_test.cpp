// One file for many fans and settings, through the commands that take it.
#include "tests/command/run.hpp"
#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <string>

namespace sweepflux {
namespace {

using test::run;

namespace fs = std::filesystem;

fs::path new_campaign(const fs::path& folder) {
  EXPECT_EQ(run({"new", folder.string(), "--campaign"}).exit_code, 0);
  return folder / "campaign.toml";
}

TEST(campaign, thrust_names_the_settings_that_have_no_balance_readings) {
  const fs::path folder = test::scratch_folder();
  const fs::path file = new_campaign(folder / "loft");
  const auto ran =
      run({"thrust", file.string(), "--no-pictures", "--out", (folder / "out").string()});
  ASSERT_EQ(ran.exit_code, 0) << ran.err;
  EXPECT_NE(ran.out.find("\nNotes:\n"), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find("from its two arms"), std::string::npos) << ran.out;
  const std::string json = test::file_content(folder / "out" / "thrust.json");
  EXPECT_NE(json.find("heron-2 has no balance readings"), std::string::npos) << json;
  EXPECT_NE(json.find("\"title\": \"Herb loft\""), std::string::npos) << json;
}

TEST(campaign, plan_and_map_head_each_setting_with_its_name) {
  const fs::path file = new_campaign(test::scratch_folder() / "loft");
  const auto planned = run({"plan", file.string(), "--count", "1"});
  ASSERT_EQ(planned.exit_code, 0) << planned.err;
  EXPECT_TRUE(planned.out.starts_with("heron-3\n\n")) << planned.out;
  EXPECT_NE(planned.out.find("\n\nheron-2\n\n"), std::string::npos) << planned.out;
  const auto mapped = run({"map", file.string(), "--no-pictures"});
  EXPECT_TRUE(mapped.out.starts_with("heron-3\n\n")) << mapped.out;
  EXPECT_NE(mapped.out.find("\nheron-2: has no sweep yet, and is left out\n"), std::string::npos)
      << mapped.out;
}

TEST(campaign, compare_says_why_there_is_nothing_to_compare) {
  const fs::path file = new_campaign(test::scratch_folder() / "loft");
  std::string text = test::file_content(file);
  const std::size_t sweep = text.find("[[fan.setting.sweep]]");
  text.erase(sweep, text.find("[[fan.setting]]", sweep) - sweep);
  std::ofstream(file, std::ios::binary) << text;
  const auto ran = run({"compare", file.string()});
  EXPECT_EQ(ran.exit_code, 2);
  EXPECT_NE(ran.err.find("heron-3 has neither sweeps nor balance readings yet"), std::string::npos)
      << ran.err;
}

TEST(campaign, faults_of_all_logs_come_at_once) {
  const fs::path folder = test::scratch_folder();
  const fs::path file = new_campaign(folder / "loft");
  std::string text = test::file_content(file);
  for (const char* name : {"first", "second"}) {
    std::ofstream(folder / "loft" / (std::string(name) + ".csv"))
        << "time [s],angle [deg],speed [m/s]\n0,0,n/a\n1,0,n/a\n2,0,n/a\n";
    const std::size_t at =
        text.find(*name == 'f' ? "# [fan.setting.gusts]" : "# [fan.setting.air]");
    text.insert(at,
                "[[fan.setting.sweep]]\nlog = \"" + std::string(name) +
                    ".csv\"\ndistance = \"1.5 m\"\nheight = \"1 m\"\n");
  }
  std::ofstream(file, std::ios::binary) << text;
  const auto ran = run({"map", file.string()});
  EXPECT_EQ(ran.exit_code, 2);
  EXPECT_NE(ran.err.find("first.csv"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("second.csv"), std::string::npos) << ran.err;
}

}  // namespace
}  // namespace sweepflux
