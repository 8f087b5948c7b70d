#include "render/pages/survey_pictures.hpp"

#include "tests/render/canvas_search.hpp"
#include "tests/render/decode_png.hpp"
#include "tests/render/sample_pictures.hpp"
#include "tests/render/seen_colours.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

namespace sweepflux::render {
namespace {

PlaneResult plane_at(double distance) {
  test::SampleStream stream;
  stream.peak_m_s = 5.5 / (1.0 + distance);
  stream.half_width_m = 0.08 + 0.1 * distance;
  stream.centre = {0.25, 0.95};  // well to the right of someone facing the fan
  const GridField field = test::sample_field(stream);
  PlaneResult plane;
  plane.distance_m = distance;
  plane.downstream_m = distance - 0.11;
  plane.volume_flow_m3_s = {0.4 * distance, 0.02, 0.4 * distance - 0.04, 0.4 * distance + 0.04};
  plane.momentum_flux_n = {0.9, 0.03, 0.84, 0.96};
  plane.peak_speed_m_s = stream.peak_m_s;
  plane.centre = stream.centre;
  plane.half_width_y_m = stream.half_width_m;
  plane.half_width_z_m = stream.half_width_m;
  plane.budget = {{"probe scale", 0.012, 0.02}};
  plane.map = {field.across_min,
               field.up_min,
               field.across_step,
               field.columns,
               field.rows,
               field.values,
               {},
               field.support};
  for (const double speed : field.values) {
    plane.map.uncertainty_m_s.push_back(0.03 + 0.05 * speed);
    plane.map.low_m_s.push_back(0.8 * speed);
    plane.map.high_m_s.push_back(0.05 + 1.1 * speed);
  }
  plane.samples.outlet_centre = {0.0, 0.92};
  plane.samples.outlet_half_y_m = 0.2;
  plane.samples.outlet_half_z_m = 0.2;
  for (int i = 0; i < 30; ++i) {
    const PlanePoint at{-0.6 + 0.04 * i, 0.95};
    const double speed = stream.speed(at);
    plane.samples.samples.push_back({at, std::max(speed, 0.3), 0.02, speed < 0.3, 0, 0});
  }
  return plane;
}

SurveyResult result_of(const std::vector<double>& distances) {
  SurveyResult result;
  result.survey.title = "Herb loft, heron, speed 3";
  result.survey.outlet.diameter_m = 0.4;
  result.survey.outlet.centre_height_m = 0.92;
  result.survey.outlet.ahead_of_axis_m = 0.11;
  result.survey.probe.starting_speed_m_s = 0.3;
  for (const double distance : distances) {
    result.planes.push_back(plane_at(distance));
  }
  return result;
}

TEST(SurveyPictures, AreAllThereForThreePlanes) {
  using Kind = SurveyPicture::Kind;
  std::map<Kind, int> count;
  for (const SurveyPicture& picture : draw_survey(result_of({0.75, 1.5, 2.5}))) {
    ++count[picture.kind];
    EXPECT_FALSE(picture.canvas.items.empty());
  }
  EXPECT_EQ(count,
            (std::map<Kind, int>{{Kind::speed_map, 3},
                                 {Kind::uncertainty_map, 3},
                                 {Kind::budget, 3},
                                 {Kind::profiles, 1},
                                 {Kind::stream, 1},
                                 {Kind::side_view, 1},
                                 {Kind::top_view, 1}}));
}

TEST(SurveyPictures, OfOnePlaneHaveNoViewsAlongTheStream) {
  for (const SurveyPicture& picture : draw_survey(result_of({1.5}))) {
    EXPECT_NE(picture.kind, SurveyPicture::Kind::side_view);
    EXPECT_NE(picture.kind, SurveyPicture::Kind::top_view);
  }
}

TEST(SurveyPictures, WithoutAMapLeaveOutWhatNeedsOne) {
  SurveyResult result = result_of({1.5});
  result.planes[0].map = {};
  for (const SurveyPicture& picture : draw_survey(result)) {
    EXPECT_TRUE(picture.kind == SurveyPicture::Kind::budget ||
                picture.kind == SurveyPicture::Kind::stream);
  }
}

TEST(SurveyPictures, ShareOneScaleOverAllPlanes) {
  const SurveyResult result = result_of({0.75, 2.5});
  const HeatScale scale = scale_of(result, Palette::speed);
  EXPECT_GE(scale.range.high, 5.5 / 1.75);
  EXPECT_EQ(speed_map_of(result, 0).scale->range.high, scale.range.high);
  EXPECT_EQ(speed_map_of(result, 1).scale->range.high, scale.range.high);
  EXPECT_EQ(view_of(result, true).scale->range.high, scale.range.high);
}

TEST(SurveyPictures, CoverTheSameMetresForAllPlanes) {
  SurveyResult result = result_of({0.75, 2.5});
  result.planes[0].map.step_m *= 0.5;  // a smaller window
  const PlaneMapInput near = speed_map_of(result, 0);
  const PlaneMapInput far = speed_map_of(result, 1);
  EXPECT_LT(near.field.across_range().width(), far.field.across_range().width());
  EXPECT_EQ(near.across->low, far.across->low);
  EXPECT_EQ(near.across->high, far.across->high);
  EXPECT_EQ(near.up->low, far.up->low);
  EXPECT_EQ(near.up->high, far.up->high);
  EXPECT_EQ(draw_plane_map(near).height, draw_plane_map(far).height);
}

TEST(SurveyPictures, ShowAStreamToTheRightOnTheRight) {
  const SurveyResult result = result_of({1.5});
  const Canvas canvas = draw_plane_map(speed_map_of(result, 0));
  const Picture* heat = nullptr;
  for (const Item& item : canvas.items) {
    if (heat == nullptr) {
      heat = std::get_if<Picture>(&item);
    }
  }
  ASSERT_NE(heat, nullptr);
  const std::size_t row = heat->image.height / 2;
  const auto lightness = [&](double share) {
    return perceive(
               heat->image.colour(
                   static_cast<std::size_t>(share * static_cast<double>(heat->image.width)), row))
        .lightness;
  };
  EXPECT_LT(lightness(0.65), lightness(0.35) - 0.1);
}

TEST(SurveyPictures, CutThroughTheCentreWithTheReadingsNearIt) {
  const PlaneResult plane = plane_at(1.5);
  const ProfileLine level = cut_of(plane, true);
  ASSERT_EQ(level.at_m.size(), plane.map.ny);
  const auto peak =
      std::max_element(level.speed_m_s.begin(), level.speed_m_s.end()) - level.speed_m_s.begin();
  EXPECT_NEAR(level.at_m[static_cast<std::size_t>(peak)], 0.25, plane.map.step_m);
  EXPECT_EQ(level.readings.size(), 30U);  // all stand at the centre's height
  EXPECT_TRUE(std::any_of(
      level.readings.begin(), level.readings.end(), [](const auto& dot) { return dot.below; }));
  const ProfileLine upright = cut_of(plane, false);
  EXPECT_EQ(upright.at_m.size(), plane.map.nz);
  EXPECT_LT(upright.readings.size(), 5U);
  EXPECT_NEAR(level.low_m_s[5], 0.8 * level.speed_m_s[5], 1e-6);
  EXPECT_NEAR(level.high_m_s[5], 0.05 + 1.1 * level.speed_m_s[5], 1e-6);
}

TEST(SurveyPictures, SayWhatTheResultSays) {
  SurveyResult result = result_of({1.5});
  result.planes[0].warnings = {"one height only", "it touches the floor"};
  const std::string words = words_of(draw_plane_map(speed_map_of(result, 0)));
  EXPECT_NE(words.find("Herb loft, heron, speed 3"), std::string::npos);
  EXPECT_NE(words.find("1.50\u00A0m from the turntable's axis, seen facing the fan"),
            std::string::npos);
  EXPECT_NE(words.find("flow 0.600\u00A0±\u00A00.020\u00A0m³/s"), std::string::npos);
  // Each warning a sentence of its own.
  EXPECT_NE(words.find("Note: one height only."), std::string::npos) << words;
  EXPECT_NE(words.find("Note: it"), std::string::npos) << words;
  result.survey.rig.motion = Motion::traverse;
  EXPECT_NE(words_of(draw_stream_chart(stream_of(result))).find("distance from the outlet [m]"),
            std::string::npos);
}

TEST(SurveyPictures, ExplainAPlusMinusOnlyWhereThereIsOne) {
  SurveyResult result = result_of({1.5});
  const std::string explained = "± standard uncertainty (k = 1)";
  EXPECT_NE(words_of(draw_plane_map(speed_map_of(result, 0))).find(explained), std::string::npos);
  PlaneResult& plane = result.planes[0];
  for (Estimate* e : {&plane.volume_flow_m3_s, &plane.momentum_flux_n}) {
    e->high_95 = e->value + 4.0 * (e->value - e->low_95);
  }
  const std::string words = words_of(draw_plane_map(speed_map_of(result, 0)));
  EXPECT_EQ(words.find(explained), std::string::npos);
  EXPECT_NE(words.find("95 %: "), std::string::npos);
}

TEST(SurveyPictures, AreTheSameBytesWithOneThreadAndMany) {
  const std::vector<SurveyPicture> pictures = draw_survey(result_of({0.75, 1.5}));
  const std::vector<WrittenPicture> one = write_pictures(pictures, 1);
  const std::vector<WrittenPicture> many = write_pictures(pictures, 4);
  ASSERT_EQ(one.size(), pictures.size());
  for (std::size_t i = 0; i < one.size(); ++i) {
    EXPECT_EQ(one[i].svg, many[i].svg);
    EXPECT_EQ(one[i].png, many[i].png);
    EXPECT_GT(decode_png(one[i].png).width, 400U);
  }
}

}  // namespace
}  // namespace sweepflux::render
