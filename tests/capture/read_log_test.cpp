#include "sweepflux/capture/log/read_log.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/log/line_feed.hpp"
#include "sweepflux/capture/log/read_steps.hpp"
#include "tests/support/shared_folder.hpp"

#include <numbers>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

std::filesystem::path write(const std::string& text) {
  static const std::filesystem::path folder = test::scratch_folder();
  static int count = 0;
  auto file = folder / ("log-" + std::to_string(++count) + ".csv");
  std::ofstream(file, std::ios::binary) << text;
  return file;
}

struct Log {
  std::vector<LogSample> samples;
  LogCounts counts;
};

Log read(const std::filesystem::path& file, const LogFormat& format = {}) {
  Log log;
  LogReader reader(file, format);
  while (const LogSample* sample = reader.next()) {
    log.samples.push_back(*sample);
    log.samples.back().label = {};
  }
  log.counts = reader.counts();
  return log;
}

std::string faults(const std::filesystem::path& file, const LogFormat& format = {}) {
  try {
    (void)read(file, format);
  } catch (const SurveyError& error) {
    std::string all;
    for (const Finding& finding : error.findings()) {
      all += finding.text + "\n";
    }
    return all;
  }
  return "";
}

TEST(ReadLog, TurnsUnitsIntoSiAndKeepsLines) {
  const Log log =
      read(write("# a comment\ntime [ms],angle (deg),speed_kmh\n"
                 "0,-20,3.6\n\n1500,10,7.2\n"));
  ASSERT_EQ(log.samples.size(), 2U);
  EXPECT_NEAR(log.samples[1].time_s, 1.5, 1e-12);
  EXPECT_NEAR(log.samples[1].position, 10 * degree_rad, 1e-12);
  EXPECT_NEAR(log.samples[1].value, 2.0, 1e-12);
  EXPECT_EQ(log.samples[0].line, 3U);
  EXPECT_EQ(log.samples[1].line, 5U);
}

TEST(ReadLog, EveryPlainDecimalIsTheNearestDouble) {
  const char* texts[] = {"0.1",
                         "-3.4",
                         "123456.789012345",
                         "0.000000000000001",
                         "7",
                         "2.675",
                         "999999999999.999",
                         "1e-3",
                         "12345678901234567.25"};
  LogFormat scale;
  scale.kind = LogKind::force;  // of speeds, some would be no wind
  for (const char* text : texts) {
    const Log log = read(write(std::string("time [s],force [N]\n0,") + text + "\n"), scale);
    ASSERT_EQ(log.samples.size(), 1U);
    EXPECT_EQ(log.samples[0].value, std::strtod(text, nullptr)) << text;
  }
}

TEST(ReadLog, ClockTimesBecomeSecondsAlsoPastMidnight) {
  const Log log = read(write("time,speed [m/s]\n23:59:59.5,1\n00:00:00.5,2\n00:00:01.5,3\n"));
  EXPECT_NEAR(log.samples[1].time_s - log.samples[0].time_s, 1.0, 1e-9);
  EXPECT_NEAR(log.samples[2].time_s - log.samples[0].time_s, 2.0, 1e-9);
}

TEST(ReadLog, MissingAndOverRangeAreCountedAndNeverNumbers) {
  const Log log = read(write("time [s],speed [m/s]\n0,1\n1,---\n2,OL\n3,\n4,abc\n5,2\n"));
  EXPECT_EQ(log.counts.rows, 6U);
  EXPECT_EQ(log.counts.missing, 2U);
  EXPECT_EQ(log.counts.over_range, 1U);
  EXPECT_EQ(log.counts.unreadable, 1U);
  ASSERT_EQ(log.counts.first_faults.size(), 1U);
  EXPECT_EQ(log.counts.first_faults[0].spot.line, 6U);
  EXPECT_EQ(log.counts.first_faults[0].spot.column, 3U);
  for (const LogSample& sample : log.samples) {
    EXPECT_EQ(sample.fault == SampleFault::none, !std::isnan(sample.value));
  }
}

TEST(ReadLog, ASpeedThatNoFanReachesIsLeftOutAndNamed) {
  const Log log = read(write("time [s],speed [m/s]\n0,1\n1,2610\n2,-9999\n3,149\n"));
  EXPECT_EQ(log.counts.unreadable, 2U);
  ASSERT_EQ(log.counts.first_faults.size(), 2U);
  EXPECT_EQ(log.counts.first_faults[0].spot.line, 3U);
  EXPECT_EQ(log.counts.first_faults[0].text.substr(0, 51),
            "`2610` would be a wind of more than 150 m/s: is the");
  EXPECT_EQ(log.samples[1].fault, SampleFault::unreadable);
  EXPECT_EQ(log.samples[3].value, 149.0);
}

TEST(ReadLog, ALastLineWithoutItsEndIsLeftOutAndSaid) {
  const Log log = read(write("time [s],speed [m/s]\n0,1.5\n1,0.3"));
  EXPECT_EQ(log.samples.size(), 1U);
  EXPECT_EQ(log.counts.cut_line, 3U);
}

TEST(ReadLog, AHeadingThatComesAgainStartsASegment) {
  const Log log = read(write("time [s],speed [m/s]\n0,1\ntime [s],speed [m/s]\n0,2\n"));
  ASSERT_EQ(log.samples.size(), 2U);
  EXPECT_FALSE(log.samples[0].new_segment);
  EXPECT_TRUE(log.samples[1].new_segment);
  EXPECT_EQ(log.counts.segments, 2U);
}

TEST(ReadLog, ALogWithoutTimesGoesByItsRate) {
  LogFormat format;
  format.rate_hz = 4.0;
  const Log log = read(write("speed [m/s],x\n1,0\n2,0\n3,0\n"), format);
  EXPECT_NEAR(log.samples[2].time_s, 0.5, 1e-12);
}

TEST(ReadLog, SaysAllThatIsWrongWithTheColumnsAtOnce) {
  const std::string said = faults(write("t,Pos,V\n0,1,2\n"));
  EXPECT_NE(said.find("no column for the speed was found; the names found are `t`, `Pos`, `V`"),
            std::string::npos)
      << said;
  EXPECT_NE(said.find("the time has no unit"), std::string::npos) << said;
  LogFormat format;
  format.value = "Sped";
  EXPECT_NE(faults(write("time [s],Speed [m/s]\n0,1\n"), format).find("did you mean"),
            std::string::npos);
  EXPECT_NE(faults(write("0,1,2\n1,2,3\n")).find("starts with data"), std::string::npos);
  EXPECT_NE(faults(write("time [s],speed [m/s]\n")).find("no row of data"), std::string::npos);
}

TEST(ReadLog, UnderstandsTheSonicLog) {
  // Expected figures: outside/README.md, "sonic-log".
  SWEEPFLUX_NEED_SHARED(shared);
  const auto file = shared / "outside" / "sonic-log" / "sonic_20Hz_60s.dat";
  const struct {
    const char* column;
    double mean;
    double sd;
  } expected[] = {{"Ux", 1.01769, 0.67538}, {"Uy", -0.70844, 0.55946}, {"Uz", -0.09201, 0.58005}};
  for (const auto& [column, mean, sd] : expected) {
    LogFormat format;
    format.value = column;
    const Log log = read(file, format);
    ASSERT_EQ(log.samples.size(), 1200U);
    double sum = 0.0;
    double squares = 0.0;
    for (const LogSample& sample : log.samples) {
      sum += sample.value;
      squares += sample.value * sample.value;
    }
    EXPECT_NEAR(sum / 1200.0, mean, 1e-5);
    EXPECT_NEAR(std::sqrt(squares / 1200.0 - sum * sum / 1.44e6), sd, 4e-4);
    EXPECT_NEAR(log.samples.back().time_s - log.samples.front().time_s, 59.95, 1e-6);
  }
}

TEST(ReadLog, UnderstandsTheAwkwardCases) {
  SWEEPFLUX_NEED_SHARED(shared);
  const auto cases = shared / "cases";
  const Log nul = read(cases / "case-07.csv");  // NUL bytes at 4:10
  EXPECT_EQ(nul.counts.unreadable, 1U);
  EXPECT_EQ(nul.counts.first_faults[0].spot.column, 10U);
  const Log cut = read(cases / "case-06.csv");
  EXPECT_EQ(cut.samples.size(), 4U);
  EXPECT_EQ(cut.counts.cut_line, 6U);
  const Log dates = read(cases / "case-09.csv");  // day first: 10 d 00:00:08
  EXPECT_NEAR(dates.samples.back().time_s - dates.samples.front().time_s, 864008.0, 1e-6);
}

TEST(LineFeed, GivesTheSameAsTheWholeFileHoweverItIsCut) {
  std::string text = "time [s],angle [deg],speed [m/s]\r\n";
  for (int i = 0; i < 300; ++i) {
    text += std::to_string(i) + ".25," + std::to_string(i % 40 - 20) + ",1." +
            std::to_string(i % 10) + "\r\n";
  }
  const Log whole = read(write(text));
  for (const std::size_t piece : {1U, 7U, 1000U}) {
    LineFeed feed("log", {});
    std::size_t at = 0;
    for (std::size_t i = 0; i < text.size(); i += piece) {
      feed.feed(std::string_view(text).substr(i, piece), [&](const LogSample& sample) {
        ASSERT_LT(at, whole.samples.size());
        EXPECT_EQ(sample.value, whole.samples[at].value);
        EXPECT_EQ(sample.line, whole.samples[at].line);
        ++at;
      });
    }
    EXPECT_EQ(at, whole.samples.size());
    EXPECT_EQ(feed.bytes_before(), text.size());
  }
}

TEST(ReadSteps, ReadsAListOfStopsAndNamesItsFaults) {
  const auto good = read_steps(write("angle [deg],time [s],dwell [s],settle [s]\n-10,0,8,2\n"
                                     "-8,10,8,2\n"),
                               Motion::swivel);
  ASSERT_EQ(good.size(), 1U);
  ASSERT_EQ(good[0].stops.size(), 2U);
  EXPECT_NEAR(good[0].stops[1].position, -8 * degree_rad, 1e-12);
  EXPECT_EQ(good[0].stops[1].start_s, 10.0);
  EXPECT_EQ(good[0].stops[1].settle_s, 2.0);
  EXPECT_THROW((void)read_steps(write("angle [deg],time [s]\n1,2\n"), Motion::swivel), SurveyError);
  EXPECT_THROW(
      (void)read_steps(write("angle [deg],time [s],dwell [s]\n1,5,2\n2,5,2\n"), Motion::swivel),
      SurveyError);
}

TEST(ReadSteps, OneSweepOfAListIsTakenByNameOrByPlaceAndElseAskedFor) {
  const auto file = write("sweep,distance_m,height_m,angle_deg,time_s,settle_s,dwell_s\n"
                          "1,1.5,0.9213,-10,0.4,2,8\n1,1.5,0.9213,-8,10.4,2,8\n"
                          "2,1.5,1.1,-4,0.4,2,8\n");
  const auto lists = read_steps(file, Motion::swivel);
  ASSERT_EQ(lists.size(), 2U) << "times begin anew with each sweep";
  EXPECT_EQ(chosen_steps(lists, {"1", {}, {}}, file).stops.size(), 2U);
  EXPECT_EQ(chosen_steps(lists, {"", 1.5, 1.1}, file).sweep, "2");
  EXPECT_EQ(chosen_steps(lists, {"", 1.5, 0.92}, file).sweep, "1") << "as the plan's table says it";
  const auto refusal = [&](const StepChoice& choice) -> std::string {
    try {
      (void)chosen_steps(lists, choice, file);
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_NE(refusal({}).find("say which"), std::string::npos);
  EXPECT_NE(refusal({"", 1.5, 1.0}).find("no sweep of the list"), std::string::npos);
  EXPECT_NE(refusal({"3", {}, {}}).find("`sweep 2, 1.5 m, 1.1 m`"), std::string::npos);
}

TEST(ReadLog, CellsWithTheirUnitAreRead) {
  const Log log =
      read(write("time;angle;speed\n0 s;-20 deg;0,39 m/s\n1 s;-20 deg;0,41 m/s\n"
                 "2 s;-20 deg;0,4 km/h\n"));
  ASSERT_EQ(log.samples.size(), 3U);
  EXPECT_NEAR(log.samples[0].value, 0.39, 1e-12);
  EXPECT_NEAR(log.samples[1].value, 0.41, 1e-12);
  EXPECT_NEAR(log.samples[1].position, -20.0 * std::numbers::pi / 180.0, 1e-12);
  EXPECT_EQ(log.samples[2].fault, SampleFault::unreadable) << "one unit a column";
  LogFormat scale;
  scale.kind = LogKind::force;
  const Log force = read(write("time [s],weight [g]\n0,+ 12 g ST\n1,-  3.5 g\n2,US 7 g\n"), scale);
  ASSERT_EQ(force.samples.size(), 3U);
  EXPECT_NEAR(force.samples[0].value, 12.0 * 9.80665e-3, 1e-12);
  EXPECT_NEAR(force.samples[1].value, -3.5 * 9.80665e-3, 1e-12);
  EXPECT_NEAR(force.samples[2].value, 7.0 * 9.80665e-3, 1e-12);
}

TEST(ReadLog, CellsThatOnlyLookLikeANumberWithItsUnitStayFaults) {
  const Log log =
      read(write("time [s],speed [m/s]\n0,0.39\n1,0x10\n2,1_000\n3,3.8D-01\n4,12:30\n"));
  ASSERT_EQ(log.samples.size(), 5U);
  for (std::size_t i = 1; i < 5; ++i) {
    EXPECT_EQ(log.samples[i].fault, SampleFault::unreadable) << i;
  }
}

TEST(ReadLog, AStreamWithoutAHeadingIsReadByStatedColumns) {
  LogFormat format;
  format.columns = {"time [s]", "-", "speed [m/s]"};
  const Log log = read(write("\x01garbage\n7.1,0.4\n0.1,9,0.50\n0.2,9,0.52\n"), format);
  ASSERT_EQ(log.samples.size(), 2U);
  EXPECT_NEAR(log.samples[0].value, 0.50, 1e-12);
  EXPECT_NEAR(log.samples[1].time_s, 0.2, 1e-12);
  EXPECT_EQ(log.samples[0].line, 3U);
  LogFormat bare;  // of a serial anemometer
  bare.columns = {"speed"};
  bare.rate_hz = 2.0;
  const Log serial = read(write("boot v1\n0.39 m/s\n0.41 m/s\n"), bare);
  ASSERT_EQ(serial.samples.size(), 2U);
  EXPECT_NEAR(serial.samples[1].value, 0.41, 1e-12);
  EXPECT_NEAR(serial.samples[1].time_s, 0.5, 1e-12);
  LogFormat scale;
  scale.kind = LogKind::force;
  scale.columns = {"weight"};
  scale.rate_hz = 2.0;
  const Log pan = read(write("ST,GS,+ 12.3 g\nUS,GS,-  2.0 g\n"), scale);
  ASSERT_EQ(pan.samples.size(), 2U);
  EXPECT_NEAR(pan.samples[0].value, 12.3 * 9.80665e-3, 1e-12);
  EXPECT_NEAR(pan.samples[1].value, -2.0 * 9.80665e-3, 1e-12);
}

TEST(ReadLog, HeadingsInOtherLanguagesAreKnownOrTheOptionIsNamed) {
  EXPECT_EQ(read(write("Zeit [s];Winkel [deg];Geschwindigkeit [m/s]\n0;1;2,5\n")).samples.size(),
            1U);
  EXPECT_NE(faults(write("t [s],Wert\n0,1\n")).find("--value-column"), std::string::npos);
}

TEST(ReadLog, ASpeedInAnyLanguageIsKnownByItsUnit) {
  for (const char* heading : {"Czas [s];Kąt [deg];Prędkość [m/s]",
                              "Tid [s];Vinkel [deg];Vindens fart (m/s)",
                              "range 0-30;m/s\ntime [s];angle [deg];Air velocity m/s",
                              "t [s];angle [deg];m/s"}) {
    const Log log = read(write(std::string(heading) + "\n0,0;-4,0;1,25\n0,1;-4,0;1,75\n"));
    ASSERT_EQ(log.samples.size(), 2U) << heading;
    EXPECT_EQ(log.samples[1].value, 1.75) << heading;
    EXPECT_NEAR(log.samples[1].position, -4.0 * std::numbers::pi / 180.0, 1e-12) << heading;
  }
  EXPECT_NE(faults(write("time [s];u [m/s];v [m/s]\n0;1;2\n1;1;2\n"))
                .find("more than one column could be the speed: `u [m/s]`"),
            std::string::npos);
}

TEST(ReadLog, AStreamThatBeginsWithGarbageIsReadAlikeFromAFileAndFromALine) {
  struct Case {
    std::vector<std::string> columns;
    std::string row;  ///< behind its time
  };
  const std::string garbage = std::string("\0\xff", 2) + "7;3\r\n,0 m/s OK\r\n4.";
  for (const Case& one : {Case{{"time [s]", "angle [steps]", "speed"}, ";40;3,25 m/s OK"},
                          Case{{"time [s]", "angle [steps]", "speed"}, "\t40\t3.25m/s\tSTABLE"},
                          Case{{"time [s]", "angle [steps]", "speed [m/s]"}, " 40 3.25"},
                          Case{{"time [s]", "angle [steps]", "speed [m/s]"}, " 40 3.25 m/s OK"}}) {
    LogFormat format;
    format.columns = one.columns;
    format.motor_step = 0.01;
    std::string text = garbage;
    for (int i = 0; i < 200; ++i) {
      text += std::to_string(10 + i) + one.row + "\r\n";
    }
    const Log log = read(write(text), format);
    LineFeed feed("line", format);
    std::size_t fed = 0;
    double last = 0.0;
    feed.feed(text, [&](const LogSample& sample) {
      ++fed;
      last = sample.value;
    });
    EXPECT_GE(log.samples.size(), 199U) << one.row;
    EXPECT_EQ(log.samples.size(), fed) << one.row;
    EXPECT_EQ(log.samples.back().value, 3.25) << one.row;
    EXPECT_EQ(last, 3.25) << one.row;
    EXPECT_NEAR(log.samples.back().position, 0.4, 1e-12) << one.row;
  }
}

TEST(ReadLog, ARowBeforeTheOneThatTellsTheUnitIsCountedAsLost) {
  LogFormat format;
  format.columns = {"speed"};
  format.rate_hz = 1.0;
  const Log log = read(write("7;3\nAV    0.42 m/s  OK\nAV    0.43 m/s  OK\n"), format);
  ASSERT_EQ(log.samples.size(), 2U);
  EXPECT_EQ(log.samples[0].value, 0.42);
  EXPECT_EQ(log.counts.unreadable, 1U);
  EXPECT_NE(faults(write("0.42\n0.43\n0.44\n"), format).find("the speed has no unit"),
            std::string::npos);
  EXPECT_NE(faults(write("0.42\n"), format).find("the speed has no unit"), std::string::npos);
}

TEST(LineFeed, KnowsEveryLineEndAndCountsLinesAsTheReaderDoes) {
  const std::string text =
      "time [s],angle [deg],speed [m/s]\n0,1,2\r\n1,1,3\r2,1,4\n3,1,5\n4,1,6\n";
  const Log whole = read(write(text));
  ASSERT_EQ(whole.samples.size(), 5U);
  for (std::size_t piece = 1; piece < 9; ++piece) {
    LineFeed feed("log", {});
    std::vector<std::size_t> lines;
    for (std::size_t i = 0; i < text.size(); i += piece) {
      feed.feed(std::string_view(text).substr(i, piece),
                [&](const LogSample& sample) { lines.push_back(sample.line); });
    }
    ASSERT_EQ(lines.size(), 5U) << piece;
    for (std::size_t i = 0; i < 5; ++i) {
      EXPECT_EQ(lines[i], whole.samples[i].line) << piece;
    }
  }
}

}  // namespace
}  // namespace sweepflux
