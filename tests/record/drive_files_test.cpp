#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/log/read_steps.hpp"
#include "sweepflux/record/plan_files.hpp"
#include "tests/support/driven_rig.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

Survey rig_with_limits(Motion motion) {
  Survey survey;
  survey.title = "loft (north) 100 %";
  survey.rig.motion = motion;
  Drive& drive = survey.rig.drive;
  if (motion == Motion::swivel) {
    survey.rig.angle_zero_rad = 1.0 * degree_rad;
    drive.limits = {-25.0 * degree_rad, 25.0 * degree_rad};
    drive.step = 0.025 * degree_rad;
  } else {
    drive.limits = {-0.5, 0.5};
    drive.step = 1e-4;
    drive.feed = 0.02;
    drive.axis = 'X';
  }
  return survey;
}

PlannedSweep some_sweep(const Survey& survey) {
  PlannedSweep sweep;
  sweep.order = 3;
  sweep.distance_m = 1.5;
  sweep.height_m = 0.9213;
  for (int i = -2; i <= 2; ++i) {
    Stop stop;
    stop.position = survey.rig.motion == Motion::swivel ? 12.0 * i * degree_rad : 0.2 * i;
    stop.settle_s = 2.0;
    stop.dwell_s = i == 0 ? 8.0 : 4.5;
    sweep.stops.push_back(stop);
  }
  return sweep;
}

TEST(DriveFiles, AControllerThatObeysTheProgramRestsWhereAndWhenTheListSays) {
  for (const Motion motion : {Motion::swivel, Motion::traverse}) {
    const Survey survey = rig_with_limits(motion);
    const bool swivel = motion == Motion::swivel;
    const PlannedSweep sweep = some_sweep(survey);
    const DrivenSweep driven{sweep, drive_run(survey.rig, sweep)};
    const std::string program = drive_program(survey, driven);
    const double limit = swivel ? 25.0 : 500.0;
    const double zero = swivel ? 1.0 : 0.0;
    const test::DriveController controller(program, survey.rig.drive.axis, -limit, limit, zero);
    const auto file = test::scratch_folder() / "steps.csv";
    std::ofstream(file) << steps_csv(survey.rig, std::vector{driven});
    const auto lists = read_steps(file, motion);
    ASSERT_EQ(lists.size(), 1U);
    ASSERT_EQ(lists[0].stops.size(), 5U);
    EXPECT_NEAR(*lists[0].height_m, 0.9213, 1e-12);
    const double unit = swivel ? degree_rad : 0.001;
    for (const StepRow& stop : lists[0].stops) {
      const double settled_s = stop.start_s + stop.settle_s;
      for (const double time_s : {settled_s - 1.999, settled_s, settled_s + 0.999 * stop.dwell_s}) {
        EXPECT_NEAR(controller.position_at(time_s) * unit, stop.position, 1e-6);
      }
    }
    EXPECT_NEAR(controller.seconds(), driven.run.seconds, 0.01);
    EXPECT_EQ(program.find("100 %"), std::string::npos) << "no sign that ends a program early";
    EXPECT_NE(program.find("limits -"), std::string::npos);
    EXPECT_NE(program.find("guard on"), std::string::npos);
  }
}

TEST(DriveFiles, MotorStepsAddUpToThePositionsAndComeHome) {
  const Survey survey = rig_with_limits(Motion::swivel);
  const PlannedSweep sweep = some_sweep(survey);
  const std::vector<DrivenSweep> driven = {{sweep, drive_run(survey.rig, sweep)}};
  std::istringstream rows(motor_steps_csv(survey.rig, driven));
  std::string row;
  std::getline(rows, row);
  EXPECT_EQ(row, "sweep,time_s,move_steps,position_steps,move_s,wait_s");
  long at = 40;  // 1 degree
  std::vector<long> places;
  while (std::getline(rows, row)) {
    long order = 0;
    double time_s = 0.0;
    long move = 0;
    long position = 0;
    ASSERT_EQ(std::sscanf(row.c_str(), "%ld,%lf,%ld,%ld", &order, &time_s, &move, &position), 4);
    at += move;
    EXPECT_EQ(at, position) << row;
    places.push_back(position);
  }
  const std::vector<long> wanted = {-1000, -960, -480, 0, 480, 960, 40};
  EXPECT_EQ(places, wanted) << "the run-up is cut at the limit of 25 degrees";
}

TEST(DriveFiles, ASweepBeyondTheLimitsIsRefusedWithThePlace) {
  Survey survey = rig_with_limits(Motion::swivel);
  survey.rig.drive.limits = {-20.0 * degree_rad, 20.0 * degree_rad};
  try {
    (void)drive_run(survey.rig, some_sweep(survey));
    FAIL() << "went to 24 degrees";
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(),
                 "sweep 3 would go to -24 deg, the limits of the rig are -20 deg to 20 deg");
  }
}

TEST(DriveController, KnowsNoOtherWordAndLeavesNoLimit) {
  const auto obey = [](const std::string& blocks) {
    const test::DriveController controller("%\n" + blocks, 'C', -10.0, 10.0);
    return controller.seconds();
  };
  EXPECT_NEAR(obey("N1 G90 G94\nN2 G1 C5 F60\nN3 G4 P2\nN4 M30\n"), 7.0, 1e-9);
  for (const char* wrong : {"G1 C5 F60\nM30\n", "G90\nG1 C5\nM30\n", "G90\nG1 C11 F60\nM30\n",
                            "G90\nG1 C5 F60\n", "G90\nG0 C5\nM30\n", "G90\nG4\nM30\n"}) {
    EXPECT_THROW((void)obey(wrong), std::invalid_argument) << wrong;
  }
}

}  // namespace
}  // namespace sweepflux
