#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <regex>
#include <set>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

bool is_here(const std::string& program) {
  return std::system(("command -v " + program + " >/dev/null 2>&1").c_str()) == 0;
}

std::string shell(const std::string& command) {
  const test::ProcessResult result = test::run_process("/bin/bash", {"-c", command});
  EXPECT_EQ(result.exit_code, 0) << command << "\n" << result.err;
  EXPECT_EQ(result.err, "") << command;
  return result.out;
}

std::string one_blank_a_gap(const std::string& text) {
  return std::regex_replace(text, std::regex("\\s+"), " ");
}

std::string help_of(const std::string& verb) {
  std::vector<std::string> arguments = {"--help"};
  if (!verb.empty()) {
    arguments.insert(arguments.begin(), verb);
  }
  return test::run_process(SWEEPFLUX_PROGRAM, arguments).out;
}

/// What follows "  " at the start of a line below a heading such as "Commands:", up to a blank.
std::vector<std::string> verbs() {
  const std::string help = help_of("");
  std::vector<std::string> names;
  std::istringstream lines(help.substr(help.find("Commands:")));
  for (std::string line; std::getline(lines, line);) {
    if (line.size() > 2 && line.starts_with("  ") && line[2] != ' ') {
      names.push_back(line.substr(2, line.find(' ', 2) - 2));
    }
  }
  return names;
}

std::set<std::string> options_of(const std::string& help) {
  static const std::regex option("\n  (-h,)?(--[a-z-]+)");
  std::set<std::string> names;
  for (std::sregex_iterator it(help.begin(), help.end(), option), end; it != end; ++it) {
    names.insert((*it)[2]);
  }
  return names;
}

/// What bash offers after these words.
std::set<std::string> offered(const std::vector<std::string>& words, const fs::path& folder) {
  std::string list;
  for (const std::string& word : words) {
    list += " '" + word + "'";
  }
  const std::string said = shell("cd '" + folder.string() +
                                 "' && source '" SWEEPFLUX_MANUAL "/sweepflux' && COMP_WORDS=(" +
                                 list + ") && COMP_CWORD=" + std::to_string(words.size() - 1) +
                                 " && _sweepflux && printf '%s\\n' \"${COMPREPLY[@]}\"");
  std::set<std::string> offers;
  std::istringstream lines(said);
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty()) {
      offers.insert(line);
    }
  }
  return offers;
}

TEST(Manual, TheManualPageSaysAllThatHelpSays) {
  if (!is_here("man")) {
    GTEST_SKIP() << "skipped: no man here";
  }
  const std::string page = one_blank_a_gap(
      shell("MANWIDTH=9999 LC_ALL=C man --warnings -P cat -l '" SWEEPFLUX_MANUAL "/sweepflux.1'"));
  ASSERT_GE(verbs().size(), 7u);
  for (const std::string& verb : verbs()) {
    const std::string help = help_of(verb);
    std::istringstream lines(help);
    for (std::string line; std::getline(lines, line);) {
      const bool heading = line.empty() || line.ends_with(':') || line.starts_with("Usage:");
      const std::string words =
          std::regex_replace(one_blank_a_gap(line), std::regex("^ |-h,--help"), std::string());
      if (!heading && words.size() > 2) {
        EXPECT_NE(page.find(words), std::string::npos) << verb << ": " << words;
      }
    }
  }
}

TEST(Manual, ThePageNamesEveryKeyForRawLogs) {
  if (!is_here("man")) {
    GTEST_SKIP() << "skipped: no man here";
  }
  std::string page = one_blank_a_gap(
      shell("MANWIDTH=9999 LC_ALL=C man --warnings -P cat -l '" SWEEPFLUX_MANUAL "/sweepflux.1'"));
  page.erase(0, page.find("RAW LOGS Under"));
  std::string reader =
      test::file_content(test::source_folder() / "src/sweepflux/capture/survey/sweep_requests.cpp");
  reader.erase(0, reader.find("LogRecipe read_log_recipe"));
  reader.erase(reader.find("return recipe;"));
  static const std::regex key(
      "(?:view[.](?:text|texts|choice|number|quantity|boolean)\\(|\\{|view, )\"([a-z_]+)\"");
  std::size_t keys = 0;
  for (std::sregex_iterator it(reader.begin(), reader.end(), key), end; it != end; ++it, ++keys) {
    EXPECT_TRUE(std::regex_search(page, std::regex("\\b" + (*it)[1].str() + "\\b"))) << (*it)[1];
  }
  EXPECT_GT(keys, 15u);
}

TEST(Manual, BashCompletesVerbsOptionsFilesAndFolders) {
  if (!is_here("bash")) {
    GTEST_SKIP() << "skipped: no bash here";
  }
  const fs::path folder = test::scratch_folder();
  fs::create_directory(folder / "loft results");
  std::ofstream(folder / "survey.toml") << "\n";
  using Set = std::set<std::string>;
  EXPECT_EQ(offered({"sweepflux", "m"}, folder), Set{"map"});
  EXPECT_EQ(offered({"sweepflux", "map", "su"}, folder), Set{"survey.toml"});
  EXPECT_EQ(offered({"sweepflux", "map", "survey.toml", "--out", ""}, folder), Set{"loft results"});
  EXPECT_EQ(offered({"sweepflux", "map", "survey.toml", "--grid", ""}, folder), Set{});
  EXPECT_EQ(offered({"sweepflux", "map", "--me"}, folder), Set{"--method"});
  EXPECT_EQ(offered({"sweepflux", "mop", "-"}, folder), Set{});
  for (const std::string& verb : verbs()) {
    Set options = offered({"sweepflux", verb, "--"}, folder);
    EXPECT_EQ(options, options_of(help_of(verb))) << verb;
    EXPECT_TRUE(offered({"sweepflux", ""}, folder).contains(verb)) << verb;
  }
}

}  // namespace
}  // namespace sweepflux
