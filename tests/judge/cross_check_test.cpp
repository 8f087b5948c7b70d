#include "sweepflux/judge/cross_check.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/hand_made.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

Estimate estimate(double value, double u95) {
  return {value, u95 / 1.96, value - u95, value + u95};
}

/// A plane of a round jet of 3 m/s at 1.8 m that spreads by a tenth.
PlaneResult plane(double distance_m, double momentum_flux_n, double relative_u95 = 0.03) {
  PlaneResult p;
  p.distance_m = distance_m;
  p.downstream_m = distance_m;
  p.momentum_flux_n = estimate(momentum_flux_n, relative_u95 * momentum_flux_n);
  p.volume_flow_m3_s = estimate(0.3 * distance_m, 0.02);
  p.peak_speed_m_s = 5.4 / distance_m;
  p.half_width_y_m = 0.1 * distance_m;
  p.half_width_z_m = 0.1 * distance_m;
  p.centre = {0.0, 0.9};
  p.momentum_extrapolated = 0.01;
  p.samples.common.scale = 0.01;
  for (int k = -3; k <= 3; ++k) {
    PlacedSweep sweep;
    sweep.height_m = 0.9 + 0.08 * distance_m * k;
    p.samples.sweeps.push_back(sweep);
  }
  return p;
}

Survey fan() {
  Survey survey = test::bare_survey();
  survey.probe.kind = ProbeKind::ultrasonic;
  survey.probe.scale_uncertainty = 0.01;
  survey.probe.offset_uncertainty_m_s = 0.01;
  survey.air.ambient_speed_m_s = Measured{0.0, 0.01};
  return survey;
}

std::vector<PlaneResult> planes(const std::vector<double>& ratios) {
  std::vector<PlaneResult> result;
  for (std::size_t i = 0; i < ratios.size(); ++i) {
    result.push_back(plane(1.5 + static_cast<double>(i), ratios[i]));
  }
  return result;
}

const Estimate one_newton = estimate(1.0, 0.02);

std::string first_text(const CrossCheck& check) {
  return check.explanations.empty() ? "" : check.explanations.front().text;
}

TEST(NormalisedError, meets_a_worked_example) {
  // By the formula of ISO 13528: 0.98 +- 0.09 N against 1.10 +- 0.04 N gives -1.218; a correction
  // of +6 % +- 4 % brings it to -0.55.
  EXPECT_NEAR(normalised_error(estimate(0.98, 0.09), estimate(1.10, 0.04)), -1.218, 1e-3);
  EXPECT_NEAR(normalised_error(estimate(1.039, 0.103), estimate(1.10, 0.04)), -0.55, 5e-3);
  EXPECT_EQ(normalised_error(estimate(1.0, 0.0), estimate(1.0, 0.0)), 0.0);
}

TEST(NormalisedError, takes_the_half_that_faces_the_other) {
  const Estimate lopsided{1.0, 0.1, 0.5, 1.1};
  EXPECT_NEAR(normalised_error(lopsided, estimate(1.1, 0.0)), -1.0, 1e-12);
  EXPECT_NEAR(normalised_error(lopsided, estimate(0.9, 0.0)), 0.2, 1e-12);
}

TEST(CrossCheck, puts_the_ratio_between_its_ends) {
  const CrossCheck check = cross_check({plane(1.5, 0.9, 0.1)}, estimate(1.0, 0.05), fan()).front();
  EXPECT_NEAR(check.ratio, 0.9, 1e-12);
  // 0.09 and 0.9 * 0.05 together: 0.1006.
  EXPECT_NEAR(check.ratio_low_95, 0.9 - 0.1006, 1e-4);
  EXPECT_NEAR(check.ratio_high_95, 0.9 + 0.1006, 1e-4);
  EXPECT_TRUE(check.agrees);
}

TEST(CrossCheck, says_in_one_sentence_that_all_is_well) {
  for (const CrossCheck& check : cross_check(planes({0.99, 0.98, 0.99}), one_newton, fan())) {
    EXPECT_TRUE(check.agrees);
    ASSERT_EQ(check.explanations.size(), 1U);
    const std::string text = first_text(check);
    EXPECT_NE(text.find("agree"), std::string::npos);
    EXPECT_NE(text.find("turbulence and pressure (-"), std::string::npos) << text;
    EXPECT_EQ(check.explanations[0].shift_high, 0.0);
  }
}

TEST(CrossCheck, blames_the_scale_when_all_planes_are_off_alike) {
  Survey survey = fan();
  survey.probe.scale_uncertainty = 0.02;
  for (const double ratio : {0.92, 1.08}) {
    const auto checks = cross_check(planes({ratio, ratio, ratio}), one_newton, survey);
    ASSERT_EQ(checks.size(), 3U);
    EXPECT_FALSE(checks[1].agrees);
    const std::string text = first_text(checks[1]);
    EXPECT_NE(text.find(ratio < 1.0 ? "reads 4.1 % low" : "reads 3.9 % high"), std::string::npos)
        << text;
    EXPECT_NE(text.find("level along the stream"), std::string::npos) << text;
    EXPECT_NEAR(checks[1].explanations[0].shift_low, -0.08, 1e-12);
  }
}

TEST(CrossCheck, blames_the_room_when_the_ratio_falls_as_a_room_makes_it_fall) {
  Survey survey = fan();
  survey.room.width_m = 2.5;
  survey.room.height_m = 2.4;
  std::vector<double> ratios;
  for (const double x : {1.5, 2.5, 3.5}) {
    ratios.push_back(1.0 / (1.0 + 0.1 * x * x / 6.0));
  }
  const auto checks = cross_check(planes(ratios), one_newton, survey);
  const std::string text = first_text(checks[2]);
  EXPECT_NE(text.find("room's 6 m2"), std::string::npos) << text;
  EXPECT_NE(text.find("falls along the stream"), std::string::npos) << text;
  EXPECT_LT(checks[2].explanations[0].shift_high, -0.1);
  EXPECT_GT(checks[2].explanations[0].weight, 0.9);
}

TEST(CrossCheck, blames_the_outer_region_or_start_when_they_grow_and_no_room_is_known) {
  std::vector<PlaneResult> list = planes({0.97, 0.91, 0.85});
  list[0].momentum_extrapolated = 0.03;
  list[1].momentum_extrapolated = 0.09;
  list[2].momentum_extrapolated = 0.15;
  const auto checks = cross_check(list, one_newton, fan());
  EXPECT_NE(first_text(checks[2]).find("15 % of the momentum flux is extrapolated"), std::string::npos)
      << first_text(checks[2]);
}

TEST(CrossCheck, blames_a_big_head_when_the_ratio_rises) {
  Survey survey = fan();
  survey.probe.head_diameter_m = 0.14;
  const std::vector<double> ratios{0.929, 0.973, 0.986};  // the head's own ratios
  const auto checks = cross_check(planes(ratios), one_newton, survey, false);
  EXPECT_NE(first_text(checks[0]).find("head of 140 mm"), std::string::npos)
      << first_text(checks[0]);
  EXPECT_NE(first_text(checks[0]).find("rises along the stream"), std::string::npos);
  // A map that was freed of it cannot blame it.
  const auto freed = cross_check(planes(ratios), one_newton, survey, true);
  for (const Explanation& e : freed[0].explanations) {
    EXPECT_EQ(e.text.find("head of 140 mm"), std::string::npos);
  }
}

TEST(CrossCheck, blames_turbulence_for_a_moderate_lack_in_one_plane) {
  const auto checks = cross_check({plane(3.5, 0.93, 0.02)}, one_newton, fan());
  EXPECT_FALSE(checks[0].agrees);
  EXPECT_NE(first_text(checks[0]).find("Turbulence and pressure"), std::string::npos)
      << first_text(checks[0]);
}

TEST(CrossCheck, does_not_blame_turbulence_for_too_much_momentum) {
  const auto checks = cross_check({plane(3.5, 1.12, 0.02)}, one_newton, fan());
  for (const Explanation& e : checks[0].explanations) {
    EXPECT_EQ(e.text.find("Turbulence and pressure act on the balance"), std::string::npos);
  }
  EXPECT_NE(checks[0].explanations.back().text.find("turbulence and pressure (-"),
            std::string::npos);
}

TEST(CrossCheck, blames_a_flat_response_for_too_much) {
  Survey survey = fan();
  survey.probe.kind = ProbeKind::thermal;
  survey.probe.response = Response::flat;
  const auto checks = cross_check({plane(3.5, 1.09, 0.02)}, one_newton, survey);
  EXPECT_NE(first_text(checks[0]).find("not its part along the axis"), std::string::npos)
      << first_text(checks[0]);
}

TEST(CrossCheck, recognises_units_and_levers_by_gross_gaps) {
  const auto units = cross_check(planes({12.5, 12.9, 13.1}), one_newton, fan());
  EXPECT_NE(first_text(units[0]).find("km/h that were read as m/s"), std::string::npos)
      << first_text(units[0]);
  Survey survey = fan();
  survey.balance = Balance{};
  survey.balance->lever_ratio = 2.0;
  const auto lever = cross_check(planes({3.9, 4.0, 4.0}), one_newton, survey);
  EXPECT_NE(first_text(lever[0]).find("lever_ratio is scale force / thrust"), std::string::npos)
      << first_text(lever[0]);
}

TEST(CrossCheck, claims_nothing_without_a_number) {
  Survey survey = fan();
  survey.probe.kind = ProbeKind::vane;
  survey.probe.starting_speed_m_s = 0.3;
  survey.probe.head_diameter_m = 0.07;
  survey.room.width_m = 4.0;
  survey.room.height_m = 2.5;
  survey.room.floor_m = 0.0;
  for (const double ratio : {0.8, 1.3}) {
    for (const CrossCheck& check :
         cross_check(planes({ratio, 0.9 * ratio, ratio}), one_newton, survey)) {
      double before = 1.0;
      for (const Explanation& e : check.explanations) {
        EXPECT_NE(e.text.find_first_of("0123456789"), std::string::npos) << e.text;
        EXPECT_LE(e.shift_low, e.shift_high) << e.text;
        EXPECT_LE(e.weight, before) << e.text;
        EXPECT_GE(e.weight, 0.0) << e.text;
        before = e.weight;
      }
    }
  }
}

TEST(CrossCheck, needs_a_thrust) {
  EXPECT_THROW(static_cast<void>(cross_check(planes({1.0}), estimate(0.0, 0.1), fan())),
               InputError);
  EXPECT_TRUE(cross_check({}, one_newton, fan()).empty());
}

}  // namespace
}  // namespace sweepflux
