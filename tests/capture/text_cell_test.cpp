#include "sweepflux/capture/delimited/text_cell.hpp"

#include "sweepflux/capture/delimited/csv_rows.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <cstdint>
#include <string>
#include <string_view>

namespace sweepflux {
namespace {

/// What our own reader makes of a cell, with one before it and one behind it.
std::string read_back(const std::string& text) {
  CsvOptions options;
  options.separator = ',';
  CsvRows rows = CsvRows::over_text("1," + text_cell(text) + ",2\n", options);
  const CsvRow* row = rows.next();
  if (row == nullptr || row->cells.size() != 3 || row->fault != CsvFault::none) {
    return "no row of three cells";
  }
  return std::string(read_text_cell(row->cells[1].text));
}

TEST(TextCell, PutsAnApostropheBeforeWhatASpreadsheetWouldReckon) {
  EXPECT_EQ(text_cell("=1+2"), "'=1+2");
  EXPECT_EQ(text_cell("+49"), "'+49");
  EXPECT_EQ(text_cell("-3"), "'-3");
  EXPECT_EQ(text_cell("@SUM(A1)"), "'@SUM(A1)");
  EXPECT_EQ(text_cell("\tx"), "\"'\tx\"");
  EXPECT_EQ(text_cell("\rx"), "\"'\rx\"");
  EXPECT_EQ(text_cell("=a,\"b\""), "\"'=a,\"\"b\"\"\"");
  EXPECT_EQ(text_cell("heron"), "heron");
  EXPECT_EQ(text_cell("speed 3 = full"), "speed 3 = full");
  EXPECT_EQ(text_cell("a;=1"), "\"a;=1\"");
}

TEST(TextCell, IsReadBackAsItWas) {
  for (const char* text : {"=1+2",
                           "'=1+2",
                           "''-x",
                           "'tis",
                           "''",
                           "'",
                           "",
                           "-",
                           "#1",
                           " a ",
                           "a\nb",
                           "\"",
                           "=\"a\",b",
                           "'a",
                           "\t=",
                           "\xC3\xA9=",
                           "@",
                           "''''@"}) {
    EXPECT_EQ(read_back(text), text);
  }
}

TEST(TextCell, IsReadBackAsItWasWhateverItHolds) {
  test::Dice dice(20);
  constexpr std::string_view letters = "'=+-@\t\r\n\",;|# a1";
  for (int trial = 0; trial < 20000; ++trial) {
    std::string text;
    for (std::uint64_t i = dice.any() % 7; i > 0; --i) {
      text += letters[dice.any() % letters.size()];
    }
    ASSERT_EQ(read_back(text), text) << text_cell(text);
    const std::string cell = text_cell(text);
    const char first = cell.empty() ? 'x' : cell[cell.front() == '"' ? 1 : 0];
    ASSERT_EQ(std::string_view("=+-@\t\r\n").find(first), std::string_view::npos) << cell;
  }
}

TEST(TextCell, KeepsCommentsFromBeingCutIntoFormulas) {
  EXPECT_EQ(comment_text("a, =HYPERLINK(1);@x"), "a, '=HYPERLINK(1);'@x");
  EXPECT_EQ(comment_text("two\nlines"), "two lines");
  EXPECT_EQ(comment_text("at -24 deg, lines 3 to 9"), "at -24 deg, lines 3 to 9");
}

}  // namespace
}  // namespace sweepflux
