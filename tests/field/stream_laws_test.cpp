#include "sweepflux/capture/survey/read_survey.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tests/support/known_fields.hpp"
#include "tests/support/make_survey.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <string>
#include <utility>

// What must not change the answer.

namespace sweepflux {
namespace {

MapOptions numbers_only(int threads = 2) {
  MapOptions options;
  options.threads = threads;
  options.hold_out = false;
  options.next_sweep = false;
  return options;
}

Survey demo(const char* name) {
  return read_survey(std::string(SWEEPFLUX_SOURCE_DIR) + "/scans/" + name + "/survey.toml");
}

void expect_same(const SurveyResult& a, const SurveyResult& b, double relative) {
  ASSERT_EQ(a.planes.size(), b.planes.size());
  for (std::size_t j = 0; j < a.planes.size(); ++j) {
    const auto near = [&](const Estimate& p, const Estimate& q) {
      EXPECT_NEAR(p.value, q.value, relative * q.value);
      EXPECT_NEAR(p.low_95, q.low_95, relative * q.value);
      EXPECT_NEAR(p.high_95, q.high_95, relative * q.value);
    };
    near(a.planes[j].volume_flow_m3_s, b.planes[j].volume_flow_m3_s);
    near(a.planes[j].momentum_flux_n, b.planes[j].momentum_flux_n);
  }
}

// Three planes of a round fan, one plane, and three planes of a tall slot.
class StreamLaws : public testing::TestWithParam<const char*> {};
INSTANTIATE_TEST_SUITE_P(Demo, StreamLaws, testing::Values("wren-1", "heron-1"));

TEST_P(StreamLaws, AMirroredSurveyHasTheSameFlowAndMomentum) {
  const Survey survey = demo(GetParam());
  Survey mirrored = survey;
  for (Sweep& sweep : mirrored.sweeps) {
    for (Reading& r : sweep.readings) {
      r.position = -r.position;
    }
  }
  const SurveyResult a = map_survey(survey, numbers_only());
  const SurveyResult b = map_survey(mirrored, numbers_only());
  expect_same(a, b, 1e-6);
  for (std::size_t j = 0; j < a.planes.size(); ++j) {
    EXPECT_NEAR(a.planes[j].centre.y_m, -b.planes[j].centre.y_m, 1e-6);
    EXPECT_NEAR(a.planes[j].centre.z_m, b.planes[j].centre.z_m, 1e-6);
  }
}

Survey small_survey() {
  test::SurveyPlan plan;
  plan.count = 3;
  plan.angles = 25;
  plan.thrust = false;
  return make_survey(test::known_field("offset"), plan);
}

TEST(StreamLaws, ThreadsAndTheOrderOfFilesAndRowsChangeNothing) {
  const Survey survey = small_survey();
  const SurveyResult one = map_survey(survey, numbers_only(1));
  const SurveyResult two = map_survey(survey, numbers_only(2));
  expect_same(one, two, 0.0);
  EXPECT_EQ(one.planes[0].map.speed_m_s, two.planes[0].map.speed_m_s);
  Survey turned = survey;
  std::reverse(turned.sweeps.begin(), turned.sweeps.end());
  for (Sweep& sweep : turned.sweeps) {
    std::reverse(sweep.readings.begin(), sweep.readings.end());
  }
  expect_same(one, map_survey(turned, numbers_only()), 0.0);
}

struct Units {
  const char* length;
  double metres;
  const char* speed;
  double metres_a_second;
};

/// A straight traverse of a round stream as a tester would write it in these units.
std::filesystem::path written_in(const Units& u) {
  const auto folder = test::scratch_folder();
  std::ofstream toml(folder / "survey.toml");
  toml.precision(15);
  const auto quantity = [&](const char* key, double value, double unit, const char* name) {
    toml << key << " = \"" << value / unit << ' ' << name << "\"\n";
  };
  toml << "[survey]\ntitle = \"loft\"\nfan = \"teal\"\nsetting = \"2\"\n[air]\ntemperature = \"21 "
          "degC\"\npressure = \"1006 hPa\"\nhumidity = \"45 %\"\n[outlet]\nshape = \"round\"\n";
  quantity("diameter", 0.3, u.metres, u.length);
  quantity("centre_height", 0.9, u.metres, u.length);
  toml << "[rig]\nmotion = \"traverse\"\n[probe]\nkind = \"vane\"\n";
  quantity("starting_speed", 0.3, u.metres_a_second, u.speed);
  for (const double height : {0.72, 0.93, 1.08}) {
    const std::string name = std::to_string(std::lround(1000.0 * height)) + ".csv";
    toml << "[[sweep]]\nfile = \"" << name << "\"\n";
    quantity("distance", 1.8, u.metres, u.length);
    quantity("height", height, u.metres, u.length);
    std::ofstream csv(folder / name);
    csv.precision(15);
    csv << "across [" << u.length << "],speed [" << u.speed << "]\n";
    for (int i = -15; i <= 15; ++i) {
      const double y = 0.04 * i;
      const double r2 = (y * y + std::pow(height - 0.9, 2)) / 0.0324;
      const double ripple = 1.0 + 0.03 * std::sin(7.0 * i + 100.0 * height);
      csv << y / u.metres << ',' << 3.0 * std::exp2(-r2) * ripple / u.metres_a_second << '\n';
    }
  }
  return folder / "survey.toml";
}

TEST(StreamLaws, OtherUnitsInTheFilesChangeNothing) {
  const auto mapped = [](const Units& u) {
    return map_survey(read_survey(written_in(u)), numbers_only());
  };
  const SurveyResult metres = mapped({"m", 1.0, "m/s", 1.0});
  expect_same(mapped({"cm", 0.01, "km/h", 1.0 / 3.6}), metres, 1e-6);
  expect_same(mapped({"ft", 0.3048, "ft/min", 0.3048 / 60.0}), metres, 1e-6);
}

}  // namespace
}  // namespace sweepflux
