#include "render/canvas/write_svg.hpp"
#include "sweepflux/base/error.hpp"
#include "tests/render/decode_png.hpp"
#include "tests/render/sample_pictures.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <clocale>
#include <cstdlib>
#include <fstream>
#include <set>

namespace sweepflux::render {
namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// What keeps a text from being well-formed XML, as far as pictures go; empty when nothing does.
std::string xml_fault(const std::string& text) {
  std::vector<std::string> open;
  std::size_t at = 0;
  while ((at = text.find('<', at)) != std::string::npos) {
    const std::size_t end = text.find('>', at);
    if (end == std::string::npos) {
      return "a tag does not end";
    }
    const std::string tag = text.substr(at + 1, end - at - 1);
    at = end + 1;
    if (tag.starts_with("?")) {
      continue;
    }
    if (std::count(tag.begin(), tag.end(), '"') % 2 != 0 || tag.find('<') != std::string::npos) {
      return "a broken tag: " + tag.substr(0, 60);
    }
    if (tag.starts_with("/")) {
      if (open.empty() || open.back() != tag.substr(1)) {
        return "</" + tag.substr(1) + "> closes nothing";
      }
      open.pop_back();
    } else if (!tag.ends_with("/")) {
      open.push_back(tag.substr(0, tag.find(' ')));
    }
  }
  for (at = text.find('&'); at != std::string::npos; at = text.find('&', at + 1)) {
    const std::string name = text.substr(at, text.find(';', at) - at + 1);
    if (name != "&amp;" && name != "&lt;" && name != "&gt;" && name != "&quot;") {
      return "an unknown entity: " + name.substr(0, 20);
    }
  }
  return open.empty() ? "" : "<" + open.back() + "> stays open";
}

Canvas small_canvas(const std::string& words) {
  Canvas canvas;
  canvas.title = words;
  canvas.description = words;
  canvas.text({{10.0, 20.0}, words, 14.0});
  canvas.dot({5.0, 5.0}, 2.0, series(1), {}, words);
  return canvas;
}

TEST(Svg, HoldsRealTextATitleAndADescription) {
  const std::string svg = write_svg(draw_plane_map(test::sample_map({})));
  EXPECT_TRUE(has(svg, "role=\"img\" aria-labelledby=\"sweepflux-title sweepflux-desc\""));
  EXPECT_TRUE(has(svg, "<title id=\"sweepflux-title\">Herb loft, heron, speed 3"));
  EXPECT_TRUE(has(svg, "<desc id=\"sweepflux-desc\">"));
  EXPECT_TRUE(has(svg, ">across y [m]</text>"));
  EXPECT_TRUE(has(svg, "flow 0.613 ± 0.060 m³/s"));
}

TEST(Svg, EscapesWhateverTheUserWrote) {
  const std::string svg = write_svg(small_canvas("a < b & \"c\" > d"));
  EXPECT_TRUE(has(svg, "a &lt; b &amp; &quot;c&quot; &gt; d"));
  EXPECT_EQ(xml_fault(svg), "");
}

TEST(Svg, SurvivesBytesThatAreNotUtf8AndControlCharacters) {
  const std::string svg =
      write_svg(small_canvas("k\xFC"
                             "che\x01 !"));
  EXPECT_TRUE(has(svg, "küche  !"));
  EXPECT_EQ(xml_fault(svg), "");
}

TEST(Svg, OfEveryPictureIsWellFormed) {
  for (const bool embedded : {false, true}) {
    for (const auto& [name, canvas] : test::sample_pictures(1.0, "Loft <3> & \"co\"")) {
      EXPECT_EQ(xml_fault(write_svg(canvas, {embedded, "p1"})), "") << name;
    }
  }
}

TEST(Svg, OfEveryPicturePassesXmllint) {
  if (std::system("xmllint --version >/dev/null 2>&1") != 0) {
    GTEST_SKIP() << "skipped: xmllint is not installed";
  }
  const auto folder = test::scratch_folder();
  for (const auto& [name, canvas] : test::sample_pictures(1.0,
                                                          "Loft <3> & \"co\" k\xFC"
                                                          "che")) {
    const auto file = folder / "picture.svg";
    std::ofstream(file, std::ios::binary) << write_svg(canvas);
    EXPECT_EQ(std::system(("xmllint --noout '" + file.string() + "'").c_str()), 0) << name;
  }
}

TEST(Svg, ForAPageFollowsThePagesThemeAndKeepsItsIdsToItself) {
  const Canvas canvas = draw_plane_map(test::sample_map({}));
  const std::string one = write_svg(canvas, {true, "one"});
  const std::string two = write_svg(canvas, {true, "two"});
  EXPECT_TRUE(one.starts_with("<svg "));
  EXPECT_TRUE(has(one, "fill=\"var(--sf-ink,#"));
  EXPECT_TRUE(has(one, "<circle"));
  EXPECT_TRUE(has(one, " m/s</title></circle>"));
  const auto ids = [](const std::string& svg) {
    std::set<std::string> found;
    for (std::size_t at = svg.find(" id=\""); at != std::string::npos;
         at = svg.find(" id=\"", at + 1)) {
      EXPECT_TRUE(found.insert(svg.substr(at + 5, svg.find('"', at + 5) - at - 5)).second);
    }
    return found;
  };
  for (const std::string& id : ids(one)) {
    EXPECT_EQ(ids(two).count(id), 0U) << id;
  }
}

TEST(Svg, OnItsOwnHasFixedColoursOnWhite) {
  const std::string svg = write_svg(draw_plane_map(test::sample_map({})));
  EXPECT_TRUE(svg.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>"));
  EXPECT_FALSE(has(svg, "var("));
  EXPECT_TRUE(has(svg, "<rect width=\"680\""));
  EXPECT_TRUE(has(svg, "fill=\"#ffffff\""));
}

TEST(Svg, RefusesAPrefixThatIsNoId) {
  for (const std::string prefix : {"", "1a", "a b", "a\"b", "ä"}) {
    EXPECT_THROW((void)write_svg(Canvas{}, {true, prefix}), InputError) << prefix;
  }
}

TEST(Svg, WritesAnImageThatWasNotPackedBefore) {
  Image image(2, 2);
  image.set(1, 0, {200, 10, 30}, 255);
  Canvas by_call, by_hand;
  by_call.picture({0, 0, 20, 20}, image);
  by_hand.items.emplace_back(Picture{{0, 0, 20, 20}, image, {}, {}});
  EXPECT_TRUE(has(write_svg(by_call), "base64,iVBOR"));  // a PNG's first bytes
  EXPECT_EQ(write_svg(by_call), write_svg(by_hand));
}

TEST(Svg, HoldsTheMapAsAPngOfItsOwn) {
  const std::string svg = write_svg(draw_plane_map(test::sample_map({})));
  const std::string start = "data:image/png;base64,";
  const std::size_t from = svg.find(start) + start.size();
  const std::string text = svg.substr(from, svg.find('"', from) - from);
  const std::string letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::vector<std::uint8_t> bytes;
  unsigned bits = 0;
  int held = 0;
  for (const char c : text) {
    if (c == '=') {
      break;
    }
    bits = bits << 6U | static_cast<unsigned>(letters.find(c));
    held += 6;
    if (held >= 8) {
      held -= 8;
      bytes.push_back(static_cast<std::uint8_t>(bits >> static_cast<unsigned>(held)));
    }
  }
  const Image image = decode_png(bytes);
  EXPECT_GT(image.width, 300U);
  EXPECT_GT(image.height, 300U);
}

TEST(Svg, WritesPointsWhateverTheLocale) {
  const std::string plain = write_svg(small_canvas("a"));
  const char* const set = std::setlocale(LC_ALL, "de_DE.UTF-8");
  const std::string here = write_svg(small_canvas("a"));
  std::setlocale(LC_ALL, "C");
  EXPECT_EQ(plain, here) << (set == nullptr ? "(the locale is not installed)" : set);
}

TEST(Svg, KeepsLettersTogetherWithTheirBackground) {
  Canvas canvas;
  canvas.text({.at = {5.0, 5.0}, .words = "1.5", .seam = fixed({1, 2, 3})});
  const std::string svg = write_svg(canvas);
  EXPECT_TRUE(has(svg, "stroke=\"#010203\" stroke-width=\"3\" paint-order=\"stroke\""));
}

}  // namespace
}  // namespace sweepflux::render
