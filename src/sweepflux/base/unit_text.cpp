#include "sweepflux/base/unit_text.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_table_private.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

/// Takes one pair of brackets off: "[m/s]", "(m/s)".
std::string_view without_brackets(std::string_view text) {
  text = trimmed(text);
  if (text.size() >= 2 && ((text.front() == '[' && text.back() == ']') ||
                           (text.front() == '(' && text.back() == ')'))) {
    text = trimmed(text.substr(1, text.size() - 2));
  }
  return text;
}

/// Length of what looks like a number at the front: sign, digits, one mark, exponent.
std::size_t number_length(std::string_view text) {
  const auto end_of = [text](std::string_view letters, std::size_t from) {
    return std::min(text.find_first_not_of(letters, from), text.size());
  };
  const bool typographic_minus = text.starts_with("\xE2\x88\x92");
  const bool sign = text.starts_with('+') || text.starts_with('-');
  const std::size_t end = end_of("0123456789.", typographic_minus ? 3 : sign ? 1 : 0);
  if (end + 1 < text.size() && (text[end] == 'e' || text[end] == 'E')) {
    const std::size_t digits = end + (text[end + 1] == '+' || text[end + 1] == '-' ? 2 : 1);
    if (digits < text.size() && is_digit(text[digits])) {
      return end_of("0123456789", digits);
    }
  }
  return end;
}

std::vector<std::string> spellings(Dimension dimension) {
  std::vector<std::string> names;
  for (const UnitSpelling& unit : unit_table()) {
    if (unit.scale.dimension == dimension) {
      names.emplace_back(unit.text);
    }
  }
  return names;
}

struct Parsed {
  double number = 0.0;
  UnitScale scale;
};

[[noreturn]] void refuse(std::string_view text, const std::string& why, Dimension wanted) {
  throw InputError(in_backticks(text) + " " + why + "; allowed: a number with a unit (" +
                   accepted_units(wanted) + ")");
}

Parsed parse_with_unit(std::string_view whole, Dimension wanted) {
  const std::string_view text = trimmed(whole);
  const std::size_t length = number_length(text);
  const std::string_view unit = trimmed(text.substr(length));
  if (text.empty()) {
    refuse(whole, "is empty", wanted);
  }
  if (length < text.size() && text[length] == ',' && length + 1 < text.size() &&
      is_digit(text[length + 1])) {
    refuse(whole, "has a comma in its number, write a decimal point", wanted);
  }
  const std::optional<double> number = parse_number(text.substr(0, length));
  if (!number || (!unit.empty() && (is_digit(unit.front()) || unit.front() == '_'))) {
    refuse(whole, "does not start with a number that can be read", wanted);
  }
  if (unit.empty()) {
    refuse(whole, "has no unit", wanted);
  }
  const std::optional<UnitScale> scale = find_unit(unit);
  if (!scale) {
    const std::string hint = did_you_mean(unit, spellings(wanted));
    refuse(whole, "has the unknown unit " + in_backticks(unit) + hint, wanted);
  }
  if (scale->dimension != wanted) {
    refuse(whole,
           "is " + std::string(describe(scale->dimension)) + ", must be " +
               std::string(describe(wanted)),
           wanted);
  }
  return {*number, *scale};
}

}  // namespace

std::string_view describe(Dimension dimension) {
  static const std::vector<std::string_view> in_order_of_enumeration = parts_of(
      "a plain number|a length|an angle|a speed|a time|a pressure|a temperature|a force|a power|"
      "a share|an acceleration|a volume flow|an angular speed|a sound level",
      '|');
  return in_order_of_enumeration[static_cast<std::size_t>(dimension)];
}

std::optional<UnitScale> find_unit(std::string_view unit) {
  const std::string_view wanted = without_brackets(unit);
  constexpr std::size_t longest_unit = 16;
  if (wanted.empty() || wanted.size() > longest_unit) {
    return std::nullopt;
  }
  const std::string folded = lower_ascii(wanted);
  std::optional<UnitScale> found;
  bool ambiguous = false;
  for (const UnitSpelling& spelling : unit_table()) {
    if (spelling.text == wanted) {
      return spelling.scale;
    }
    if (spelling.text.size() == folded.size() && lower_ascii(spelling.text) == folded) {
      ambiguous = ambiguous || (found && *found != spelling.scale);
      found = spelling.scale;
    }
  }
  return ambiguous ? std::nullopt : found;
}

bool is_step_unit(std::string_view unit) {
  const std::string word = lower_ascii(without_brackets(unit));
  return word == "step" || word == "steps" || word == "microsteps";
}

double parse_quantity(std::string_view text, Dimension wanted) {
  const Parsed parsed = parse_with_unit(text, wanted);
  return parsed.number * parsed.scale.factor + parsed.scale.offset;
}

double parse_difference(std::string_view text, Dimension wanted) {
  const Parsed parsed = parse_with_unit(text, wanted);
  return parsed.number * parsed.scale.factor;
}

double parse_force(std::string_view text, double gravity_m_s2) {
  const Parsed parsed = parse_with_unit(text, Dimension::force);
  const double force_n = parsed.number * parsed.scale.factor;
  return parsed.scale.is_mass ? force_n * (gravity_m_s2 / standard_gravity_m_s2) : force_n;
}

std::string accepted_units(Dimension dimension) {
  std::string names;
  for (const UnitSpelling& unit : unit_table()) {
    if (unit.shown && unit.scale.dimension == dimension) {
      names += (names.empty() ? "" : ", ") + std::string(unit.text);
    }
  }
  return names;
}

}  // namespace sweepflux
