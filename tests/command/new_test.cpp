#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <fstream>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

TEST(New, MakesASurveyThatMapCanRead) {
  const fs::path folder = test::scratch_folder() / "my fan";
  const auto made = test::run_process(SWEEPFLUX_PROGRAM, {"new", folder.string()});
  ASSERT_EQ(made.exit_code, 0) << made.err;
  EXPECT_NE(made.out.find("sweepflux map"), std::string::npos);
  const auto mapped = test::run_process(
      SWEEPFLUX_PROGRAM, {"map", (folder / "survey.toml").string(), "--no-pictures", "--quiet"});
  // One sweep alone may well give no answer (3), but it must be readable.
  EXPECT_TRUE(mapped.exit_code == 0 || mapped.exit_code == 3) << mapped.err;
}

TEST(New, NeverTouchesWhatIsThere) {
  const fs::path folder = test::scratch_folder();
  std::ofstream(folder / "survey.toml") << "a week of work";
  const auto refused = test::run_process(SWEEPFLUX_PROGRAM, {"new", folder.string()});
  EXPECT_EQ(refused.exit_code, 2);
  EXPECT_NE(refused.err.find("left alone"), std::string::npos) << refused.err;
  EXPECT_EQ(test::file_content(folder / "survey.toml"), "a week of work");
}

TEST(New, NamesItsFilesAsJson) {
  const fs::path folder = test::scratch_folder() / "heron";
  const auto made =
      test::run_process(SWEEPFLUX_PROGRAM, {"new", "--out", folder.string(), "--json"});
  ASSERT_EQ(made.exit_code, 0) << made.err;
  const auto json = nlohmann::json::parse(made.out);
  EXPECT_TRUE(fs::exists(json.at("survey").get<std::string>()));
  EXPECT_TRUE(fs::exists(json.at("sweeps")[0].get<std::string>()));
}

TEST(New, NeedsExactlyOneFolder) {
  EXPECT_EQ(test::run_process(SWEEPFLUX_PROGRAM, {"new"}).exit_code, 2);
  EXPECT_EQ(test::run_process(SWEEPFLUX_PROGRAM, {"new", "a", "--out", "b"}).exit_code, 2);
}

}  // namespace
}  // namespace sweepflux
