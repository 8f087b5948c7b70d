#include "render/canvas/text.hpp"

#include "render/canvas/canvas.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace sweepflux::render {
namespace {

TEST(NumberText, HasARealMinusAndNoMinusZero) {
  EXPECT_EQ(fixed_text(-0.25, 2), "−0.25");
  EXPECT_EQ(fixed_text(-0.0001, 2), "0.00");
  EXPECT_EQ(number_text(0.0), "0");
}

TEST(NumberText, KeepsTheDigitsThatWereAskedFor) {
  EXPECT_EQ(number_text(3.14159, 3), "3.14");
  EXPECT_EQ(number_text(0.0214, 3), "0.0214");
  EXPECT_EQ(number_text(9.996, 3), "10.0");
  EXPECT_EQ(number_text(1234.5, 3), "1234");
  EXPECT_EQ(number_text(2.5e-6, 2), "2.5×10⁻⁶");
  EXPECT_EQ(number_text(-1.25e7, 3), "−1.25×10⁷");
  EXPECT_EQ(number_text(std::nan("")), "not known");
  EXPECT_EQ(number_text(std::numeric_limits<double>::infinity()), "∞");
}

TEST(NumberText, GivesAnEstimateTwoDigitsOfUncertainty) {
  EXPECT_EQ(estimate_text({0.6132, 0.03, 0.5532, 0.6732}, "m³/s"),
            "0.613\u00A0±\u00A00.030\u00A0m³/s");
  EXPECT_EQ(estimate_text({1234.0, 60.0, 1110.0, 1358.0}, "N"), "1234\u00A0±\u00A060\u00A0N");
  EXPECT_EQ(estimate_text({0.95, 0.0, 0.95, 0.95}, "N"), "0.950\u00A0N");
}

TEST(NumberText, SpellsOutAnIntervalThatLeans) {
  EXPECT_EQ(estimate_text({0.61, 0.05, 0.55, 0.79}, "m³/s"), "0.61 (95 %: 0.55 to 0.79)\u00A0m³/s");
}

TEST(Text, WidthGrowsWithSizeAndLetters) {
  EXPECT_GT(text_width("heron", 14.0), 0.0);
  EXPECT_NEAR(text_width("heron", 28.0), 2.0 * text_width("heron", 14.0), 1e-9);
  EXPECT_GT(text_width("herons", 14.0), text_width("heron", 14.0));
  EXPECT_GT(text_width("heron", 14.0, true), text_width("heron", 14.0));
}

TEST(Text, IsBrokenAtSpacesAndCutOnlyAtTheEnd) {
  const std::string words = "one two three four five six seven eight nine ten";
  const double width = text_width("one two three four", 14.0);
  const std::vector<std::string> lines = wrap_text(words, 14.0, false, width, 2);
  ASSERT_EQ(lines.size(), 2U);
  EXPECT_EQ(lines[0], "one two three four");
  EXPECT_TRUE(lines[1].ends_with("…"));
  for (const std::string& line : wrap_text(words, 14.0, false, width, 9)) {
    EXPECT_LE(text_width(line, 14.0), width);
    EXPECT_FALSE(line.ends_with("…"));
  }
  EXPECT_TRUE(wrap_text("", 14.0, false, 100.0, 3).empty());
}

TEST(Text, IsNeverCutInsideALetter) {
  const std::string words = "Strömungsgeschwindigkeitsmessgerät äöüäöüäöüäöü";
  for (double width = 5.0; width < 200.0; width += 1.0) {
    const std::string cut = shorten(words, 14.0, false, width);
    EXPECT_EQ(clean_utf8(cut), cut);
    EXPECT_EQ(cut.find("\xEF\xBF\xBD"), std::string::npos);
    if (cut != "…") {
      EXPECT_LE(text_width(cut, 14.0), width);
    }
  }
}

TEST(Text, IsMadeFitForAnyReader) {
  EXPECT_EQ(clean_utf8("m³/s – 5 °C"), "m³/s – 5 °C");
  EXPECT_EQ(clean_utf8("k\xFC"
                       "che"),
            "küche");
  EXPECT_EQ(clean_utf8("a\tb\nc\x7F"), "a b c ");
  EXPECT_EQ(clean_utf8("\xEF\xBF\xBF|\xEF\xBF\xBE|\xEF\xBC\x81"),
            "\xEF\xBF\xBD|\xEF\xBF\xBD|\xEF\xBC\x81");
}

TEST(Text, BoxFollowsAnchorAndTurn) {
  const double width = text_width("speed", 14.0);
  EXPECT_NEAR(text_box({{100.0, 50.0}, "speed", 14.0, Anchor::end}).right, 100.0, 1e-9);
  EXPECT_NEAR(
      text_box({{100.0, 50.0}, "speed", 14.0, Anchor::middle}).left, 100.0 - width / 2.0, 1e-9);
  const Box turned = text_box({{100.0, 50.0}, "speed", 14.0, Anchor::start, false, 90.0});
  EXPECT_NEAR(turned.top, 50.0 - width, 1e-9);
  EXPECT_LT(turned.width(), 20.0);
}

}  // namespace
}  // namespace sweepflux::render
