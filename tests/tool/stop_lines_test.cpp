// What `follow` says where there is no terminal to draw on.
#include "sweepflux/derive/log/finish_sweep.hpp"
#include "tool/follow_screen.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

namespace sweepflux::tool {
namespace {

std::vector<Dwell> some_dwells(std::size_t count) {
  std::vector<Dwell> dwells(count);
  for (std::size_t i = 0; i < count; ++i) {
    const auto number = static_cast<double>(i);
    dwells[i].position = 0.05 * number;
    dwells[i].reading.samples = 40;
    dwells[i].reading.mean = 1.0 + number;
    dwells[i].reading.standard_error = 0.1 + 0.01 * number;
    dwells[i].reading.first_line = 2 + 50 * i;
    dwells[i].reading.last_line = 41 + 50 * i;
  }
  return dwells;
}

ReducedLog ended(const std::vector<Dwell>& dwells) {
  ReducedLog reduced;
  for (const Dwell& dwell : dwells) {
    reduced.readings.push_back(reading_of(dwell));
  }
  return reduced;
}

std::ptrdiff_t count_of(const std::string& text, char sign) {
  return std::count(text.begin(), text.end(), sign);
}

TEST(StopLines, GiveNoUncertaintyUntilItIsTheFinalOne) {
  StopLines lines(Motion::swivel);
  const std::vector<Dwell> all = some_dwells(fewest_pooled + 1);
  for (std::size_t stop = 1; stop < fewest_pooled; ++stop) {
    const std::string text = lines.lines(std::span(all).first(stop));
    EXPECT_EQ(text.find(" m/s +-"), std::string::npos) << text;
    EXPECT_EQ(count_of(text, '\n'), stop == 1 ? 2 : 1) << "a line a stop, and one that says why";
  }
  const std::string known = lines.lines(std::span(all).first(fewest_pooled));
  EXPECT_EQ(count_of(known, '\n'), static_cast<std::ptrdiff_t>(fewest_pooled));
  EXPECT_NE(known.find("1.000 m/s +- 0.100\n"), std::string::npos) << known;
  EXPECT_NE(lines.lines(all).find("9.000 m/s +- 0.180\n"), std::string::npos);
  EXPECT_NE(lines.changes(ended(all)).find("all are as shown"), std::string::npos);
}

TEST(StopLines, OfAShortSweepGetTheirUncertaintyAtItsEnd) {
  StopLines lines(Motion::swivel);
  const std::vector<Dwell> all = some_dwells(3);
  (void)lines.lines(all);
  const std::string end = lines.changes(ended(all));
  EXPECT_NE(end.find("3.000 m/s +- 0.120\n"), std::string::npos) << end;
}

}  // namespace
}  // namespace sweepflux::tool
