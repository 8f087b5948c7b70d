#include "sweepflux/base/message_text.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace sweepflux {
namespace {

using Lines = std::vector<std::string>;

Lines lines_of(const std::vector<PlacedText>& messages) { return one_line_a_kind(messages); }

TEST(OneLineAKind, JoinsWhatDiffersInItsNumbersAlone) {
  EXPECT_EQ(lines_of({{"1 m", "9.5 % of the flow lies outside (of 3 rows)"},
                      {"", "no balance"},
                      {"1.6 m", "41 % of the flow lies outside (of 3 rows)"},
                      {"2 m", "the floor is near"}}),
            (Lines{"1 m, 1.6 m: 9.5 to 41 % of the flow lies outside (of 3 rows)",
                   "no balance",
                   "2 m: the floor is near"}));
}

TEST(FixedNumber, KeepsItsDecimalsAndHasNoMinusBeforeZero) {
  EXPECT_EQ(fixed_number(1.1, 2), "1.10");
  EXPECT_EQ(fixed_number(-0.004, 2), "0.00");
  EXPECT_EQ(fixed_number(-0.006, 2), "-0.01");
  EXPECT_EQ(fixed_number(100.0, 0), "100");
  EXPECT_EQ(fixed_number(std::nan(""), 2), "-");
}

TEST(ColumnDecimals, ShowTheLargestWholeAndTheSmallestWhereTwoMoreAreEnough) {
  EXPECT_EQ(column_decimals(std::vector<double>{0.0097, 0.0068}, 2), 4);
  EXPECT_EQ(column_decimals(std::vector<double>{1.1, 0.28}, 2), 1);
  EXPECT_EQ(column_decimals(std::vector<double>{0.26, 0.018}, 2), 2);
  EXPECT_EQ(column_decimals(std::vector<double>{120.0, 30.0}, 2), 0);
  EXPECT_EQ(column_decimals(std::vector<double>{0.0, std::nan("")}, 2), -1);
}

TEST(OneLineAKind, NamesAPlaceOnce) {
  EXPECT_EQ(lines_of({{"1 m", "sweep at 0.4 m"}, {"1 m", "sweep at 1.2 m"}}),
            Lines{"1 m: sweep at 0.4 to 1.2 m"});
}

TEST(OneLineAKind, CountsPlacesThatAreManyToName) {
  std::vector<PlacedText> messages;
  for (int i = 1; i <= 20; ++i) {
    messages.push_back({"file " + std::to_string(i), "read as Latin-1"});
  }
  EXPECT_EQ(lines_of(messages),
            Lines{"file 1, file 2, file 3, file 4, file 5 and 15 more: read as Latin-1"});
}

TEST(OneLineAKind, LeavesNumbersInNamesAlone) {
  EXPECT_EQ(lines_of({{"1 m", "the sweep 1.0m-0.80m.csv is off"},
                      {"1 m", "the sweep 1.0m-0.90m.csv is off"}}),
            (Lines{"1 m: the sweep 1.0m-0.80m.csv is off", "1 m: the sweep 1.0m-0.90m.csv is off"}));
}

}  // namespace
}  // namespace sweepflux
