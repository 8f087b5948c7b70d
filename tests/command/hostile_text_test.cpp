#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <fstream>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

/// The demo session with another name for one of its fans.
fs::path write_session(const fs::path& folder, const std::string& fan_in_toml) {
  fs::create_directories(folder);
  std::string text = test::file_content(test::source_folder() / "scans/balance-day/session.toml");
  for (std::size_t at = text.find("\"heron\""); at != std::string::npos;
       at = text.find("\"heron\"", at)) {
    text.replace(at, 7, "\"" + fan_in_toml + "\"");
    at += fan_in_toml.size();
  }
  std::ofstream(folder / "session.toml", std::ios::binary) << text;
  return folder / "session.toml";
}

/// Bytes that steer a terminal: control characters, and in UTF-8 C1 and what turns text around.
bool steers(const std::string& text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    const auto next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1]) : 0U;
    if ((byte < 0x20U && byte != '\n') || byte == 0x7FU || (byte == 0xC2U && next < 0xA0U) ||
        text.compare(i, 3, "\xE2\x80\xAE") == 0 || text.compare(i, 3, "\xE2\x81\xA7") == 0) {
      return true;
    }
  }
  return false;
}

TEST(HostileText, OfASessionIsShownEscaped) {
  const fs::path folder = test::scratch_folder();
  const fs::path session =
      write_session(folder, "he\\u001B[2Jr\\u009B31mo\\u202En\\u2067\\u007F\\t");
  const auto text = test::run_process(
      SWEEPFLUX_PROGRAM, {"thrust", session.string(), "--out", (folder / "out").string()});
  ASSERT_EQ(text.exit_code, 0) << text.err;
  EXPECT_FALSE(steers(text.out)) << text.out;
  EXPECT_NE(text.out.find("he\\x1B[2Jr\\xC2\\x9B31mo\\xE2\\x80\\xAEn"), std::string::npos)
      << text.out;
  const auto json = test::run_process(SWEEPFLUX_PROGRAM, {"thrust", session.string(), "--json"});
  ASSERT_EQ(json.exit_code, 0) << json.err;
  EXPECT_FALSE(steers(json.out));
  const auto parsed = nlohmann::json::parse(json.out);
  bool same = false;
  for (const auto& setting : parsed.at("settings")) {
    same = same || setting.at("fan") ==
                       "he\x1B[2Jr\xC2\x9B"
                       "31mo\xE2\x80\xAEn\xE2\x81\xA7\x7F\t";
  }
  EXPECT_TRUE(same) << "JSON holds the name as it is";
}

TEST(HostileText, OfFileNamesAndArgumentsIsShownEscaped) {
  const fs::path folder = test::scratch_folder();
  const std::vector<std::vector<std::string>> commands = {
      {"map", (folder / "no\x1B[2J\nsuch\xFF.toml").string()},
      {"compare", (folder / "no\x1B]0;x\x07such").string()},
      {"\x1B[31mmop"},
      {"map", "x", "--\x1B[31m"}};
  for (const auto& command : commands) {
    const auto result = test::run_process(SWEEPFLUX_PROGRAM, command);
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_FALSE(steers(result.err)) << result.err;
    EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
    EXPECT_NE(result.err.find("\\x1B"), std::string::npos) << result.err;
  }
}

TEST(HostileText, OfManyLinesIsNoName) {
  const fs::path session =
      write_session(test::scratch_folder(), "heron\\nResults are in another folder");
  const auto result = test::run_process(SWEEPFLUX_PROGRAM, {"thrust", session.string()});
  EXPECT_EQ(result.exit_code, 2);
  EXPECT_NE(result.err.find("must be one line"), std::string::npos) << result.err;
}

TEST(HostileText, DoesNotBecomeAFormulaOfASpreadsheet) {
  const fs::path folder = test::scratch_folder();
  const fs::path session = write_session(folder, "=HYPERLINK(1)");
  const auto result = test::run_process(
      SWEEPFLUX_PROGRAM, {"thrust", session.string(), "--out", (folder / "out").string()});
  ASSERT_EQ(result.exit_code, 0) << result.err;
  for (const char* table : {"thrust.csv", "comparison.csv"}) {
    const std::string csv = test::file_content(folder / "out" / table);
    EXPECT_NE(csv.find("\n'=HYPERLINK(1),"), std::string::npos) << csv;
    EXPECT_EQ(csv.find("\n="), std::string::npos) << csv;
  }
}

}  // namespace
}  // namespace sweepflux
