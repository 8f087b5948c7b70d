#include "render/canvas/write_png.hpp"
#include "render/canvas/write_svg.hpp"
#include "tests/render/decode_png.hpp"
#include "tests/render/sample_pictures.hpp"

#include <gtest/gtest.h>

#include <set>
#include <string>

namespace sweepflux::render {
namespace {

const std::string long_title =
    "Herb loft, heron, speed 3, with a title in which somebody wrote the whole story of the day, "
    "the "
    "place, the weather and the cold attic, and then went on about the anemometer and its stand";

std::vector<std::pair<std::string, Canvas>> pictures() {
  std::vector<std::pair<std::string, Canvas>> all;
  for (const double width : {full_width, half_width, phone_width}) {
    const std::string at = " at " + std::to_string(static_cast<int>(width)) + " px";
    for (const double factor : {1.0, 0.005, 80.0, 3e5}) {
      for (auto& [name, canvas] :
           test::sample_pictures(factor, factor == 1.0 ? "Herb loft" : long_title, width)) {
        all.emplace_back(name + " times " + std::to_string(factor) + at, std::move(canvas));
      }
    }
    for (auto& [name, canvas] : test::many_fans(width)) {
      all.emplace_back(name + at, std::move(canvas));
    }
  }
  test::SampleStream wide;
  wide.window = {-2.0, 2.0, 0.7, 1.1};
  test::SampleStream tall;
  tall.window = {-0.15, 0.15, 0.0, 3.0};
  test::SampleStream tiny;
  tiny.columns = 3;
  all.emplace_back("wide map", draw_plane_map(test::sample_map(wide)));
  all.emplace_back("tall map", draw_plane_map(test::sample_map(tall)));
  all.emplace_back("map of three columns", draw_plane_map(test::sample_map(tiny)));
  return all;
}

struct Placed {
  Text text;
  Box box;
};

std::vector<Placed> texts_of(const Canvas& canvas) {
  std::vector<Placed> texts;
  for (const Item& item : canvas.items) {
    if (const auto* text = std::get_if<Text>(&item)) {
      texts.push_back({*text, text_box(*text)});
    }
  }
  return texts;
}

TEST(Layout, KeepsEveryWordOnThePaper) {
  for (const auto& [name, canvas] : pictures()) {
    for (const Placed& placed : texts_of(canvas)) {
      EXPECT_GE(placed.box.left, 0.0) << name << ": " << placed.text.words;
      EXPECT_GE(placed.box.top, 0.0) << name << ": " << placed.text.words;
      EXPECT_LE(placed.box.right, canvas.width) << name << ": " << placed.text.words;
      EXPECT_LE(placed.box.bottom, canvas.height) << name << ": " << placed.text.words;
    }
  }
}

TEST(Layout, NeverPutsWordsOverWords) {
  for (const auto& [name, canvas] : pictures()) {
    const std::vector<Placed> texts = texts_of(canvas);
    for (std::size_t i = 0; i < texts.size(); ++i) {
      for (std::size_t k = i + 1; k < texts.size(); ++k) {
        // Boxes hold room for accents and descenders that these words may not have.
        EXPECT_FALSE(texts[i].box.grown(-1.5).overlaps(texts[k].box.grown(-1.5)))
            << name << ": \"" << texts[i].text.words << "\" and \"" << texts[k].text.words << '"';
      }
    }
  }
}

TEST(Layout, KeepsLettersLegibleAtHalfSize) {
  for (const auto& [name, canvas] : pictures()) {
    for (const Placed& placed : texts_of(canvas)) {
      EXPECT_GE(placed.text.size, smallest_text) << name << ": " << placed.text.words;
    }
    // Pages show the slim form on phones, which is never made smaller than drawn there.
    EXPECT_LE(canvas.width, full_width + 1.0) << name;
    if (name.ends_with(" at 320 px")) {
      EXPECT_LE(canvas.width, phone_width) << name;
    }
  }
  // In pixels of the PNG at half its size.
  EXPECT_GE(smallest_text * usual_dots_per_inch / 96.0 / 2.0, 13.0);
}

TEST(Layout, LeavesNoEntryOfALegendTwice) {
  for (const double width : {full_width, phone_width}) {
    for (const auto& [name, canvas] : test::many_fans(width)) {
      std::set<std::string> seen;
      for (const Placed& placed : texts_of(canvas)) {
        if (placed.text.words.starts_with("fan ")) {
          EXPECT_TRUE(seen.insert(placed.text.words).second) << name << ": " << placed.text.words;
        }
      }
      EXPECT_GE(seen.size(), 14U) << name;
    }
  }
}

TEST(Layout, PutsOnAPageWhatAPageDoesNotSayItself) {
  const Canvas canvas = draw_plane_map(test::sample_map({}));
  SvgOptions page;
  page.embedded = true;
  const std::string whole = write_svg(canvas);
  const std::string part = write_svg(canvas, page);
  for (const char* words :
       {"Herb loft, heron, speed 3</text>", "peak 3.90", "with 95 % probability.</text>"}) {
    EXPECT_NE(whole.find(words), std::string::npos) << words;
    EXPECT_EQ(part.find(std::string(">") + words), std::string::npos) << words;
  }
  EXPECT_NE(part.find(">outlet</text>"), std::string::npos);
  EXPECT_NE(part.find(">across y [m]</text>"), std::string::npos);
}

TEST(Layout, GivesEveryWordEnoughContrastInBothThemes) {
  for (const auto& [name, canvas] : pictures()) {
    for (const Placed& placed : texts_of(canvas)) {
      for (const Theme theme : {Theme::light, Theme::dark}) {
        const Paint ground = placed.text.seam.visible() ? placed.text.seam : paper();
        EXPECT_GE(contrast(resolve(placed.text.paint, theme), resolve(ground, theme)), 4.5)
            << name << ": " << placed.text.words;
      }
    }
  }
}

TEST(Layout, DescribesEveryPictureInWords) {
  for (const auto& [name, canvas] : pictures()) {
    EXPECT_FALSE(canvas.title.empty()) << name;
    EXPECT_GT(canvas.description.size(), 40U) << name;
  }
}

TEST(Layout, SpellsOutNoNumberThatIsNone) {
  for (const auto& [name, canvas] : pictures()) {
    for (const Placed& placed : texts_of(canvas)) {
      EXPECT_EQ(placed.text.words.find("nan"), std::string::npos) << name;
      EXPECT_EQ(placed.text.words.find("inf"), std::string::npos) << name;
      EXPECT_EQ(placed.text.words.find("not known"), std::string::npos) << name;
    }
  }
}

TEST(Layout, LeavesInkOnThePaper) {
  for (const auto& [name, canvas] : test::sample_pictures(1.0, "Herb loft")) {
    const Image image = decode_png(write_png(canvas, 48.0));
    std::size_t inked = 0;
    for (std::size_t i = 0; i < image.rgba.size(); i += 4) {
      inked += image.rgba[i] < 250 ? 1U : 0U;
    }
    EXPECT_GT(inked, image.width * image.height / 100) << name;
  }
}

}  // namespace
}  // namespace sweepflux::render
