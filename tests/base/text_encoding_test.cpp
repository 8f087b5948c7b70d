#include "sweepflux/base/text_encoding.hpp"

#include <gtest/gtest.h>

#include <string>

namespace sweepflux {
namespace {

TEST(TextEncoding, tells_utf8_from_latin1) {
  EXPECT_TRUE(is_utf8("plain"));
  EXPECT_TRUE(
      is_utf8("\xC2\xB0"
              "C \xE2\x84\x83 \xF0\x9F\x92\xA8"));
  EXPECT_FALSE(
      is_utf8("\xB0"
              "C"));
  EXPECT_FALSE(is_utf8("\xC2"));              // cut
  EXPECT_FALSE(is_utf8("\xC0\xAF"));          // overlong
  EXPECT_FALSE(is_utf8("\xED\xA0\x80"));      // surrogate
  EXPECT_FALSE(is_utf8("\xF4\x90\x80\x80"));  // beyond the last character
}

TEST(TextEncoding, reads_latin1) {
  EXPECT_EQ(as_utf8("\xB0"
                    "C"),
            "\xC2\xB0"
            "C");
  EXPECT_EQ(as_utf8("\xFC"), "\xC3\xBC");
  EXPECT_EQ(as_utf8("\xC2\xB0"), "\xC2\xB0");
}

TEST(TextEncoding, makes_any_bytes_fit_for_a_message) {
  EXPECT_EQ(in_backticks("---"), "`---`");
  EXPECT_EQ(in_backticks(std::string("3.4\0\x1B", 5)), "`3.4\\x00\\x1B`");
  EXPECT_EQ(in_backticks("\xB0"), "`\\xB0`");
  EXPECT_EQ(in_backticks("\xC2\x88\xC2\xB0"), "`\\xC2\\x88\xC2\xB0`");
  EXPECT_EQ(in_backticks("\xE2\x80\xA8\xE2\x80\x93"), "`\\xE2\\x80\\xA8\xE2\x80\x93`");
  EXPECT_LT(in_backticks(std::string(100000, 'x')).size(), 80U);
}

TEST(TextEncoding, shows_what_would_steer_a_terminal) {
  EXPECT_EQ(terminal_text("two\nlines, \x1B[31mred\r\t\x7F\x07"),
            "two\nlines, \\x1B[31mred\\x0D\\x09\\x7F\\x07");
  EXPECT_EQ(terminal_line("two\nlines"), "two\\x0Alines");
  // C1 as a character and as a lone byte, U+061C, U+200F, U+202E, U+2066, U+2069.
  EXPECT_EQ(terminal_text("\xC2\x9B \x9B \xD8\x9C \xE2\x80\x8F \xE2\x80\xAE \xE2\x81\xA6 "
                          "\xE2\x81\xA9"),
            "\\xC2\\x9B \\x9B \\xD8\\x9C \\xE2\\x80\\x8F \\xE2\\x80\\xAE \\xE2\\x81\\xA6 "
            "\\xE2\\x81\\xA9");
  // Letters of any script, signs, and what stands right before and behind the ranges.
  const std::string plain =
      "\xC3\xA9 \xD8\x9B \xD8\x9D \xE2\x80\x8D \xE2\x80\xA7 \xE2\x80\xAF \xE2\x81\xA5 "
      "\xF0\x9F\x92\xA8";
  EXPECT_EQ(terminal_text(plain), plain);
  EXPECT_EQ(terminal_json("{\"a\": \"\xC2\x9B\xE2\x80\xAE\x7F\xC3\xA9\"}\n"),
            "{\"a\": \"\\u009b\\u202e\\u007f\xC3\xA9\"}\n");
}

TEST(TextEncoding, trims_every_blank) {
  EXPECT_EQ(trimmed(" \t\xC2\xA0x y\r\n"), "x y");
  EXPECT_EQ(trimmed("\xC2\xA0"), "");
  EXPECT_EQ(trimmed("\xC2\xB0"), "\xC2\xB0");
}

TEST(MinusSigns, StandBeforeNumbersAndNotInNames) {
  EXPECT_EQ(with_minus_signs("-2.5 to -0.3 m (-4 %), x -1."), "\u22122.5 to \u22120.3 m (\u22124 %), x \u22121.");
  EXPECT_EQ(with_minus_signs("+- 0.3; heron-3 -3.csv a-2 -x 1-2 --3"),
            "+- 0.3; heron-3 -3.csv a-2 -x 1-2 --3");
}

}  // namespace
}  // namespace sweepflux
