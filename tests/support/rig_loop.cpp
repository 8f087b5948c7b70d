#include "tests/support/rig_loop.hpp"

#include "tests/support/pseudo_terminal.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <thread>

namespace sweepflux::test {
namespace {

namespace fs = std::filesystem;

std::vector<std::string> columns_of(Sender sender) {
  switch (sender) {
    case Sender::table:
      return {};
    case Sender::timed:
      return {"--columns", "time [s],speed [m/s]"};
    case Sender::bare:
      return {"--columns", "speed [m/s]"};
  }
  return {};
}

}  // namespace

std::string rig_survey_text() {
  return R"(# these words stay
[survey]
title = "Herb loft, a simulated wren"
fan = "wren"
setting = "2"

[air]
temperature = "20 degC"
pressure = "1013.25 hPa"
humidity = "50 %"
ambient_speed = "0 m/s"
ambient_speed_uncertainty = "0.005 m/s"

[outlet]
diameter = "0.30 m"
centre_height = "0.90 m"

[rig]
steps_per_revolution = 3200
gear_ratio = 4
feed = "20 deg/s"
limits = ["-40 deg", "40 deg"]
step_time = "0.2 s"
settle_time = "1.5 s"
dwell_time = "5 s"

[probe]
kind = "vane"
head_diameter = "1 mm"
starting_speed = "0.2 m/s"
scale_uncertainty = "2 %"
offset_uncertainty = "0.02 m/s"
resolution = "0.01 m/s"

[plan]
distances = ["1.8 m"]
expected_speed = "3 m/s"
height_limits = ["0.4 m", "1.4 m"]
)";
}

DrivenRig driven_rig(const KnownField& field, std::uint64_t seed) {
  DrivenRig rig;
  rig.field = &field;
  rig.plan.scale_uncertainty = 0.02;
  rig.plan.offset_uncertainty_m_s = 0.02;
  rig.plan.starting_speed_m_s = 0.2;
  rig.plan.seed = seed;
  rig.seed = seed;
  return rig;
}

ProbePlace first_place(const fs::path& steps) {
  std::ifstream in(steps);
  std::string line;
  std::getline(in, line);
  if (line != "sweep,distance_m,height_m,angle_deg,time_s,settle_s,dwell_s") {
    throw std::runtime_error(steps.string() + " has other columns: " + line);
  }
  std::getline(in, line);
  std::istringstream cells(line);
  std::string cell;
  ProbePlace place;
  std::getline(cells, cell, ',');
  std::getline(cells, cell, ',');
  place.distance_m = std::stod(cell);
  std::getline(cells, cell, ',');
  place.height_m = std::stod(cell);
  return place;
}

ProcessResult follow_on_line(const FollowRun& run, const DrivenRig& rig) {
  const ProbePlace place = first_place(run.plan / "steps.csv");
  const DriveController controller(file_content(run.plan / "sweep-1.nc"), 'C', -40.0, 40.0);
  PseudoTerminal line;
  std::thread sending([&] {
    using Clock = std::chrono::steady_clock;
    bool open = true;
    bool begun = false;
    Clock::time_point begin;
    rig.stream(controller,
               place.distance_m,
               place.height_m,
               run.sender,
               [&](double time_s, const std::string& row) {
                 if (!begun) {
                   open = line.write(row) && line.wait_until_read();  // the program listens
                   begin = Clock::now();
                   begun = true;
                   return;
                 }
                 if (run.sender == Sender::bare) {
                   std::this_thread::sleep_until(begin + std::chrono::duration<double>(time_s));
                 }
                 open = open && line.write(row, 20.0);
               });
  });
  std::vector<std::string> arguments = {"follow",
                                        line.path().string(),
                                        "--serial",
                                        "9600,8N1",
                                        "--survey",
                                        run.survey.string(),
                                        "--append",
                                        "--until-idle",
                                        "2 s",
                                        "--out",
                                        run.out.string()};
  if (run.sender == Sender::table) {  // the log tells the angle, so the person tells the place
    arguments.insert(arguments.end(),
                     {"--distance",
                      std::to_string(place.distance_m) + " m",
                      "--height",
                      std::to_string(place.height_m) + " m"});
  } else {
    arguments.insert(arguments.end(),
                     {"--steps", (run.plan / "steps.csv").string(), "--sweep", "1"});
  }
  const std::vector<std::string> columns = columns_of(run.sender);
  arguments.insert(arguments.end(), columns.begin(), columns.end());
  ProcessResult result = run_process(run.program, arguments);
  sending.join();
  return result;
}

LoopOutcome run_rig_loop(FollowRun run, const DrivenRig& rig, int most) {
  const fs::path top = run.survey.parent_path();
  LoopOutcome outcome;
  outcome.last = top / "plan";
  const ProcessResult planned = run_process(
      run.program,
      {"plan", run.survey.string(), "--count", "3", "--out", outcome.last.string()});
  if (planned.exit_code != 0) {
    outcome.fault = "plan: " + planned.err;
    return outcome;
  }
  while (!outcome.stopped && outcome.sweeps < most) {
    run.plan = outcome.last;
    run.out = top / ("run-" + std::to_string(++outcome.sweeps));
    DrivenRig now = rig;
    now.seed += static_cast<std::uint64_t>(outcome.sweeps);
    const ProcessResult followed = follow_on_line(run, now);
    if (followed.exit_code != 0) {
      outcome.fault = "follow: " + followed.err + followed.out;
      return outcome;
    }
    outcome.longest_text =
        std::max(outcome.longest_text,
                 static_cast<std::size_t>(
                     std::count(followed.out.begin(), followed.out.end(), '\n')));
    outcome.last = run.out;
    const std::string plan = file_content(run.out / "plan.json");
    outcome.stopped = plan.find("\"stop\": true") != std::string::npos;
  }
  return outcome;
}

std::vector<std::pair<double, double>> sweep_rows(const std::string& csv) {
  std::vector<std::pair<double, double>> rows;
  std::istringstream lines(csv);
  for (std::string line; std::getline(lines, line);) {
    double angle_deg = 0.0;
    double speed_m_s = 0.0;
    if (std::sscanf(line.c_str(), "%lf,%lf", &angle_deg, &speed_m_s) == 2) {
      rows.emplace_back(angle_deg, speed_m_s);
    }
  }
  return rows;
}

}  // namespace sweepflux::test
