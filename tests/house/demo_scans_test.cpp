#include "sweepflux/derive/sample/air.hpp"
#include "tests/support/shared_folder.hpp"

#include "scans/demo_surveys.hpp"
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <map>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

std::map<std::string, std::string> files_below(const fs::path& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) {
      std::ifstream in(entry.path(), std::ios::binary);
      files[entry.path().lexically_relative(folder).string()] = {std::istreambuf_iterator<char>(in),
                                                                 std::istreambuf_iterator<char>()};
    }
  }
  return files;
}

TEST(DemoScans, AreByteForByteWhatTheGeneratorWrites) {
  const fs::path fresh = test::scratch_folder();
  const std::string command =
      std::string("\"") + SWEEPFLUX_DEMO_SCANS + "\" \"" + fresh.string() + "\"";
  ASSERT_EQ(std::system(command.c_str()), 0);
  ASSERT_FALSE(demo::demo_surveys().empty());
  for (const demo::DemoSurvey& survey : demo::demo_surveys()) {
    const auto wanted = files_below(fresh / survey.folder);
    const auto committed = files_below(test::source_folder() / "scans" / survey.folder);
    EXPECT_GE(wanted.size(), survey.sweeps.size() + 2);
    for (const auto& [name, text] : wanted) {
      const auto found = committed.find(name);
      if (found == committed.end()) {
        ADD_FAILURE() << survey.folder << "/" << name << " is missing";
      } else {
        EXPECT_TRUE(found->second == text) << survey.folder << "/" << name << " differs";
      }
    }
  }
}

TEST(DemoScans, TakeTheDensityOfTheirOwnAir) {
  AirState air;
  air.temperature_k = {294.65, 0.0};
  air.pressure_pa = {100620.0, 0.0};
  air.humidity = {0.48, 0.0};
  EXPECT_NEAR(air_density_kg_m3(air).value, demo::loft_density_kg_m3, 5e-4);
}

/// Momentum of the mean flow over density, by a sum over squares wide enough for all of it.
double momentum_over_density(const demo::Stream& stream, double x_m) {
  const double step_m = 0.04;
  double sum = 0.0;
  for (int i = -20; i <= 20; ++i) {
    for (int k = -20; k <= 20; ++k) {
      const double u = stream(x_m, i * step_m, k * step_m).u_m_s;
      sum += u * u * step_m * step_m;
    }
  }
  return sum;
}

TEST(DemoStreams, CarryALittleLessMomentumThanTheThrust) {
  for (const demo::DemoSurvey& survey : demo::demo_surveys()) {
    const double thrust = survey.thrust_n / demo::loft_density_kg_m3;
    for (const double x_m : {0.6, 1.5}) {
      const double share = momentum_over_density(survey.stream, x_m) / thrust;
      // The share is written into the streams: 0.97 - 0.01 x.
      EXPECT_NEAR(share, 0.97 - 0.01 * x_m, 2e-3) << survey.folder << " at " << x_m;
    }
  }
}

TEST(DemoStreams, LoseNoAir) {
  const double h_m = 1e-3;
  for (const demo::DemoSurvey& survey : demo::demo_surveys()) {
    const auto at = [&](double x, double y, double z) { return survey.stream(x, y, z); };
    for (const double y_m : {0.02, 0.15}) {
      for (const double z_m : {-0.1, 0.25}) {
        const double x_m = 0.9;
        const double du = (at(x_m + h_m, y_m, z_m).u_m_s - at(x_m - h_m, y_m, z_m).u_m_s);
        const double dv = (at(x_m, y_m + h_m, z_m).v_m_s - at(x_m, y_m - h_m, z_m).v_m_s);
        const double dw = (at(x_m, y_m, z_m + h_m).w_m_s - at(x_m, y_m, z_m - h_m).w_m_s);
        // Of a gradient scale of some 10 per second.
        EXPECT_NEAR((du + dv + dw) / (2 * h_m), 0.0, 5e-3)
            << survey.folder << " at " << y_m << ", " << z_m;
      }
    }
  }
}

}  // namespace
}  // namespace sweepflux
