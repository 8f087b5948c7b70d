#include "tests/command/run.hpp"
#include "tests/support/shared_folder.hpp"
#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

using test::run;

namespace fs = std::filesystem;
using test::ProcessResult;

/// A log whose angle never rests, or a balance that never stands still: nothing comes of either.
fs::path write_restless(const fs::path& folder, const std::string& columns) {
  fs::path log = folder / "log.csv";
  std::ofstream file(log, std::ios::binary);
  file << columns << "\n";
  for (int i = 0; i < 40; ++i) {
    file << i << ',' << 7 * i << ",1.5\n";
  }
  return log;
}

TEST(FollowStopped, BeforeItsFirstDwellSaysSoAndLeavesNothing) {
  test::ProcessOptions interrupted;
  interrupted.interrupt_when_listening = true;
  for (const char* columns :
       {"time [s],angle [deg],speed [m/s]", "time [s],scale [g],speed [m/s]"}) {
    const fs::path top = test::scratch_folder() / std::string(columns).substr(9, 5);
    fs::create_directories(top);
    const fs::path log = write_restless(top, columns);
    std::vector<std::string> arguments = {"follow", log.string(), "--out", (top / "out").string()};
    if (std::string(columns).find("scale") != std::string::npos) {
      arguments.push_back("--scale");
    }
    const auto before = test::files_below(top);
    const ProcessResult result = run(arguments, interrupted);
    EXPECT_EQ(result.exit_code, 130) << columns << ": " << result.err;
    EXPECT_NE(result.err.find("stopped; nothing was written: "), std::string::npos) << result.err;
    EXPECT_TRUE(test::files_below(top) == before) << columns;
  }
}

TEST(FollowStopped, AtASourceWithoutADwellOtherSettingsMayFollow) {
  const fs::path top = test::scratch_folder();
  const fs::path log = write_restless(top, "time [s],angle [deg],speed [m/s]");
  const std::vector<std::string> arguments = {
      "follow", log.string(), "--until-idle", "0.1 s", "--out", (top / "out").string()};
  const auto before = test::files_below(top);
  const ProcessResult none = run(arguments);
  EXPECT_EQ(none.exit_code, 3) << none.err;
  EXPECT_NE(none.err.find("no dwell was found"), std::string::npos) << none.err;
  EXPECT_TRUE(test::files_below(top) == before);

  std::ofstream(log, std::ios::binary) << test::log_text(test::SimulatedRig().stop_and_go());
  std::vector<std::string> otherwise = arguments;
  otherwise.insert(otherwise.end(), {"--settle", "2 s"});
  const ProcessResult found = run(otherwise);
  EXPECT_EQ(found.exit_code, 0) << found.err;
  EXPECT_TRUE(fs::exists(top / "out" / "sweep.csv"));
}

}  // namespace
}  // namespace sweepflux
