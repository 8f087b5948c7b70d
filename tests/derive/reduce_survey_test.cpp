#include "sweepflux/derive/log/reduce_survey.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "tests/capture/written_survey.hpp"
#include "tests/support/simulated_log.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace sweepflux {
namespace {

using test::SimulatedRig;
using test::usual_sections;
using test::WrittenSurvey;

const std::string log_block = R"([[sweep]]
log = "run.csv"
distance = "1.5 m"
height = "0.92 m"
)";

Survey read_and_reduce(const WrittenSurvey& written) {
  Survey survey = written.read();
  (void)reduce_logs(survey);
  return survey;
}

bool says(const Survey& survey, const std::string& part) {
  return std::any_of(survey.remarks.begin(), survey.remarks.end(), [&](const Finding& remark) {
    return remark.message().find(part) != std::string::npos;
  });
}

TEST(ReduceSurvey, ALogBecomesTheSweepThatReduceMakesOfIt) {
  SimulatedRig rig;
  rig.sensor_time_constant_s = 0.5;
  const WrittenSurvey written(usual_sections + log_block);
  written.write("run.csv", test::log_text(rig.stop_and_go()));
  Survey survey = written.read();
  const auto logs = reduce_logs(survey);
  ASSERT_EQ(logs.size(), 1u);
  ASSERT_EQ(survey.sweeps.size(), 1u);
  EXPECT_TRUE(survey.logs.empty());
  const Sweep& sweep = survey.sweeps[0];
  ReduceSettings settings;
  settings.starting_speed_m_s = 0.3;
  const ReducedLog alone = reduce_log(written.folder() / "run.csv", settings);
  ASSERT_EQ(sweep.readings.size(), alone.readings.size());
  for (std::size_t i = 0; i < sweep.readings.size(); ++i) {
    EXPECT_EQ(sweep.readings[i].speed_m_s, alone.readings[i].speed_m_s);
    EXPECT_EQ(sweep.readings[i].standard_error_m_s, alone.readings[i].standard_error_m_s);
    EXPECT_EQ(sweep.readings[i].line, alone.readings[i].first_line);
  }
  EXPECT_TRUE(says(survey, "run.csv: 21 readings from")) << "counted";
  EXPECT_TRUE(says(survey, "settling of")) << "how long settling lasted is reported";
}

TEST(ReduceSurvey, BacklashIsTakenOffOnlyWhereItIsSignificant) {
  for (const double backlash_deg : {0.0, 0.8}) {
    SimulatedRig rig;
    rig.there_and_back = true;
    rig.backlash_deg = backlash_deg;
    rig.turbulence = 0.05;
    const WrittenSurvey written(usual_sections + log_block);
    written.write("run.csv", test::log_text(rig.stop_and_go()));
    const Survey survey = read_and_reduce(written);
    const double first = survey.sweeps.at(0).readings.front().position / degree_rad;
    if (backlash_deg == 0.0) {
      EXPECT_NEAR(first, -20.0, 1e-6);
      EXPECT_TRUE(says(survey, "not significant, not taken off"));
    } else {
      EXPECT_NEAR(std::abs(first + 20.0), backlash_deg, 0.2);
      EXPECT_TRUE(says(survey, "each way was moved by it"));
    }
  }
}

TEST(ReduceSurvey, ADwellWithoutAReadingIsCountedWithItsLine) {
  SimulatedRig rig;
  auto samples = rig.stop_and_go();
  std::size_t first_line = 0;
  for (LogSample& sample : samples) {
    if (std::abs(sample.position / degree_rad - 4.0) < 1e-6) {
      sample.fault = SampleFault::missing;
      first_line = first_line == 0 ? sample.line : first_line;
    }
  }
  std::string text = test::log_text(samples);
  const WrittenSurvey written(usual_sections + log_block);
  // A row that holds no value: its last cell emptied.
  std::string emptied;
  std::size_t line = 0;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = text.find('\n', from);
    std::string row = text.substr(from, to - from);
    ++line;
    for (const LogSample& sample : samples) {
      if (sample.line == line && sample.fault == SampleFault::missing) {
        row.resize(row.rfind(',') + 1);
        break;
      }
    }
    emptied += row + "\n";
    from = to + 1;
  }
  written.write("run.csv", emptied);
  const Survey survey = read_and_reduce(written);
  const Sweep& sweep = survey.sweeps.at(0);
  EXPECT_EQ(sweep.readings.size(), 20u);
  ASSERT_EQ(sweep.left_out.size(), 1u);
  EXPECT_EQ(sweep.left_out[0].line, first_line);
  EXPECT_NE(sweep.left_out[0].reason.find("no reading at 4 deg"), std::string::npos)
      << sweep.left_out[0].reason;
  EXPECT_TRUE(says(survey, "rows hold no value"));
}

TEST(ReduceSurvey, LogsThatShowNoSweepAreAllReportedTogether) {
  const WrittenSurvey written(usual_sections + log_block + R"([[sweep]]
log = "other.csv"
distance = "1.5 m"
height = "1.2 m"
)");
  std::string text = "time [s],angle [deg],speed [m/s]\n";
  for (int i = 0; i < 200; ++i) {
    text += std::to_string(i) + "," + std::to_string(i) + ",1.0\n";
  }
  written.write("run.csv", text);
  written.write("other.csv", text);
  try {
    (void)read_and_reduce(written);
    FAIL();
  } catch (const NumericalError& error) {
    const std::string what = error.what();
    EXPECT_NE(what.find("run.csv: no dwell was found"), std::string::npos) << what;
    EXPECT_NE(what.find("other.csv: no dwell was found"), std::string::npos) << what;
  }
}

TEST(ReduceSurvey, SamplesAreNotMadeWhileALogWaits) {
  const WrittenSurvey written(usual_sections + log_block);
  written.write("run.csv", test::log_text(SimulatedRig{}.stop_and_go()));
  EXPECT_THROW((void)derive_samples(written.read()), InputError);
}

}  // namespace
}  // namespace sweepflux
