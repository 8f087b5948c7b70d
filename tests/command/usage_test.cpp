#include "tests/command/run.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

namespace sweepflux {
namespace {

using test::run;

using test::ProcessResult;

struct Fault {
  std::vector<std::string> arguments;
  std::string words;  ///< that the message must hold
};

TEST(Usage, FaultsEndWithCodeTwoAndOneLineThatSaysWhatToDo) {
  const std::string survey = (test::source_folder() / "scans/heron-1/survey.toml").string();
  const std::vector<Fault> faults = {
      {{}, "name a command"},
      {{"mop"}, "did you mean `map`"},
      {{"map"}, "`map` needs SURVEY.toml"},
      {{"map", survey, "more"}, "one argument too many"},
      {{"map", survey, "--mehtod", "linear"}, "did you mean `--method`"},
      {{"map", survey, "--method"}, "--method needs a value"},
      {{"map", survey, "--method", "krigging"}, "did you mean `kriging`"},
      {{"map", survey, "--grid", "10"}, "--grid"},
      {{"map", survey, "--grid", "-5 mm"}, "--grid"},
      {{"map", survey, "--grid", "-.5 mm"}, "--grid"},
      {{"map", survey, "--threads", "0"}, "--threads"},
      {{"map", survey, "--threads", "two"}, "--threads"},
      {{"map", "no/such/survey.toml"}, "no/such/survey.toml"},
      {{"map", test::source_folder().string()}, test::source_folder().string()},
      {{"--out", "x", "map", survey}, "behind the command"}};
  for (const Fault& fault : faults) {
    const ProcessResult result = run(fault.arguments);
    std::string line = "sweepflux";
    for (const std::string& argument : fault.arguments) {
      line += " " + argument;
    }
    line += "\n" + result.err;
    EXPECT_EQ(result.exit_code, 2) << line;
    EXPECT_EQ(result.out, "") << line;
    EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << line;
    EXPECT_NE(result.err.find(fault.words), std::string::npos) << line;
  }
}

TEST(Usage, HelpOfEveryCommandHasAnExample) {
  const ProcessResult top = run({"--help"});
  ASSERT_EQ(top.exit_code, 0);
  EXPECT_EQ(top.err, "");
  const std::size_t list = top.out.find("Commands:");
  ASSERT_NE(list, std::string::npos);
  std::istringstream lines(top.out.substr(list));
  std::string line;
  std::getline(lines, line);
  std::size_t commands = 0;
  while (std::getline(lines, line)) {
    if (line.size() > 2 && line.rfind("  ", 0) == 0 && line[2] != ' ') {
      const std::string name = line.substr(2, line.find(' ', 2) - 2);
      const ProcessResult help = run({name, "--help"});
      EXPECT_EQ(help.exit_code, 0) << name;
      EXPECT_NE(help.out.find("Example:\n  sweepflux " + name + " "), std::string::npos) << name;
      for (const char* option : {"--out", "--json", "--quiet"}) {
        EXPECT_NE(help.out.find(option), std::string::npos) << name << " " << option;
      }
      ++commands;
    }
  }
  EXPECT_GE(commands, 1u);
}

TEST(Usage, VersionNamesTheLibraries) {
  const ProcessResult result = run({"--version"});
  EXPECT_EQ(result.exit_code, 0);
  EXPECT_EQ(result.out.rfind("sweepflux ", 0), 0u);
  for (const char* library : {"Eigen 3",
                              "Boost.Math 1",
                              "nanoflann 1",
                              "toml++ 3",
                              "nlohmann-json 3",
                              "CLI11 2",
                              "cairo 1",
                              "libpng 1"}) {
    EXPECT_NE(result.out.find(library), std::string::npos) << library;
  }
}

}  // namespace
}  // namespace sweepflux
