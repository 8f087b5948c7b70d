#include "sweepflux/capture/survey/read_survey.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <string>
#include <vector>

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

struct Units {
  const char* length;
  double metres;
  const char* speed;
  double metres_a_second;
};

constexpr Units metric{"m", 1.0, "m/s", 1.0};
constexpr Units small{"cm", 0.01, "km/h", 1.0 / 3.6};
constexpr Units english{"ft", 0.3048, "ft/min", 0.3048 / 60.0};

/// A straight traverse of a round stream to the right of the middle as a tester would write it: the
/// survey in the first units, each sweep in its own.
std::filesystem::path written_in(const Units& u, const std::array<Units, 3>& of_sweeps) {
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
  constexpr std::array<double, 3> heights = {0.72, 0.93, 1.08};
  for (std::size_t k = 0; k < heights.size(); ++k) {
    const double height = heights[k];
    const Units& v = of_sweeps[k];
    const std::string name = std::to_string(std::lround(1000.0 * height)) + ".csv";
    toml << "[[sweep]]\nfile = \"" << name << "\"\n";
    quantity("distance", 1.8, u.metres, u.length);
    quantity("height", height, u.metres, u.length);
    std::ofstream csv(folder / name);
    csv.precision(15);
    csv << "across [" << v.length << "],speed [" << v.speed << "]\n";
    for (int i = -15; i <= 15; ++i) {
      const double y = 0.04 * i;
      const double r2 = (std::pow(y - 0.05, 2) + std::pow(height - 0.9, 2)) / 0.0324;
      const double ripple = 1.0 + 0.03 * std::sin(7.0 * i + 100.0 * height);
      csv << y / v.metres << ',' << 3.0 * std::exp2(-r2) * ripple / v.metres_a_second << '\n';
    }
  }
  return folder / "survey.toml";
}

/// One plane of three heights.
const Survey& small_survey() {
  static const Survey survey = read_survey(written_in(metric, {metric, metric, metric}));
  return survey;
}

/// What every change of it is held against, mapped once and by one thread.
const SurveyResult& small_map() {
  static const SurveyResult result = map_survey(small_survey(), numbers_only(1));
  return result;
}

Survey mirrored(Survey survey) {
  for (Sweep& sweep : survey.sweeps) {
    for (Reading& r : sweep.readings) {
      r.position = -r.position;
    }
  }
  return survey;
}

void expect_mirrored(const SurveyResult& a, const SurveyResult& b) {
  expect_same(a, b, 1e-6);
  for (std::size_t j = 0; j < a.planes.size(); ++j) {
    EXPECT_NEAR(a.planes[j].centre.y_m, -b.planes[j].centre.y_m, 1e-6);
    EXPECT_NEAR(a.planes[j].centre.z_m, b.planes[j].centre.z_m, 1e-6);
  }
}

TEST(StreamLaws, AMirroredTraverseOfOnePlaneHasTheSameFlowAndMomentum) {
  expect_mirrored(small_map(), map_survey(mirrored(small_survey()), numbers_only()));
}

TEST(StreamLaws, MirroredSwivelsOfThreePlanesHaveTheSameFlowAndMomentum) {
  Survey demo = read_survey(std::string(SWEEPFLUX_SOURCE_DIR) + "/scans/wren-1/survey.toml");
  // Of the five heights of each plane the outer ones and the middle.
  std::vector<Sweep> sweeps;
  for (std::size_t k = 0; k < demo.sweeps.size(); ++k) {
    if (k % 5 % 2 == 0) {
      sweeps.push_back(demo.sweeps[k]);
    }
  }
  demo.sweeps = sweeps;
  const SurveyResult result = map_survey(demo, numbers_only());
  ASSERT_EQ(result.planes.size(), 3u);
  expect_mirrored(result, map_survey(mirrored(demo), numbers_only()));
}

TEST(StreamLaws, ThreadsAndTheOrderOfFilesAndRowsChangeNothing) {
  Survey turned = small_survey();
  std::reverse(turned.sweeps.begin(), turned.sweeps.end());
  for (Sweep& sweep : turned.sweeps) {
    std::reverse(sweep.readings.begin(), sweep.readings.end());
  }
  const SurveyResult two = map_survey(turned, numbers_only(2));
  expect_same(small_map(), two, 0.0);
  EXPECT_EQ(small_map().planes[0].map.speed_m_s, two.planes[0].map.speed_m_s);
}

TEST(StreamLaws, OtherUnitsInTheFilesChangeNothing) {
  const Survey other = read_survey(written_in(english, {small, english, metric}));
  expect_same(map_survey(other, numbers_only()), small_map(), 1e-6);
}

}  // namespace
}  // namespace sweepflux
