#include "tests/support/known_fields.hpp"

#include "tests/support/make_survey.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <numbers>
#include <sstream>
#include <string>

namespace sweepflux::test {
namespace {

constexpr double a = std::numbers::sqrt2 - 1.0;

/// Runs a few lines of Python beside the outside data and gives what they print.
std::string run_python(const std::filesystem::path& bench, const std::string& lines) {
  const std::filesystem::path folder = scratch_folder();
  std::ofstream(folder / "ask.py") << lines;
  const std::string command = "PYTHONDONTWRITEBYTECODE=1 PYTHONPATH='" + bench.string() +
                              "' python3 '" + (folder / "ask.py").string() + "' > '" +
                              (folder / "said.txt").string() + "'";
  if (std::system(command.c_str()) != 0) {
    return {};
  }
  std::ifstream said(folder / "said.txt");
  std::stringstream all;
  all << said.rdbuf();
  return all.str();
}

bool python_is_here() { return std::system("python3 -c 'import math' > /dev/null 2>&1") == 0; }

Window whole_plane(const KnownField& field, double x) {
  const double reach = 1.4 * std::max(1.0, x / 1.8);
  const double z0 = field.outlet_height_m;
  return {-reach, reach, z0 - reach, z0 + reach};
}

TEST(KnownFields, DrawnOnesHaveIntegralsThatAFinerGridDoesNotMove) {
  ASSERT_EQ(drawn_fields().size(), 20U);
  for (const KnownField& field : drawn_fields()) {
    const ExactFlux exact = field.exact(1.8);
    // Tops that are pointed or flat are not smooth there: the integrals converge no faster.
    const ExactFlux finer = integrate_known_field(field, 1.8, whole_plane(field, 1.8), 0.1);
    EXPECT_NEAR(finer.volume_flow_m3_s / exact.volume_flow_m3_s, 1.0, 1e-6) << field.name;
    EXPECT_NEAR(finer.momentum_over_density_m4_s2 / exact.momentum_over_density_m4_s2, 1.0, 1e-6)
        << field.name;
    // Twice as far the stream is twice as wide and half as fast.
    EXPECT_NEAR(field.speed_m_s(3.6, 0.2, 1.1), 0.5 * field.speed_m_s(1.8, 0.1, 1.0), 1e-12);
  }
}

TEST(KnownFields, AreTenTextbookAndTenIrregularOnesWithNamesOfTheirOwn) {
  std::size_t irregular = 0;
  std::vector<std::string> names;
  for (const auto* list : {&known_fields(), &spoiled_fields()}) {
    for (const KnownField& field : *list) {
      irregular += field.irregular ? 1 : 0;
      EXPECT_FALSE(field.description.empty()) << field.name;
      names.push_back(field.name);
    }
  }
  EXPECT_EQ(known_fields().size(), 20U);
  EXPECT_EQ(irregular, 10U);
  std::sort(names.begin(), names.end());
  EXPECT_EQ(std::adjacent_find(names.begin(), names.end()), names.end());
  EXPECT_THROW((void)known_field("no such thing"), std::invalid_argument);
}

// Closed forms: Gaussian pi/ln2 and pi/(2 ln2), Schlichting pi/a and pi/(3a), of peak and squared
// half width.
TEST(KnownFields, HaveTheClosedFormIntegralsOfTheirProfiles) {
  const ExactFlux gauss = known_field("gauss").exact(1.8);
  EXPECT_NEAR(gauss.volume_flow_m3_s, 4.53236 * 3.0 * 0.18 * 0.18, 1e-5);
  EXPECT_NEAR(gauss.momentum_over_density_m4_s2, 2.26618 * 9.0 * 0.18 * 0.18, 1e-5);
  const ExactFlux fat = known_field("schlichting").exact(1.8);
  EXPECT_NEAR(fat.volume_flow_m3_s, 7.58448 * 3.0 * 0.18 * 0.18, 1e-5);
  EXPECT_NEAR(fat.momentum_over_density_m4_s2, 2.52816 * 9.0 * 0.18 * 0.18, 1e-5);
}

TEST(KnownFields, KeepThePublishedShareOfFlowWithinARadius) {
  // Share of the whole within a disc, by rings; facts hold for any half width.
  const auto inside = [](const KnownField& field, double radius, double power) {
    double sum = 0.0;
    const int rings = 20000;
    for (int i = 0; i < rings; ++i) {
      const double r = radius * (i + 0.5) / rings;
      sum += std::pow(field.speed_m_s(1.8, r, 0.9), power) * 2.0 * std::numbers::pi * r * radius /
             rings;
    }
    return sum;
  };
  for (const double q : {1.0, 4.0, 9.0}) {
    const double radius = 0.18 * std::sqrt(q);
    const KnownField& gauss = known_field("gauss");
    EXPECT_NEAR(
        inside(gauss, radius, 1) / gauss.exact(1.8).volume_flow_m3_s, 1 - std::exp2(-q), 1e-7);
    EXPECT_NEAR(inside(gauss, radius, 2) / gauss.exact(1.8).momentum_over_density_m4_s2,
                1 - std::exp2(-2 * q),
                1e-7);
    const KnownField& fat = known_field("schlichting");
    EXPECT_NEAR(
        inside(fat, radius, 1) / fat.exact(1.8).volume_flow_m3_s, 1 - 1 / (1 + a * q), 1e-7);
    EXPECT_NEAR(inside(fat, radius, 2) / fat.exact(1.8).momentum_over_density_m4_s2,
                1 - std::pow(1 + a * q, -3),
                1e-7);
  }
}

TEST(KnownFields, AgreeWithQuadratureAtEveryDistance) {
  for (const auto* list : {&known_fields(), &spoiled_fields()}) {
    for (const KnownField& field : *list) {
      if (field.schlichting_inflow) {
        continue;  // its tail reaches far beyond any rectangle
      }
      KnownField jet = field;
      jet.co_flow_m_s = 0.0;
      for (const double x : {1.4, 2.2}) {
        const ExactFlux sum = integrate_known_field(jet, x, whole_plane(field, x), 0.15);
        const ExactFlux exact = field.exact(x);
        EXPECT_NEAR(sum.volume_flow_m3_s / exact.volume_flow_m3_s, 1.0, 1e-6) << field.name;
        EXPECT_NEAR(sum.momentum_over_density_m4_s2 / exact.momentum_over_density_m4_s2, 1.0, 1e-6)
            << field.name;
      }
    }
  }
}

TEST(KnownFields, KeepTheirMomentumOnTheWayUnlessSaidOtherwise) {
  for (const char* name : {"gauss",
                           "star5",
                           "filling-wake",
                           "one-way-tower",
                           "turning-ellipse",
                           "merging-lobes",
                           "kinked-axis",
                           "origin-twin"}) {
    const KnownField& field = known_field(name);
    EXPECT_NEAR(
        field.exact(2.2).momentum_over_density_m4_s2 / field.exact(1.4).momentum_over_density_m4_s2,
        1.0,
        1e-5)
        << name;
  }
  EXPECT_NEAR(known_field("losing-gauss").exact(2.2).momentum_over_density_m4_s2 /
                  known_field("losing-gauss").exact(1.8).momentum_over_density_m4_s2,
              0.95,
              1e-9);
}

TEST(KnownFields, AreSmoothPositiveAndPeakNearThreeMetresASecond) {
  for (const KnownField& field : known_fields()) {
    double top = 0.0;
    double roughest = 0.0;
    for (int i = -100; i <= 100; ++i) {
      for (int j = -100; j <= 100; ++j) {
        const double y = 0.01 * i + 0.0037;
        const double z = field.outlet_height_m + 0.01 * j;
        const double v = field.jet_speed_m_s(1.8, y, z);
        EXPECT_GE(v, 0.0) << field.name;
        top = std::max(top, v);
        if (!field.floor_m) {
          // A step or a kink would show as a second difference that does not shrink with h.
          const double bend = std::abs(field.jet_speed_m_s(1.8, y + 1e-4, z) - 2 * v +
                                       field.jet_speed_m_s(1.8, y - 1e-4, z));
          roughest = std::max(roughest, bend / 1e-8);
        }
      }
    }
    EXPECT_NEAR(top, 3.0, 0.03) << field.name;
    EXPECT_LT(roughest, 4000.0) << field.name << ": curvature [1/(m s)]";
  }
}

// Outside the jet the divergence of the whole velocity must vanish only for round fields, where
// the inflow is exact; there it must vanish everywhere.
TEST(KnownFields, ConserveAirWhereTheirInflowIsExact) {
  const double h = 1e-4;
  for (const char* name : {"gauss", "schlichting", "offset"}) {
    const KnownField& field = known_field(name);
    const PlanePoint centre = field.flow_centre_at_1_8;
    for (const double r : {0.03, 0.1, 0.2, 0.4}) {
      const double y = centre.y_m + r * 0.8;
      const double z = 0.9 + centre.z_m + r * 0.6;
      const double divergence =
          (field.velocity_m_s(1.8 + h, y, z).u_m_s - field.velocity_m_s(1.8 - h, y, z).u_m_s +
           field.velocity_m_s(1.8, y + h, z).v_m_s - field.velocity_m_s(1.8, y - h, z).v_m_s +
           field.velocity_m_s(1.8, y, z + h).w_m_s - field.velocity_m_s(1.8, y, z - h).w_m_s) /
          (2 * h);
      EXPECT_NEAR(divergence, 0.0, 2e-5) << name << " at radius " << r;
    }
  }
}

TEST(KnownFields, AgreeWithTheOutsideBenchToRounding) {
  SWEEPFLUX_NEED_SHARED(shared);
  if (!python_is_here()) {
    GTEST_SKIP() << "skipped: no python3";
  }
  const std::string said =
      run_python(shared / "bench",
                 "import truth\n"
                 "for n in truth.NAMES:\n"
                 "  for x in (1.4, 1.8, 2.6):\n"
                 "    e = truth.exact(n, x)\n"
                 "    y, z = 0.11 * x - 0.1, truth.outlet_height(n) + 0.07 * x\n"
                 "    print(n, x, repr(e['Q']), repr(e['M'] / truth.RHO), y, z,\n"
                 "          *map(repr, truth.vec(n, x, y, z)))\n");
  std::istringstream rows(said);
  std::string name;
  double x, flow, square, y, z, u, v, w;
  int count = 0;
  while (rows >> name >> x >> flow >> square >> y >> z >> u >> v >> w) {
    const KnownField& field = known_field(name);
    const ExactFlux exact = field.exact(x);
    // The outside peak of the annular field is taken on a half-millimetre grid.
    const double tolerance = name == "annular" ? 1e-5 : 1e-9;
    EXPECT_NEAR(exact.volume_flow_m3_s / flow, 1.0, tolerance) << name;
    EXPECT_NEAR(exact.momentum_over_density_m4_s2 / square, 1.0, tolerance) << name;
    const Velocity velocity = field.velocity_m_s(x, y, z);
    EXPECT_NEAR(velocity.u_m_s, u, 3 * tolerance) << name;
    EXPECT_NEAR(velocity.v_m_s, v, 3 * tolerance) << name;
    EXPECT_NEAR(velocity.w_m_s, w, 3 * tolerance) << name;
    ++count;
  }
  EXPECT_EQ(count, 30);
}

TEST(KnownFields, AreSampledLikeTheOutsideBenchWhenThereIsNoNoise) {
  SWEEPFLUX_NEED_SHARED(shared);
  if (!python_is_here()) {
    GTEST_SKIP() << "skipped: no python3";
  }
  const std::string said =
      run_python(shared / "bench",
                 "import truth\n"
                 "for n in truth.NAMES:\n"
                 "  h = truth.outlet_height(n) + 0.06\n"
                 "  for mode in ('swivel', 'straight'):\n"
                 "    for r in truth.sample(n, [h], angles=9, span=24.0, mode=mode, pivot=0.12,\n"
                 "                          mult=0.0, add=0.0, floor=0.0, vane=0.07):\n"
                 "      print(n, mode, r[3], r[4], r[5], repr(r[6]))\n");
  std::istringstream rows(said);
  std::string name, mode;
  double angle_deg, y, height, speed;
  int count = 0;
  while (rows >> name >> mode >> angle_deg >> y >> height >> speed) {
    SurveyPlan plan;
    plan.motion = mode == "swivel" ? Motion::swivel : Motion::traverse;
    plan.heights_m = {{height}};
    plan.angles = 9;
    plan.pivot_m = 0.12;
    plan.vane_m = 0.07;
    const Survey survey = make_survey(known_field(name), without_errors(plan));
    const Reading& reading = survey.sweeps.at(0).readings.at(
        static_cast<std::size_t>(std::lround((angle_deg + 24) / 6)));
    // In the survey the probe stands at y = -D sin(angle).
    EXPECT_NEAR(
        reading.position, mode == "swivel" ? -angle_deg * std::numbers::pi / 180.0 : y, 1e-12);
    EXPECT_NEAR(reading.speed_m_s, speed, name == "annular" ? 3e-5 : 1e-9) << name << " " << mode;
    ++count;
  }
  EXPECT_EQ(count, 10 * 2 * 9);
}

}  // namespace
}  // namespace sweepflux::test
