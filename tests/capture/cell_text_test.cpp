#include "sweepflux/capture/delimited/cell_text.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

TEST(CellText, tells_the_words_for_no_value_apart) {
  for (const std::string text : {"",
                                 " ",
                                 "-",
                                 "--",
                                 "---",
                                 "\xE2\x80\x94",
                                 "NaN",
                                 "nan",
                                 "N/A",
                                 "n/a",
                                 "#N/A",
                                 "NULL",
                                 "?",
                                 "*****"}) {
    EXPECT_EQ(read_cell_word(text), CellWord::missing) << text;
  }
  for (const std::string text : {"OL", "ol", "O.L", "0.L", "OVER", "inf", "+inf", "Overload"}) {
    EXPECT_EQ(read_cell_word(text), CellWord::over_range) << text;
  }
  for (const std::string text : {"UL", "-OL", "under", "-inf"}) {
    EXPECT_EQ(read_cell_word(text), CellWord::under_range) << text;
  }
  for (const std::string text : {"fast", "0.3x", "1_000", "O", "-1-"}) {
    EXPECT_EQ(read_cell_word(text), CellWord::other) << text;
  }
  const std::vector<std::string> declared = {"-999", "stop"};
  EXPECT_EQ(read_cell_word("-999", declared), CellWord::missing);
  EXPECT_EQ(read_cell_word("-999.0", declared), CellWord::other);
}

TEST(CellText, keeps_one_decimal_mark_a_column) {
  ColumnNumbers numbers;
  EXPECT_EQ(numbers.read("1,25", 2), 1.25);
  EXPECT_EQ(numbers.read("3", 3), 3.0);
  EXPECT_FALSE(numbers.mixes_marks());
  EXPECT_EQ(numbers.most_decimals(), 2U);
  EXPECT_EQ(numbers.read("2.5", 4), 2.5);
  EXPECT_TRUE(numbers.mixes_marks());
  EXPECT_EQ(numbers.first_comma_line(), 2U);
  EXPECT_EQ(numbers.first_point_line(), 4U);
  EXPECT_TRUE(std::isnan(numbers.read("1.234,5", 5)));
  EXPECT_TRUE(std::isnan(numbers.read("NaN", 6)));
  EXPECT_EQ(ColumnNumbers::decimals("0.30"), 2U);
  EXPECT_EQ(ColumnNumbers::decimals("3"), 0U);
  EXPECT_EQ(ColumnNumbers::decimals("3.41E+0"), 0U);
}

}  // namespace
}  // namespace sweepflux
