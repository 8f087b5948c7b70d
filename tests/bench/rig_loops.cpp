#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/record/summary.hpp"
#include "tests/support/rig_loop.hpp"

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace {

namespace fs = std::filesystem;
using namespace sweepflux;

bool holds(const Estimate& e, double truth) { return e.low_95 <= truth && truth <= e.high_95; }

}  // namespace

/// Plan, follow, map, plan until "you can stop", over fields, draws and two kinds of loggers; prints
/// a line a loop and the share of planes whose interval holds the truth.
///
///     rig_loops SWEEPFLUX FOLDER [DRAWS [FIRST]]
int main(int count, char** words) {
  if (count < 3) {
    std::fputs("rig_loops SWEEPFLUX FOLDER [DRAWS [FIRST]]\n", stderr);
    return 2;
  }
  const int draws = count > 3 ? std::atoi(words[3]) : 2;
  const int first = count > 4 ? std::atoi(words[4]) : 0;
  const double density = air_density_kg_m3(AirState{}).value;
  int planes = 0;
  int momentum_held = 0;
  int flow_held = 0;
  int stopped = 0;
  for (const char* name : {"gauss", "three-halves", "ellipse20", "offset"}) {
    const test::KnownField* field = nullptr;
    try {
      field = &test::known_field(name);
    } catch (const std::exception& error) {
      std::fprintf(stderr, "%s\n", error.what());
      continue;
    }
    for (const test::Sender sender : {test::Sender::table, test::Sender::timed}) {
      for (int draw = first; draw < first + draws; ++draw) {
        const auto seed = static_cast<std::uint64_t>(100 + draw);
        const char* kind = sender == test::Sender::table ? "table" : "timed";
        const fs::path top =
            fs::path(words[2]) / (std::string(name) + "-" + kind + "-" + std::to_string(draw));
        fs::create_directories(top);
        test::FollowRun run;
        run.program = fs::absolute(words[1]);
        run.survey = top / "survey.toml";
        run.sender = sender;
        std::ofstream(run.survey) << test::rig_survey_text() << "target = \"15 %\"\n";
        const test::LoopOutcome loop =
            test::run_rig_loop(run, test::driven_rig(*field, seed), 12);
        if (!loop.fault.empty()) {
          std::printf("%-12s %s %d: %s\n", name, kind, draw, loop.fault.c_str());
          continue;
        }
        const test::ProcessResult mapped = test::run_process(
            run.program,
            {"map", run.survey.string(), "--no-pictures", "--quiet", "--out", (top / "map").string()});
        if (mapped.exit_code != 0) {
          std::printf("%-12s %s %d: %s\n", name, kind, draw, mapped.err.c_str());
          continue;
        }
        const SurveyResult result = read_summary(top / "map" / "summary.json");
        const PlaneResult& plane = result.planes.front();
        const test::ExactFlux exact = field->exact(1.8);
        const bool m = holds(plane.momentum_flux_n, density * exact.momentum_over_density_m4_s2);
        const bool q = holds(plane.volume_flow_m3_s, exact.volume_flow_m3_s);
        ++planes;
        momentum_held += m ? 1 : 0;
        flow_held += q ? 1 : 0;
        stopped += loop.stopped ? 1 : 0;
        std::printf("%-12s %s %d: %d sweeps, %s, momentum %s, flow %s, %zu lines at most\n",
                    name,
                    kind,
                    draw,
                    loop.sweeps,
                    loop.stopped ? "may stop" : "not there yet",
                    m ? "held" : "MISSED",
                    q ? "held" : "MISSED",
                    loop.longest_text);
        std::fflush(stdout);
      }
    }
  }
  std::printf("%d planes: momentum held in %d, flow in %d; %d may stop\n",
              planes,
              momentum_held,
              flow_held,
              stopped);
  return 0;
}
