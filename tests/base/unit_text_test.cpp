#include "sweepflux/base/unit_text.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/comma_locale.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

std::string refusal(const std::string& text, Dimension wanted) {
  try {
    (void)parse_quantity(text, wanted);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

struct KnownPair {
  std::string text;
  Dimension dimension;
  double si;
};

// Factors printed in [NIST SP 811, appendix B.8], to seven digits or exact.
const std::vector<KnownPair> known_pairs = {
    {"1 ft", Dimension::length, 0.3048},
    {"1 in", Dimension::length, 0.0254},
    {"150 cm", Dimension::length, 1.5},
    {"70 mm", Dimension::length, 0.07},
    {"1 ft/min", Dimension::speed, 5.08e-3},
    {"1 mph", Dimension::speed, 0.44704},
    {"1 kn", Dimension::speed, 0.5144444},
    {"1 km/h", Dimension::speed, 0.2777778},
    {"1 ft/s", Dimension::speed, 0.3048},
    {"1 inHg", Dimension::pressure, 3386.389},
    {"1 mmHg", Dimension::pressure, 133.3224},
    {"1 mbar", Dimension::pressure, 100.0},
    {"1 psi", Dimension::pressure, 6894.757},
    {"1 inH2O", Dimension::pressure, 249.0889},
    {"1 lbf", Dimension::force, 4.448222},
    {"1 ozf", Dimension::force, 0.2780139},
    {"1 kgf", Dimension::force, 9.80665},
    {"1 lb", Dimension::force, 4.448222},
    {"100 g", Dimension::force, 0.980665},
    {"100 gf", Dimension::force, 0.980665},
    {"1 cfm", Dimension::volume_flow, 4.719474e-4},
    {"1 m3/h", Dimension::volume_flow, 2.777778e-4},
    {"1 h", Dimension::time, 3600.0},
    {"2 min", Dimension::time, 120.0},
    {"250 ms", Dimension::time, 0.25},
    {"1 deg", Dimension::angle, 0.01745329},
    {"48 %", Dimension::ratio, 0.48},
    {"0.48 relative", Dimension::ratio, 0.48},
    {"41 W", Dimension::power, 41.0},
    {"1 mW", Dimension::power, 0.001},
    {"212 degF", Dimension::temperature, 373.15},
    {"0 degC", Dimension::temperature, 273.15},
    {"293.15 K", Dimension::temperature, 293.15},
};

TEST(UnitText, turns_known_pairs_into_si) {
  for (const KnownPair& pair : known_pairs) {
    // Half a unit of the seventh printed digit is at most 5e-7 of the value.
    EXPECT_NEAR(parse_quantity(pair.text, pair.dimension), pair.si, 5e-7 * pair.si) << pair.text;
  }
}

TEST(UnitText, holds_definitions_exactly) {
  EXPECT_EQ(find_unit("ft/min")->factor, 0.3048 / 60.0);
  EXPECT_EQ(find_unit("kn")->factor, 1852.0 / 3600.0);
  EXPECT_EQ(find_unit("mph")->factor, 1609.344 / 3600.0);
  EXPECT_EQ(find_unit("g")->factor, 0.001 * 9.80665);
  EXPECT_EQ(find_unit("deg")->factor, std::numbers::pi / 180.0);
}

TEST(UnitText, knows_the_same_unit_under_its_spellings) {
  const std::vector<std::vector<std::string>> groups = {
      {"m/s", "mps", "m_s", "[m/s]", "(m/s)", " m/s ", "M/S", "m/sec", "m s-1"},
      {"ft/min", "fpm", "FPM"},
      {"kn", "kt", "knots"},
      {"deg", "\xC2\xB0", "\xB0", "[\xB0]", "degrees", "Deg"},
      {"degC",
       "\xC2\xB0"
       "C",
       "\xB0"
       "C",
       "C",
       "deg C",
       "\xE2\x84\x83"},
      {"degF",
       "\xC2\xB0"
       "F",
       "F"},
      {"hPa", "mbar", "hpa"},
      {"m3/s", "m^3/s", "m\xC2\xB3/s"},
  };
  for (const auto& group : groups) {
    for (const std::string& spelling : group) {
      ASSERT_TRUE(find_unit(spelling)) << spelling;
      EXPECT_EQ(*find_unit(spelling), *find_unit(group.front())) << spelling;
    }
  }
}

TEST(UnitText, lets_capitals_decide_where_they_must) {
  EXPECT_EQ(find_unit("mW")->factor, 0.001);
  EXPECT_EQ(find_unit("MW")->factor, 1e6);
  EXPECT_FALSE(find_unit("Mw"));
  EXPECT_EQ(find_unit("kn")->dimension, Dimension::speed);
  EXPECT_EQ(find_unit("kN")->dimension, Dimension::force);
  EXPECT_FALSE(find_unit("KN"));
}

TEST(UnitText, refuses_units_that_it_does_not_know) {
  for (const std::string unit : {"", "[]", "furlong", "m/s/s", "steps", "mm s", "e", "x1p-3"}) {
    EXPECT_FALSE(find_unit(unit)) << unit;
  }
  EXPECT_TRUE(is_step_unit("[Steps]"));
  EXPECT_FALSE(is_step_unit("stop"));
}

TEST(UnitText, reads_a_number_whole_or_not_at_all) {
  const std::vector<std::pair<std::string, double>> good = {
      {"0.42", 0.42},
      {"+0.12", 0.12},
      {".42", 0.42},
      {"5.", 5.0},
      {"-20", -20.0},
      {"1.86e0", 1.86},
      {"3.41E+00", 3.41},
      {"17.9e-1", 1.79},
      {"-.5", -0.5},
      {"\xE2\x88\x92"
       "20",
       -20.0},
      {"9007199254740991", 9007199254740991.0},
  };
  for (const auto& [text, value] : good) {
    ASSERT_TRUE(parse_number(text)) << text;
    EXPECT_EQ(*parse_number(text), value) << text;
  }
  for (const std::string text : {"",
                                 "+",
                                 "-",
                                 ".",
                                 "+-5",
                                 "++5",
                                 "- 5",
                                 "3.8D-01",
                                 "0x1p-3",
                                 "1_000",
                                 "1 000",
                                 "1,5",
                                 "nan",
                                 "inf",
                                 "-inf",
                                 "1e400",
                                 "1e-400",
                                 "0.3x",
                                 " 1",
                                 "1 ",
                                 "9007199254740993",
                                 "12345678901234567890",
                                 "1.2.3",
                                 "e5",
                                 "--3"}) {
    EXPECT_FALSE(parse_number(text)) << text;
  }
  EXPECT_FALSE(parse_number(std::string(5000, '1')));
}

TEST(UnitText, takes_one_decimal_mark_at_a_time) {
  EXPECT_EQ(parse_number("-20,5", ','), -20.5);
  EXPECT_EQ(parse_number(",42", ','), 0.42);
  EXPECT_EQ(parse_number("3", ','), 3.0);
  EXPECT_FALSE(parse_number("1.5", ','));
  EXPECT_FALSE(parse_number("1.234,5", ','));
  EXPECT_FALSE(parse_number("1,234,5", ','));
}

TEST(UnitText, keeps_scale_and_offset_apart_for_differences) {
  EXPECT_DOUBLE_EQ(parse_difference("0.5 degC", Dimension::temperature), 0.5);
  EXPECT_DOUBLE_EQ(parse_difference("0.9 degF", Dimension::temperature), 0.5);
}

TEST(UnitText, weighs_masses_with_the_gravity_of_the_balance) {
  EXPECT_DOUBLE_EQ(parse_force("100 g", 9.81), 0.981);
  EXPECT_DOUBLE_EQ(parse_force("100 gf", 9.81), 0.980665);
  EXPECT_DOUBLE_EQ(parse_force("0.5 N", 9.81), 0.5);
  // 2.2 oz = 62.369 g by the avoirdupois ounce, 28.349523125 g exactly [NIST SP 811].
  EXPECT_NEAR(parse_force("2.2 oz", 9.80665), 2.2 * 0.028349523125 * 9.80665, 1e-15);
}

TEST(UnitText, says_what_is_wrong_with_a_quantity_and_what_is_allowed) {
  EXPECT_EQ(refusal("1.5", Dimension::length),
            "`1.5` has no unit; allowed: a number with a unit (m, cm, mm, in, ft)");
  EXPECT_NE(refusal("1.5 kg", Dimension::length).find("is a force, must be a length"),
            std::string::npos);
  EXPECT_NE(refusal("3 m/ss", Dimension::speed).find("did you mean `m/s`?"), std::string::npos);
  EXPECT_NE(refusal("1,5 m", Dimension::length).find("write a decimal point"), std::string::npos);
  for (const std::string text : {"",
                                 " ",
                                 "m",
                                 "nan m",
                                 "inf m",
                                 "1e400 m",
                                 "1_000 m",
                                 "1 000 m",
                                 "0x1p-3 m",
                                 "3.8D-01 m",
                                 "-",
                                 "1..5 m",
                                 "5 ft 3 in"}) {
    EXPECT_NE(refusal(text, Dimension::length), "") << text;
  }
  EXPECT_EQ(refusal(" -0.4m ", Dimension::length), "");
}

TEST(UnitText, lists_the_units_of_every_dimension) {
  EXPECT_EQ(accepted_units(Dimension::speed), "m/s, km/h, ft/min, mph, kn");
  for (const Dimension dimension : {Dimension::length,
                                    Dimension::angle,
                                    Dimension::speed,
                                    Dimension::time,
                                    Dimension::pressure,
                                    Dimension::temperature,
                                    Dimension::force,
                                    Dimension::power,
                                    Dimension::ratio,
                                    Dimension::acceleration,
                                    Dimension::volume_flow}) {
    EXPECT_FALSE(accepted_units(dimension).empty());
    EXPECT_FALSE(describe(dimension).empty());
  }
}

TEST(FormatNumber, shows_significant_digits_without_noise) {
  EXPECT_EQ(format_number(0.1 + 0.2), "0.3");
  EXPECT_EQ(format_number(1234567.0), "1.235e+06");
  EXPECT_EQ(format_number(-0.0), "0");
  EXPECT_EQ(format_number(0.05, 17), "0.05");
  EXPECT_EQ(format_number(0.1 + 0.2, 17), "0.30000000000000004");
  EXPECT_EQ(format_number(std::nan("")), "not a number");
}

TEST(FormatNumber, gives_a_value_the_digits_that_its_uncertainty_deserves) {
  EXPECT_EQ(format_with_uncertainty(0.6127, 0.0311, "m3/s"), "0.613 +- 0.031 m3/s");
  EXPECT_EQ(format_with_uncertainty(0.61, 0.0996, "N"), "0.61 +- 0.10 N");
  EXPECT_EQ(format_with_uncertainty(1234.0, 120.0, "Pa"), "1230 +- 120 Pa");
  EXPECT_EQ(format_with_uncertainty(-0.0004, 0.03, "m"), "0.000 +- 0.030 m");
  EXPECT_EQ(format_with_uncertainty(2.5, 0.0, "m"), "2.5 m");
  EXPECT_EQ(format_with_uncertainty(9.96, 1.04, ""), "10.0 +- 1.0");
}

TEST(UnitText, does_not_listen_to_the_locale) {
  const test::CommaLocale comma;
  if (!comma.is_set()) {
    GTEST_SKIP() << "skipped: no comma-decimal locale on this machine";
  }
  EXPECT_EQ(parse_number("0.42"), 0.42);
  EXPECT_DOUBLE_EQ(parse_quantity("1.5 m", Dimension::length), 1.5);
  EXPECT_EQ(format_number(1.5), "1.5");
}

}  // namespace
}  // namespace sweepflux
