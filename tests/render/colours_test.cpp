#include "render/canvas/colours.hpp"

#include "tests/render/seen_colours.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace sweepflux::render {
namespace {

using Matrix = std::array<std::array<double, 3>, 3>;

struct Deficiency {
  const char* name;
  Matrix matrix;
};

// Severity 1.0, linear light [Machado 2009, doi 10.1109/TVCG.2009.113]; the digits were compared
// with public programs that cite the paper.
constexpr std::array<Deficiency, 3> deficiencies{{
    {"protanopia",
     {{{0.152286, 1.052583, -0.204868},
       {0.114503, 0.786281, 0.099216},
       {-0.003882, -0.048116, 1.051998}}}},
    {"deuteranopia",
     {{{0.367322, 0.860646, -0.227968},
       {0.280085, 0.672501, 0.047413},
       {-0.011820, 0.042940, 0.968881}}}},
    {"tritanopia",
     {{{1.255528, -0.076749, -0.178779},
       {-0.078411, 0.930809, 0.147602},
       {0.004733, 0.691367, 0.303900}}}},
}};

Colour seen_by(const Deficiency& eye, Colour colour) {
  const std::array<double, 3> light{
      to_linear(colour.red), to_linear(colour.green), to_linear(colour.blue)};
  std::array<double, 3> seen{};
  for (std::size_t row = 0; row < 3; ++row) {
    for (std::size_t column = 0; column < 3; ++column) {
      seen[row] += eye.matrix[row][column] * light[column];
    }
  }
  return {from_linear(seen[0]), from_linear(seen[1]), from_linear(seen[2])};
}

const std::array<const ColourScale*, 2>& scales() {
  static const std::array<const ColourScale*, 2> both{&speed_colours(), &uncertainty_colours()};
  return both;
}

TEST(Colours, AgreeWithThePublishedOklchOfSrgbRed) {
  // CSS Color Module Level 4, example of the oklch() notation: red is oklch(0.62796
  // 0.25768 29.234).
  const Perceived red = perceive({255, 0, 0});
  EXPECT_NEAR(red.lightness, 0.62796, 2e-5);
  EXPECT_NEAR(red.chroma, 0.25768, 2e-5);
  EXPECT_NEAR(red.hue_deg, 29.234, 2e-3);
  EXPECT_EQ(to_srgb({0.62796, 0.25768, 29.234}), (Colour{255, 0, 0}));
}

TEST(Colours, ComeBackFromOklchUnchanged) {
  for (int r = 0; r < 256; r += 51) {
    for (int g = 0; g < 256; g += 51) {
      for (int b = 0; b < 256; b += 51) {
        const Colour colour{static_cast<std::uint8_t>(r),
                            static_cast<std::uint8_t>(g),
                            static_cast<std::uint8_t>(b)};
        EXPECT_EQ(to_srgb(perceive(colour)), colour) << hex(colour);
      }
    }
  }
}

TEST(Colours, OfAScaleFallInLightnessAlongAStraightLine) {
  // What is left is the rounding to 8 bits: no colour of a scale lies outside sRGB.
  constexpr double largest_deviation = 0.003;
  for (const ColourScale* scale : scales()) {
    for (int i = 0; i <= 200; ++i) {
      const double share = i / 200.0;
      EXPECT_NEAR(perceive(scale->at(share)).lightness, scale->lightness(share), largest_deviation)
          << share;
    }
  }
}

TEST(Colours, OfAScaleKeepTheirOrderInGreyPrint) {
  for (const ColourScale* scale : scales()) {
    double before = 1e9;
    for (int i = 0; i <= 64; ++i) {
      const double lightness = contrast(scale->at(i / 64.0), {0, 0, 0});
      EXPECT_LT(lightness, before) << i;
      before = lightness;
    }
  }
}

TEST(Colours, OfAScaleDifferForColourBlindEyes) {
  // Nine contour bands differ visibly when a ninth of the scale is at least twice a just
  // noticeable step (0.02 in OKLab: common practice, no published source).
  constexpr double smallest_distance = 0.04;
  for (const ColourScale* scale : scales()) {
    for (const Deficiency& eye : deficiencies) {
      for (int i = 0; i < 9; ++i) {
        const double distance = colour_distance(seen_by(eye, scale->at(i / 9.0)),
                                                seen_by(eye, scale->at((i + 1) / 9.0)));
        EXPECT_GT(distance, smallest_distance) << eye.name << " at " << i;
      }
      for (int i = 0; i <= 9; ++i) {
        for (int k = i + 2; k <= 9; ++k) {
          EXPECT_GT(
              colour_distance(seen_by(eye, scale->at(i / 9.0)), seen_by(eye, scale->at(k / 9.0))),
              2.0 * smallest_distance)
              << eye.name << ": " << i << " and " << k << " of 9 look alike";
        }
      }
    }
  }
}

TEST(Colours, OfAScaleStayEvenInLightnessForColourBlindEyes) {
  // A ninth of the scale is a ninth of its lightness to a usual eye. To others no step may be less
  // than half of the largest, and none may turn round.
  for (const ColourScale* scale : scales()) {
    for (const Deficiency& eye : deficiencies) {
      double smallest = 1e9;
      double largest = 0.0;
      for (int i = 0; i < 9; ++i) {
        const double step = perceive(seen_by(eye, scale->at(i / 9.0))).lightness -
                            perceive(seen_by(eye, scale->at((i + 1) / 9.0))).lightness;
        smallest = std::min(smallest, step);
        largest = std::max(largest, step);
      }
      EXPECT_GT(smallest, 0.5 * largest) << eye.name;
    }
  }
}

TEST(Colours, OfSpeedNeverLookLikeUncertainties) {
  for (int i = 1; i <= 8; ++i) {
    EXPECT_GT(colour_distance(speed_colours().at(i / 9.0), uncertainty_colours().at(i / 9.0)), 0.08)
        << i;
  }
}

TEST(Theme, HasAHueOfItsOwnForEachOfFourteenFans) {
  EXPECT_GE(series_colours(), 14);
  for (const Theme theme : {Theme::light, Theme::dark}) {
    for (int i = 0; i < series_colours(); ++i) {
      for (int k = 0; k < i; ++k) {
        const double turn = std::fabs(perceive(resolve(series(i), theme)).hue_deg -
                                      perceive(resolve(series(k), theme)).hue_deg);
        EXPECT_GT(std::min(turn, 360.0 - turn), 3.0) << i << " and " << k;
      }
    }
  }
}

TEST(Colours, AboveAScaleDifferFromItsDarkEnd) {
  for (const ColourScale* scale : scales()) {
    EXPECT_GT(colour_distance(scale->beyond(), scale->at(1.0)), 0.1);
    EXPECT_LT(perceive(scale->beyond()).lightness, perceive(scale->at(1.0)).lightness);
  }
}

TEST(Colours, OfAScaleAreClampedAtItsEnds) {
  EXPECT_EQ(speed_colours().at(-3.0), speed_colours().at(0.0));
  EXPECT_EQ(speed_colours().at(7.0), speed_colours().at(1.0));
  EXPECT_EQ(speed_colours().at(std::nan("")), speed_colours().at(0.0));
}

TEST(Colours, OfTextOnAMapAlwaysHaveEnoughContrast) {
  for (const ColourScale* scale : scales()) {
    for (int i = 0; i <= 100; ++i) {
      const Colour ground = scale->at(i / 100.0);
      EXPECT_GE(contrast(readable_on(ground), ground), 4.5) << hex(ground);
    }
  }
}

TEST(Theme, GivesTextAndLinesEnoughContrastOnLightAndDarkPages) {
  for (const Theme theme : {Theme::light, Theme::dark}) {
    const Colour page = resolve(paper(), theme);
    EXPECT_GE(contrast(resolve(ink(), theme), page), 7.0);
    EXPECT_GE(contrast(resolve(muted(), theme), page), 4.5);
    for (int i = 0; i < series_colours(); ++i) {
      EXPECT_GE(contrast(resolve(series(i), theme), page), 3.0) << i;
    }
  }
}

TEST(Theme, TellsLinesApartWithoutColour) {
  std::set<std::pair<std::vector<double>, Marker>> seen;
  for (int i = 0; i < 30; ++i) {
    const LineStyle style = line_style(i);
    EXPECT_TRUE(seen.insert({style.dashes, style.marker}).second) << i;
  }
}

TEST(Theme, TellsNeighbouringLinesApartForColourBlindEyes) {
  for (const Theme theme : {Theme::light, Theme::dark}) {
    for (const Deficiency& eye : deficiencies) {
      for (int i = 0; i + 1 < series_colours(); ++i) {
        const double distance = colour_distance(seen_by(eye, resolve(series(i), theme)),
                                                seen_by(eye, resolve(series(i + 1), theme)));
        EXPECT_GT(distance, 0.08) << eye.name << ", lines " << i << " and " << i + 1;
      }
    }
  }
}

TEST(Theme, NamesEveryVariableThatPicturesUse) {
  const std::string css = theme_css();
  for (const Paint& paint : {ink(), muted(), rule(), paper(), series(0), series(5)}) {
    EXPECT_NE(css.find(variable_name(paint) + ":" + hex(resolve(paint, Theme::light))),
              std::string::npos);
    EXPECT_NE(css.find(variable_name(paint) + ":" + hex(resolve(paint, Theme::dark))),
              std::string::npos);
  }
}

}  // namespace
}  // namespace sweepflux::render
