#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <cmath>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

constexpr Bounds gravity_on_earth{9.76, 9.84, true, "from 9.76 to 9.84 m/s2"};
constexpr Bounds lever_share{0.0, 0.5, true, "from 0 % to 50 %"};

void read_arms(TomlView& view, StatedLever& lever) {
  view.require("fan_arm");
  view.require("scale_arm");
  const auto fan = view.quantity("fan_arm", Dimension::length, above_zero);
  const auto scale = view.quantity("scale_arm", Dimension::length, above_zero);
  // A tape or rule read to the millimetre.
  const double uncertainty =
      view.quantity_or("arm_uncertainty", Dimension::length, zero_or_more, 0.001, "1 mm");
  if (fan && scale) {
    lever.ratio = *fan / *scale;
    lever.from_arms = true;
    lever.relative_uncertainty = std::hypot(uncertainty / *fan, uncertainty / *scale);
  }
}

}  // namespace

StatedLever read_lever(TomlView& view, bool has_check_mass) {
  const bool ratio = view.has("lever_ratio");
  const bool arms = view.has("fan_arm") || view.has("scale_arm");
  StatedLever lever;
  if ((ratio ? 1 : 0) + (arms ? 1 : 0) + (has_check_mass ? 1 : 0) > 1) {
    view.fault(ratio ? "lever_ratio" : "fan_arm",
               "the lever is stated more than once; keep one of lever_ratio, the two arms, and "
               "[balance.check]");
    if (arms) {  // else these keys, not read, would be called unknown besides
      (void)view.number("lever_ratio", above_zero);
      (void)view.quantity("lever_ratio_uncertainty", Dimension::ratio, lever_share);
    }
  }
  if (arms) {
    read_arms(view, lever);
  } else if (ratio) {
    lever.ratio = view.number("lever_ratio", above_zero);
    lever.relative_uncertainty =
        view.quantity_or("lever_ratio_uncertainty", Dimension::ratio, lever_share, 0.0, "0 %");
  } else if (!has_check_mass) {
    view.note_default("lever_ratio", "1 (the scale takes the thrust as it is)");
  }
  return lever;
}

std::optional<ScaleLogRecipe> read_scale_log(TomlView& view) {
  const bool raw = view.has("log");
  if (!raw && !view.has("file")) {
    return std::nullopt;
  }
  ScaleLogRecipe recipe;
  const char* const key = raw ? "log" : "file";
  recipe.spot = view.spot(key);
  recipe.reduced = !raw;
  if (raw && view.has("file")) {
    view.fault("file", view.name() + " names both a file and a log; take one of them out");
  }
  const std::string name = view.text(key).value_or("");
  if (name.empty() || name.find('\0') != std::string::npos) {
    view.fault(key, view.name() + "." + key + " must name a CSV file");
  }
  recipe.file = view.beside(name.substr(0, name.find('\0')));
  for (const char* by_hand : {"readings", "zero_before", "zero_after"}) {
    if (view.has(by_hand)) {
      view.fault(by_hand,
                 view.name() + "." + by_hand + " and " + key +
                     " say the same; the log holds the readings and the zeros about them");
    }
  }
  if (!raw) {
    return recipe;
  }
  recipe.columns = view.texts("columns");
  recipe.sequence = view.texts("sequence");
  read_words(view,
             {{"time_column", &LogWords::time},
              {"value_column", &LogWords::value},
              {"label_column", &LogWords::label},
              {"time_unit", &LogWords::time_unit},
              {"value_unit", &LogWords::value_unit}},
             recipe);
  read_date_order(view, "dates", recipe.dates);
  recipe.rate_hz = view.number("rate", above_zero);
  recipe.settle_s = view.quantity("settle", Dimension::time, zero_or_more);
  return recipe;
}

void refuse_other_sequence(const ScaleLogRecipe& recipe,
                           std::vector<ScaleLogRecipe>& before,
                           Findings& findings) {
  for (const ScaleLogRecipe& other : before) {
    if (other.file.lexically_normal() == recipe.file.lexically_normal() &&
        other.sequence != recipe.sequence) {
      findings.add(recipe.spot,
                   in_backticks(recipe.file.string()) + " was named before (line " +
                       std::to_string(other.spot.line) +
                       ") with another sequence; one log holds one: name another log, or state the "
                       "whole sequence in both places");
      break;
    }
  }
  before.push_back(recipe);
}

void read_balance_rig(TomlView& view, Balance& balance) {
  balance.gravity_m_s2 = view.quantity_or("gravity",
                                          Dimension::acceleration,
                                          gravity_on_earth,
                                          standard_gravity_m_s2,
                                          "9.80665 m/s2 (standard gravity, for masses)");
  const StatedLever lever = read_lever(view, false);
  balance.lever_ratio = lever.ratio.value_or(1.0);
  balance.lever_ratio_uncertainty = lever.relative_uncertainty;
  balance.from_arms = lever.from_arms;
  balance.resolution_n = view.force("resolution", balance.gravity_m_s2, zero_or_more).value_or(0.0);
  if (!view.has("resolution")) {
    view.note_default("resolution", "0 N");
  }
}

void read_balance_readings(TomlView& view, Balance& balance) {
  balance.log = read_scale_log(view);
  if (balance.log) {
    return;
  }
  const auto before = view.force("zero_before", balance.gravity_m_s2, any_value);
  const auto after = view.force("zero_after", balance.gravity_m_s2, any_value);
  balance.zero_given = before.has_value() || after.has_value();
  balance.zero_before_n = before.value_or(after.value_or(0.0));
  balance.zero_after_n = after.value_or(before.value_or(0.0));
  for (const auto& [key, other] :
       {std::pair("zero_before", "zero_after"), std::pair("zero_after", "zero_before")}) {
    if (!view.has(key)) {
      view.note_default(key, view.has(other) ? other : "0 N");
    }
  }
  view.require("readings");
  balance.readings_n = view.forces("readings", balance.gravity_m_s2);
  if (view.list_size("readings") == 0) {
    view.fault("readings", view.name() + ".readings must be a list of one reading or more");
  }
}

std::optional<Balance> read_balance(TomlView& root) {
  TomlView view = root.section("balance");
  if (!view.is_there()) {
    return std::nullopt;
  }
  Balance balance;
  read_balance_rig(view, balance);
  read_balance_readings(view, balance);
  view.finish();
  return balance;
}

}  // namespace sweepflux
