#include "sweepflux/capture/delimited/heading.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace sweepflux {
namespace {

using Parts = std::pair<std::string, std::string>;

Parts split(const std::string& text) {
  const HeadingCell cell = split_heading(text);
  return {cell.name, cell.unit};
}

TEST(Heading, takes_name_and_unit_apart) {
  const std::vector<std::pair<std::string, Parts>> cases = {
      {"speed [m/s]", {"speed", "m/s"}},
      {"speed (m/s)", {"speed", "m/s"}},
      {"speed_m_s", {"speed", "m_s"}},
      {"speed_mps", {"speed", "mps"}},
      {"angle_deg", {"angle", "deg"}},
      {"t_s", {"t", "s"}},
      {"standard_error_m_s", {"standard_error", "m_s"}},
      {"speed / m/s", {"speed", "m/s"}},
      {"speed / (m/s)", {"speed", "m/s"}},
      {"angle/deg", {"angle", "deg"}},
      {"Speed, ft/min", {"Speed", "ft/min"}},
      {"Speed m/s", {"Speed", "m/s"}},
      {"V [ft/min]", {"V", "ft/min"}},
      {"Angle [\xB0]", {"Angle", "\xC2\xB0"}},
      {"wind\n  speed\t[m/s]", {"wind speed", "m/s"}},
      {"angle [steps]", {"angle", "steps"}},
      {"speed", {"speed", ""}},
      {"speed_1", {"speed_1", ""}},  // a count, no ratio
      {"pos h", {"pos h", ""}},      // hardly hours
      {"speed (mean)", {"speed (mean)", ""}},
      {"speed [mean]", {"speed", "mean"}},  // square brackets always hold the unit
      {"", {"", ""}},
      {"[m/s]", {"", "m/s"}},
  };
  for (const auto& [text, parts] : cases) {
    EXPECT_EQ(split(text), parts) << text;
  }
}

TEST(Heading, matches_names_whatever_their_letters) {
  const HeadingCell cell = split_heading("Standard-Error [m/s]");
  EXPECT_EQ(match_heading(cell, "standard_error"), HeadingMatch::by_name);
  EXPECT_EQ(match_heading(cell, "standard error [m/s]"), HeadingMatch::by_text);
  EXPECT_EQ(match_heading(cell, "error"), HeadingMatch::none);
  EXPECT_EQ(match_heading(split_heading(""), ""), HeadingMatch::none);
}

TEST(Heading, prefers_the_whole_text_and_tells_when_two_match_alike) {
  const std::vector<HeadingCell> cells = {
      split_heading("V [ft/min]"), split_heading("V [m/s]"), split_heading("T [degC]")};
  EXPECT_EQ(find_heading(cells, "V [m/s]"), (std::vector<std::size_t>{1}));
  EXPECT_EQ(find_heading(cells, "V"), (std::vector<std::size_t>{0, 1}));
  EXPECT_TRUE(find_heading(cells, "W").empty());
}

TEST(Heading, knows_a_units_row_from_readings) {
  const auto is_units = [](std::vector<std::string> cells) { return is_units_row(cells); };
  EXPECT_TRUE(is_units({"[deg]", "[m/s]"}));
  EXPECT_TRUE(is_units({"TS", "RN", "deg", "m/s", "m/s"}));
  EXPECT_TRUE(is_units({"deg", "m/s", ""}));
  EXPECT_TRUE(is_units({"deg", "m/s", "-", "1"}));
  EXPECT_FALSE(is_units({"-", "-"}));  // two missing values
  EXPECT_FALSE(is_units({"-20", "0.42"}));
  EXPECT_FALSE(is_units({"m", "0.42"}));
  EXPECT_FALSE(is_units({"angle", "speed"}));
  EXPECT_FALSE(is_units({}));
}

}  // namespace
}  // namespace sweepflux
