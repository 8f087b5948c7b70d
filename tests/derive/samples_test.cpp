#include "sweepflux/derive/sample/samples.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/sample/probe.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/hand_made.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>

namespace sweepflux {
namespace {

using test::bare_survey;
using test::degree;
using test::even_sweep;

// ---- Signs and invariances --------------------------------------------------------------------

/// A jet whose axis lies 0.2 m to the right of the outlet for someone facing the fan.
double off_centre(const ProbePlace& at) {
  const double y = (at.y_m - 0.2) / 0.18;
  const double z = (at.z_m - 0.9) / 0.18;
  return 3.0 * std::exp2(-y * y - z * z);
}

Survey off_centre_survey(bool clockwise = false) {
  Survey survey = bare_survey();
  survey.rig.clockwise = clockwise;
  survey.probe.starting_speed_m_s = 0.3;
  survey.probe.resolution_m_s = 0.01;
  test::Dice dice(11);
  for (const double z : {0.7, 0.9, 1.1}) {
    survey.sweeps.push_back(even_sweep(1.8, z, -24 * degree, 24 * degree, 41, [&](double angle) {
      const ProbePlace at = place_probe(survey.rig, survey.outlet, 1.8, z, angle);
      const double v = off_centre(at) * std::cos(at.yaw_rad) + dice.normal(0.05);
      return v < 0.3 ? 0.0 : v;
    }));
  }
  return survey;
}

const Sample& strongest(const PlaneSamples& plane) {
  return *std::max_element(
      plane.samples.begin(), plane.samples.end(), [](const Sample& a, const Sample& b) {
        return (a.censored ? 0.0 : a.speed_m_s) < (b.censored ? 0.0 : b.speed_m_s);
      });
}

TEST(Samples, show_a_jet_on_the_right_on_the_right) {
  // Facing the fan, y runs to the right. The fan must turn clockwise (seen from above) to bring
  // its own +y side before the probe, which is a negative angle in the default sense.
  const Survey survey = off_centre_survey();
  EXPECT_NEAR(strongest(derive_samples(survey).front()).at.y_m, 0.2, 0.06);
  const auto& readings = survey.sweeps[1].readings;
  const auto fastest =
      std::max_element(readings.begin(), readings.end(), [](const Reading& a, const Reading& b) {
        return a.speed_m_s < b.speed_m_s;
      });
  EXPECT_LT(fastest->position, 0.0);
  EXPECT_NEAR(strongest(derive_samples(off_centre_survey(true)).front()).at.y_m, 0.2, 0.06);
}

void expect_same(const PlaneSamples& a, const PlaneSamples& b, double y_sign, double tolerance) {
  ASSERT_EQ(a.samples.size(), b.samples.size());
  const std::size_t per_sweep = a.samples.size() / a.sweeps.size();
  for (std::size_t i = 0; i < a.samples.size(); ++i) {
    const std::size_t within = i % per_sweep;
    const std::size_t j = y_sign > 0.0 ? i : i - within + per_sweep - 1 - within;
    EXPECT_NEAR(a.samples[i].at.y_m, y_sign * b.samples[j].at.y_m, tolerance);
    EXPECT_NEAR(a.samples[i].at.z_m, b.samples[j].at.z_m, tolerance);
    EXPECT_NEAR(a.samples[i].speed_m_s, b.samples[j].speed_m_s, tolerance);
    EXPECT_NEAR(a.samples[i].noise_m_s, b.samples[j].noise_m_s, 50.0 * tolerance);
    EXPECT_EQ(a.samples[i].censored, b.samples[j].censored);
  }
}

TEST(Samples, mirror_with_the_survey) {
  const Survey survey = off_centre_survey();
  Survey mirrored = survey;
  for (Sweep& sweep : mirrored.sweeps) {
    for (Reading& r : sweep.readings) {
      r.position = -r.position;
    }
  }
  expect_same(derive_samples(survey).front(), derive_samples(mirrored).front(), -1.0, 1e-4);
}

TEST(Samples, do_not_depend_on_the_order_of_rows) {
  const Survey survey = off_centre_survey();
  Survey shuffled = survey;
  for (Sweep& sweep : shuffled.sweeps) {
    std::reverse(sweep.readings.begin(), sweep.readings.end());
    std::rotate(sweep.readings.begin(), sweep.readings.begin() + 13, sweep.readings.end());
  }
  expect_same(derive_samples(survey).front(), derive_samples(shuffled).front(), 1.0, 0.0);
}

TEST(Samples, do_not_depend_on_where_the_turntable_counts_from) {
  const Survey survey = off_centre_survey();
  Survey turned = survey;
  turned.rig.angle_zero_rad = 185.0 * degree;
  for (Sweep& sweep : turned.sweeps) {
    for (Reading& r : sweep.readings) {
      r.position = std::remainder(r.position + 185.0 * degree, 360.0 * degree);
    }
  }
  expect_same(derive_samples(survey).front(), derive_samples(turned).front(), 1.0, 1e-6);
}

TEST(Samples, scale_with_the_speeds) {
  Survey survey = off_centre_survey();
  survey.probe.starting_speed_m_s = 0.0;
  Survey doubled = survey;
  doubled.probe.resolution_m_s *= 2.0;
  for (Sweep& sweep : doubled.sweeps) {
    for (Reading& r : sweep.readings) {
      r.speed_m_s *= 2.0;
    }
  }
  const PlaneSamples a = derive_samples(survey).front();
  const PlaneSamples b = derive_samples(doubled).front();
  for (std::size_t i = 0; i < a.samples.size(); ++i) {
    EXPECT_NEAR(2.0 * a.samples[i].speed_m_s, b.samples[i].speed_m_s, 1e-12);
  }
}

// ---- What becomes of a reading ----------------------------------------------------------------

PlaneSamples one_sweep(const Survey& survey) { return derive_samples(survey).front(); }

Survey flat_traverse(const std::vector<std::pair<double, double>>& readings) {
  Survey survey = bare_survey();
  survey.rig.motion = Motion::traverse;
  Sweep sweep;
  sweep.name = "one";
  sweep.file = "one.csv";
  sweep.distance_m = 1.5;
  sweep.height_m = 0.9;
  for (const auto& [position, speed] : readings) {
    Reading r;
    r.position = position;
    r.speed_m_s = speed;
    r.line = sweep.readings.size() + 2;
    sweep.readings.push_back(r);
  }
  survey.sweeps.push_back(sweep);
  return survey;
}

TEST(Samples, censor_what_lies_under_the_starting_speed) {
  Survey survey = bare_survey();
  survey.probe.starting_speed_m_s = 0.3;
  survey.air.ambient_speed_m_s = Measured{0.05, 0.01};
  survey.outlet.ahead_of_axis_m = 0.2;
  survey.sweeps.push_back(even_sweep(1.8, 0.9, -30 * degree, 30 * degree, 31, [](double angle) {
    return std::abs(angle) > 20 * degree ? 0.0 : 2.0;
  }));
  const PlaneSamples plane = one_sweep(survey);
  const double phi = 30 * degree;
  const double s = 1.6 / (1.8 * std::cos(phi) - 0.2);
  EXPECT_TRUE(plane.samples.front().censored);
  EXPECT_NEAR(plane.samples.front().speed_m_s, (0.3 - 0.05) / (s * std::cos(phi)), 1e-12);
  EXPECT_FALSE(plane.samples[15].censored);
  EXPECT_NEAR(plane.samples[15].speed_m_s, 1.95, 1e-12);
  EXPECT_EQ(plane.starting_speed_m_s, 0.3);
  EXPECT_EQ(plane.common.ambient_m_s, 0.01);
}

TEST(Samples, take_a_zero_as_calm_when_no_starting_speed_is_known) {
  const PlaneSamples plane = one_sweep(flat_traverse({{-0.2, 0.0}, {0.0, 1.0}, {0.2, 0.0}}));
  EXPECT_FALSE(plane.samples.front().censored);
  EXPECT_EQ(plane.samples.front().speed_m_s, 0.0);
}

TEST(Samples, drop_exact_repeats_and_average_conflicts_aloud) {
  // Positions logged again: (0) three times 3.0; (0.1) 2.6, then 2.8.
  const PlaneSamples plane = one_sweep(flat_traverse(
      {{-0.2, 1.0}, {0.0, 3.0}, {0.2, 1.2}, {0.1, 2.6}, {0.0, 3.0}, {0.0, 3.0}, {0.1, 2.8}}));
  ASSERT_EQ(plane.samples.size(), 4U);
  EXPECT_NEAR(plane.samples[1].speed_m_s, 3.0, 1e-15);
  EXPECT_NEAR(plane.samples[2].speed_m_s, 2.7, 1e-15);
  EXPECT_LT(plane.samples[2].noise_m_s, plane.samples[1].noise_m_s);
  EXPECT_EQ(plane.samples[2].line, 5U);
  std::string all;
  for (const std::string& remark : plane.remarks) {
    all += remark + "\n";
  }
  EXPECT_NE(all.find("one: 2 rows repeat"), std::string::npos) << all;
  EXPECT_NE(all.find("1 position was read more than once"), std::string::npos) << all;
  EXPECT_NE(all.find("lines 5, 8"), std::string::npos) << all;
}

TEST(Samples, average_equal_values_read_at_different_times) {
  Survey survey = flat_traverse({{-0.1, 1.0}, {0.0, 2.0}, {0.0, 2.0}, {0.1, 1.0}});
  for (Reading& r : survey.sweeps[0].readings) {
    r.time_s = static_cast<double>(r.line) * 10.0;
  }
  const PlaneSamples plane = one_sweep(survey);
  EXPECT_EQ(plane.samples.size(), 3U);
  EXPECT_LT(plane.samples[1].noise_m_s / plane.noise.sd_m_s(4.0 / 3.0), 0.8);
}

TEST(Samples, name_over_range_rows_and_count_what_was_left_out) {
  Survey survey = flat_traverse({{-0.1, 1.0}, {0.0, 2.0}, {0.1, 1.0}});
  survey.sweeps[0].left_out = {{7, "missing value `---`", false}, {9, "over range `OL`", true}};
  const PlaneSamples plane = one_sweep(survey);
  EXPECT_EQ(plane.sweeps[0].left_out, 2U);
  EXPECT_EQ(plane.sweeps[0].readings, 3U);
  ASSERT_FALSE(plane.remarks.empty());
  EXPECT_NE(plane.remarks[0].find("over range at line 9"), std::string::npos) << plane.remarks[0];
}

TEST(Samples, undo_the_calibration_first) {
  Survey survey = flat_traverse({{-0.1, 1.1}, {0.0, 2.2}, {0.1, 1.1}});
  survey.probe.calibration = {{1.0, 1.1}, {3.0, 3.3}};
  EXPECT_NEAR(one_sweep(survey).samples[1].speed_m_s, 2.0, 1e-12);
}

TEST(Samples, never_claim_less_noise_than_a_row_or_the_display_states) {
  Survey survey = flat_traverse({});
  survey.sweeps[0] =
      even_sweep(1.5, 0.9, -0.5, 0.5, 61, [](double y) { return 3.0 * std::exp(-y * y / 0.05); });
  survey.probe.resolution_m_s = 0.1;
  survey.sweeps[0].readings[10].standard_error_m_s = 0.2;
  survey.sweeps[0].readings[20].spread_m_s = 0.9;
  survey.sweeps[0].readings[20].samples = 9.0;
  const PlaneSamples plane = one_sweep(survey);
  const double step = 0.1 / std::sqrt(12.0);
  EXPECT_GE(plane.samples[5].noise_m_s, step);
  EXPECT_NEAR(plane.samples[10].noise_m_s, std::hypot(0.2, step), 1e-12);
  EXPECT_NEAR(plane.samples[20].noise_m_s, std::hypot(0.3, step), 1e-12);
}

TEST(Samples, state_noise_that_meets_the_truth) {
  Survey survey = bare_survey();
  test::Dice dice(3);
  for (const double z : {0.6, 0.75, 0.9, 1.05, 1.2}) {
    survey.sweeps.push_back(even_sweep(1.8, z, -24 * degree, 24 * degree, 41, [&](double angle) {
      const double r2 = std::pow(1.8 * std::sin(angle), 2) + std::pow(z - 0.9, 2);
      const double v = 3.0 * std::exp2(-r2 / (0.18 * 0.18));
      return v + dice.normal(std::hypot(0.05, 0.03 * v));
    }));
  }
  const PlaneSamples plane = one_sweep(survey);
  EXPECT_NEAR(std::log(plane.noise.sd_m_s(0.0) / 0.05), 0.0, std::log(1.25));
  EXPECT_NEAR(std::log(plane.noise.sd_m_s(2.5) / std::hypot(0.05, 0.075)), 0.0, std::log(1.35));
  EXPECT_GT(plane.noise_freedom, 60.0);
}

TEST(Samples, group_distances_and_order_sweeps_by_height) {
  Survey survey = bare_survey();
  const auto calm = [](double) { return 1.0; };
  for (const auto& [d, z] : {std::pair{2.5, 0.9}, {1.5, 1.1}, {1.5008, 0.7}, {1.5, 0.9}}) {
    survey.sweeps.push_back(even_sweep(d, z, -0.3, 0.3, 9, calm));
  }
  const std::vector<PlaneSamples> planes = derive_samples(survey);
  ASSERT_EQ(planes.size(), 2U);
  EXPECT_EQ(planes[0].distance_m, 1.5);
  EXPECT_EQ(planes[1].distance_m, 2.5);
  ASSERT_EQ(planes[0].sweeps.size(), 3U);
  EXPECT_EQ(planes[0].sweeps[0].height_m, 0.7);
  EXPECT_EQ(planes[0].sweeps[2].height_m, 1.1);
  EXPECT_EQ(planes[0].samples[9].sweep, 1);
  EXPECT_LE(planes[0].window.y_min_m, -0.44);
  EXPECT_GE(planes[0].window.z_max_m, 1.1);
}

TEST(Samples, copy_what_all_readings_share) {
  Survey survey = flat_traverse({{-0.1, 1.0}, {0.0, 2.0}, {0.1, 1.0}});
  survey.probe.scale_uncertainty = 0.02;
  survey.probe.offset_uncertainty_m_s = 0.05;
  survey.rig.distance_uncertainty_m = 0.004;
  survey.rig.height_uncertainty_m = 0.003;
  const CommonErrors& common = one_sweep(survey).common;
  EXPECT_EQ(common.scale, 0.02);
  EXPECT_EQ(common.offset_m_s, 0.05);
  EXPECT_EQ(common.distance_m, 0.004);
  EXPECT_EQ(common.height_m, 0.003);
  EXPECT_EQ(common.angle_rad, 0.0);  // a rail has none
  survey.rig.motion = Motion::swivel;
  EXPECT_EQ(one_sweep(survey).common.angle_rad, survey.rig.angle_uncertainty_rad);
}

TEST(Samples, refuse_places_that_no_ray_reaches) {
  const auto calm = [](double) { return 1.0; };
  Survey survey = bare_survey();
  survey.outlet.ahead_of_axis_m = 1.6;
  survey.sweeps.push_back(even_sweep(1.5, 0.9, -0.1, 0.1, 3, calm));
  EXPECT_THROW(static_cast<void>(derive_samples(survey)), InputError);
  survey.outlet.ahead_of_axis_m = 0.0;
  survey.sweeps = {even_sweep(1.5, 0.9, -85 * degree, 85 * degree, 3, calm)};
  try {
    static_cast<void>(derive_samples(survey));
    FAIL() << "not refused";
  } catch (const InputError& e) {
    const std::string text = e.what();  // both ends in one go, with their lines
    EXPECT_NE(text.find("sweep-900.csv:2: "), std::string::npos) << text;
    EXPECT_NE(text.find("sweep-900.csv:4: "), std::string::npos) << text;
  }
}

TEST(Samples, refuse_a_plane_without_any_reading) {
  Survey survey = flat_traverse({});
  survey.sweeps[0].left_out = {{2, "missing value `---`", false}};
  EXPECT_THROW(static_cast<void>(derive_samples(survey)), InputError);
}

}  // namespace
}  // namespace sweepflux
