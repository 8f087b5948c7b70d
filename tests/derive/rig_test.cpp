#include "sweepflux/derive/sample/probe.hpp"
#include "tests/support/hand_made.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux {
namespace {

using test::bare_survey;
using test::degree;

TEST(Rig, sees_the_probe_on_the_left_when_the_fan_turns_counter_clockwise) {
  // Seen from above the fan blows along +x at first; turned by +30 degrees it blows to its left
  // of the fixed probe. Someone who faces the fan then finds the probe on the left, y < 0.
  Survey survey = bare_survey();
  const ProbePlace place = place_probe(survey.rig, survey.outlet, 2.0, 1.1, 30.0 * degree);
  EXPECT_NEAR(place.x_m, 2.0 * std::cos(30.0 * degree), 1e-15);
  EXPECT_NEAR(place.y_m, -1.0, 1e-15);
  EXPECT_EQ(place.z_m, 1.1);
  survey.rig.clockwise = true;
  EXPECT_NEAR(place_probe(survey.rig, survey.outlet, 2.0, 1.1, 30.0 * degree).y_m, 1.0, 1e-15);
}

TEST(Rig, agrees_with_turning_the_plane_by_a_rotation_matrix) {
  // Lab: probe at (D, 0). Fan frame: the lab turned back by phi.
  const Survey survey = bare_survey();
  for (const double phi : {-1.2, -0.3, 0.0, 0.5, 1.1}) {
    const ProbePlace place = place_probe(survey.rig, survey.outlet, 1.7, 0.9, phi);
    const double c = std::cos(-phi);
    const double s = std::sin(-phi);
    EXPECT_NEAR(place.x_m, c * 1.7 - s * 0.0, 1e-15);
    EXPECT_NEAR(place.y_m, s * 1.7 + c * 0.0, 1e-15);
    EXPECT_NEAR(place.yaw_rad, phi, 1e-15);
  }
}

TEST(Rig, takes_the_zero_off_and_runs_across_half_a_turn) {
  Survey survey = bare_survey();
  survey.rig.angle_zero_rad = 180.0 * degree;
  const ProbePlace before = place_probe(survey.rig, survey.outlet, 2.0, 0.9, 170.0 * degree);
  const ProbePlace after = place_probe(survey.rig, survey.outlet, 2.0, 0.9, -170.0 * degree);
  EXPECT_NEAR(before.yaw_rad, -10.0 * degree, 1e-12);
  EXPECT_NEAR(after.yaw_rad, 10.0 * degree, 1e-12);
}

TEST(Rig, leaves_a_traverse_where_it_is) {
  Survey survey = bare_survey();
  survey.rig.motion = Motion::traverse;
  survey.outlet.ahead_of_axis_m = 0.11;
  survey.rig.clockwise = true;  // has no meaning here
  const ProbePlace place = place_probe(survey.rig, survey.outlet, 1.5, 0.7, 0.25);
  EXPECT_NEAR(place.x_m, 1.61, 1e-15);
  EXPECT_EQ(place.y_m, 0.25);
  EXPECT_EQ(place.yaw_rad, 0.0);
  const OnPlane carried = carry_to_plane(place, survey.outlet, 1.5);
  EXPECT_NEAR(carried.at.y_m, 0.25, 1e-15);
  EXPECT_NEAR(carried.at.z_m, 0.7, 1e-15);
  EXPECT_NEAR(carried.weakening, 1.0, 1e-15);
}

TEST(Rig, carries_places_along_rays_from_the_outlet) {
  Survey survey = bare_survey();
  survey.outlet.ahead_of_axis_m = 0.3;
  const ProbePlace place = place_probe(survey.rig, survey.outlet, 1.8, 1.2, -20.0 * degree);
  const OnPlane carried = carry_to_plane(place, survey.outlet, 1.5);
  // Seen from the outlet's centre, both places lie in one direction.
  EXPECT_NEAR(carried.at.y_m / 1.5, place.y_m / (place.x_m - 0.3), 1e-14);
  EXPECT_NEAR((carried.at.z_m - 0.9) / 1.5, (place.z_m - 0.9) / (place.x_m - 0.3), 1e-14);
  EXPECT_NEAR(carried.weakening, (place.x_m - 0.3) / 1.5, 1e-14);
}

}  // namespace
}  // namespace sweepflux
