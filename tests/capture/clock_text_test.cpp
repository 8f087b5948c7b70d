#include "sweepflux/capture/delimited/clock_text.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

// Days since 1970-01-01 by the proleptic Gregorian calendar: `date -u -d 2025-04-13 +%s` / 86400.
constexpr long day_2025_04_13 = 20191;
constexpr long day_2012_06_07 = 15498;

TEST(ClockText, reads_moments_in_any_common_writing) {
  struct Case {
    std::string text;
    long day;
    double second;
  };
  const std::vector<Case> cases = {
      {"2012-06-07 13:00:00.05", day_2012_06_07, 46800.05},
      {"2012-06-07T13:00:00Z", day_2012_06_07, 46800.0},
      {"2012-06-07T13:00:00+02:00", day_2012_06_07, 39600.0},
      {"2012-06-07 13:00:00-0530", day_2012_06_07, 66600.0},
      {"2012/6/7 13:00", day_2012_06_07, 46800.0},
      {"13.04.2025 10:00:06", day_2025_04_13, 36006.0},
      {"13.04.25 10:00:06,25", day_2025_04_13, 36006.25},
      {"4/13/2025 1:00:06 PM", day_2025_04_13, 46806.0},
      {"4/13/2025 12:00:06am", day_2025_04_13, 6.0},
      {"13-Apr-2025 10:00:06", day_2025_04_13, 36006.0},
      {"13 apr 2025", day_2025_04_13, 0.0},
      {"2025-04-13", day_2025_04_13, 0.0},
  };
  for (const Case& one : cases) {
    const auto moment = parse_clock(one.text);
    ASSERT_TRUE(moment) << one.text;
    EXPECT_TRUE(moment->has_date) << one.text;
    EXPECT_EQ(moment->day_if_day_first ? moment->day_if_day_first : moment->day_if_month_first,
              one.day)
        << one.text;
    EXPECT_NEAR(moment->second_of_day, one.second, 1e-9) << one.text;
  }
  EXPECT_FALSE(parse_clock("10:00:06")->has_date);
  EXPECT_DOUBLE_EQ(parse_clock("24:00:00")->second_of_day, 86400.0);
}

TEST(ClockText, refuses_what_is_no_moment) {
  for (const std::string text : {"",
                                 "noon",
                                 "12",
                                 "1.5",
                                 "25:00:00",
                                 "10:60:00",
                                 "10:00:61",
                                 "10:0:0",
                                 "10:00:00 XM",
                                 "13:00 PM",
                                 "2025-13-01",
                                 "2025-02-30",
                                 "31/04/2025",
                                 "2025-04-13 10:00:06 tomorrow",
                                 "13 04 2025",
                                 "1/2/3",
                                 "2025-04-13x10:00",
                                 "99999-01-01",
                                 "10:00:00+1",
                                 "24:00:01"}) {
    EXPECT_FALSE(parse_clock(text)) << text;
  }
  EXPECT_FALSE(parse_clock(std::string(100'000, '1')));
}

TEST(ClockText, leaves_both_orders_open_until_the_column_decides) {
  const auto moment = parse_clock("03/04/2025");
  ASSERT_TRUE(moment);
  EXPECT_EQ(*moment->day_if_month_first - *moment->day_if_day_first, -30);
  ClockColumn column;
  ASSERT_TRUE(column.add("03/04/2025 10:00:00"));
  ASSERT_TRUE(column.add("04/04/2025 10:00:00"));
  EXPECT_TRUE(column.finish(DateOrder::found).undecided);
  EXPECT_DOUBLE_EQ(column.finish(DateOrder::day_first).seconds[1] -
                       column.finish(DateOrder::day_first).seconds[0],
                   86400.0);
  ASSERT_TRUE(column.add("13/04/2025 10:00:00"));
  EXPECT_FALSE(column.finish(DateOrder::found).undecided);
  EXPECT_TRUE(column.finish(DateOrder::month_first).impossible);
  ASSERT_TRUE(column.add("04/13/2025 10:00:00"));
  EXPECT_TRUE(column.finish(DateOrder::found).impossible);
}

TEST(ClockText, needs_no_order_when_all_is_one_day) {
  ClockColumn column;
  ASSERT_TRUE(column.add("03/04/2025 10:00:00"));
  column.add_missing();
  ASSERT_TRUE(column.add("03/04/2025 10:00:02"));
  const ClockColumn::Result result = column.finish(DateOrder::found);
  ASSERT_EQ(result.seconds.size(), 3U);
  EXPECT_TRUE(std::isnan(result.seconds[1]));
  EXPECT_DOUBLE_EQ(result.seconds[2] - result.seconds[0], 2.0);
}

TEST(ClockText, passes_midnight_and_tells_when_a_clock_goes_back) {
  ClockColumn column;
  for (const std::string text : {"23:59:58", "00:00:02", "00:00:01"}) {
    ASSERT_TRUE(column.add(text));
  }
  const ClockColumn::Result result = column.finish(DateOrder::found);
  EXPECT_DOUBLE_EQ(result.seconds[1] - result.seconds[0], 4.0);
  EXPECT_TRUE(result.goes_back);
  EXPECT_EQ(result.first_backward_row, 2U);
  EXPECT_FALSE(column.add("2025-04-13 10:00:00"));  // no date stood before
}

}  // namespace
}  // namespace sweepflux
