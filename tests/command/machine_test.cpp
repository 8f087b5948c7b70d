#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <string>
#include <sys/stat.h>
#include <vector>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;
using test::ProcessResult;

std::string demo_survey() { return (test::source_folder() / "scans/heron-1/survey.toml").string(); }

/// The program by way of a shell: "$0" in the script is the program, "$1" the demo survey.
ProcessResult shell(const std::string& script, const fs::path& folder) {
  test::ProcessOptions options;
  options.folder = folder;
  return test::run_process("/bin/sh", {"-c", script, SWEEPFLUX_PROGRAM, demo_survey()}, options);
}

fs::path folder_with_log() {
  fs::path folder = test::scratch_folder();
  std::ofstream(folder / "log.csv", std::ios::binary)
      << test::log_text(test::SimulatedRig().stop_and_go());
  return folder;
}

void expect_one_line(const ProcessResult& result, int code, const std::string& words) {
  EXPECT_EQ(result.exit_code, code) << result.err;
  EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
  EXPECT_NE(result.err.find(words), std::string::npos) << result.err;
}

TEST(Machine, EmptyWordsAreRefusedBeforeAnyWork) {
  const fs::path folder = folder_with_log();
  expect_one_line(shell("\"$0\" reduce ''", folder), 2, "argument 2 has nothing in it");
  expect_one_line(shell("\"$0\" reduce log.csv --out ''", folder), 2, "--out is empty");
  expect_one_line(shell("\"$0\" reduce log.csv --out=", folder), 2, "--out= has nothing in it");
  expect_one_line(shell("\"$0\" map ''", folder), 2, "has nothing in it");
  EXPECT_FALSE(fs::exists(folder / "log-reduced"));
}

TEST(Machine, ReduceReadsStandardInput) {
  const fs::path folder = folder_with_log();
  const ProcessResult piped =
      shell("cat log.csv | \"$0\" reduce - && \"$0\" reduce log.csv --quiet", folder);
  ASSERT_EQ(piped.exit_code, 0) << piped.err;
  const auto rows = [](const std::string& csv) { return csv.substr(csv.find("angle [deg]")); };
  EXPECT_EQ(rows(test::file_content(folder / "reduced/stdin-sweep.csv")),
            rows(test::file_content(folder / "log-reduced/log-sweep.csv")));
  expect_one_line(shell("\"$0\" reduce - </dev/null", folder), 2, "-: nothing came from it");
}

TEST(Machine, APipeThatNothingWritesToIsRefused) {
  const fs::path folder = test::scratch_folder();
  ASSERT_EQ(::mkfifo((folder / "pipe").c_str(), 0600), 0);
  // Each waits a while for a writer: side by side.
  const ProcessResult mapped = shell(
      "(\"$0\" reduce pipe 2>reduce.err; echo $? >reduce.code) & "
      "\"$0\" map pipe; code=$?; wait; exit $code",
      folder);
  expect_one_line(mapped, 2, "is a pipe that nothing writes to");
  ProcessResult reduced;
  reduced.exit_code = std::stoi(test::file_content(folder / "reduce.code"));
  reduced.err = test::file_content(folder / "reduce.err");
  expect_one_line(reduced, 2, "pipe: is a pipe that nothing writes to");
}

TEST(Machine, APipeWithAWriterIsRead) {
  const fs::path folder = folder_with_log();
  ASSERT_EQ(::mkfifo((folder / "pipe").c_str(), 0600), 0);
  const ProcessResult read = shell("(sleep 0.3; cat log.csv) >pipe & \"$0\" reduce pipe", folder);
  EXPECT_EQ(read.exit_code, 0) << read.err;
}

TEST(Machine, AFolderThatIsGoneIsNamed) {
  const fs::path folder = folder_with_log();
  const ProcessResult gone =
      shell("mkdir gone && cd gone && rmdir ../gone && \"$0\" map \"$1\" --no-pictures --out out",
            folder);
  expect_one_line(gone, 1, "is gone");
}

TEST(Machine, FewOpenFilesAndASmallStackAreEnoughForManyResults) {
  const fs::path folder = test::scratch_folder();
  const ProcessResult map =
      shell("ulimit -n 12; ulimit -s 64; \"$0\" map \"$1\" --quiet --out out", folder);
  EXPECT_EQ(map.exit_code, 0) << map.signal << map.err;
  EXPECT_TRUE(fs::exists(folder / "out/report.html"));
  const ProcessResult thrust = shell(
      "ulimit -s 64; \"$0\" thrust \"${1%heron-1/*}balance-day/session.toml\" --quiet --out thrust",
      folder);
  EXPECT_EQ(thrust.exit_code, 0) << thrust.signal << thrust.err;
}

TEST(Machine, ResultsThatWereChangedAreLeftAlone) {
  const fs::path folder = folder_with_log();
  const std::string again = "\"$0\" reduce log.csv --quiet --out out";
  ASSERT_EQ(shell(again + " && chmod 750 out", folder).exit_code, 0);
  ASSERT_EQ(shell(again, folder).exit_code, 0) << "not changed: replaced";
  EXPECT_EQ(fs::status(folder / "out").permissions(), fs::perms(0750));
  std::ofstream(folder / "out/log-sweep.csv", std::ios::app) << "# a remark\n";
  expect_one_line(shell(again, folder), 2, "`log-sweep.csv` was changed since sweepflux wrote it");
  EXPECT_NE(test::file_content(folder / "out/log-sweep.csv").find("# a remark"), std::string::npos);
  EXPECT_EQ(shell(again + " --replace", folder).exit_code, 0);
  EXPECT_EQ(test::file_content(folder / "out/log-sweep.csv").find("# a remark"), std::string::npos);
}

TEST(Machine, ASurveyOfOneAngleHasNoAnswerAndSaysWhy) {
  struct Case {
    std::string rows;
    std::string words;
  };
  for (const Case& one : {Case{"0,2.5\n", "has one reading"},
                          {"5,2.5\n5,2.4\n5,2.6\n", "was read at one angle only"}}) {
    const fs::path folder = test::scratch_folder();
    std::string text = test::file_content(demo_survey());
    text = text.substr(0, text.find("[[sweep]]"));
    for (const char* height : {"0.7", "0.92", "1.1"}) {
      text += std::string("[[sweep]]\nfile = \"") + height + ".csv\"\ndistance = \"1.6 m\"\n" +
              "height = \"" + height + " m\"\n";
      std::ofstream(folder / (std::string(height) + ".csv")) << "angle [deg],speed [m/s]\n"
                                                             << one.rows;
      if (one.words == "has one reading") {
        break;
      }
    }
    std::ofstream(folder / "survey.toml") << text;
    for (const char* command : {"map survey.toml",
                                "map survey.toml --method kriging",
                                "map survey.toml --method linear",
                                "plan survey.toml"}) {
      expect_one_line(shell(std::string("\"$0\" ") + command, folder), 3, one.words);
    }
  }
}

}  // namespace
}  // namespace sweepflux
