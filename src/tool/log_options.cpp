#include "tool/log_options.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/reduce_survey.hpp"

#include <string_view>
#include <vector>

namespace sweepflux::tool {
namespace {

std::optional<double> maybe(const char* option, const std::string& text, Dimension dimension) {
  return text.empty() ? std::nullopt : std::optional(quantity_of(option, text, dimension));
}

std::vector<std::string> list_of(std::string_view text) {
  const std::vector<std::string_view> parts = parts_of(text, ',');
  return {parts.begin(), parts.end()};
}

DateOrder to_dates(const std::string& text) {
  if (text == "found") {
    return DateOrder::found;
  }
  if (text == "day-first" || text == "month-first") {
    return text == "day-first" ? DateOrder::day_first : DateOrder::month_first;
  }
  throw InputError("--dates is `" + text + "`, must be day-first or month-first");
}

void add_pattern(LogRecipe& recipe, const LogOptions& options, Dimension place) {
  if (options.start.empty() && options.step.empty() && options.dwell.empty()) {
    return;
  }
  if (options.start.empty() || options.step.empty() || options.dwell.empty() || options.stops < 2) {
    throw InputError("a pattern needs --start, --step, --stops and --dwell together");
  }
  recipe.start = quantity_of("--start", options.start, place);
  recipe.step = quantity_of("--step", options.step, place);
  recipe.stops = static_cast<std::size_t>(options.stops);
  recipe.dwell_s = quantity_of("--dwell", options.dwell, Dimension::time);
  recipe.move_s = maybe("--move", options.move, Dimension::time);
  recipe.there_and_back = options.there_and_back;
}

/// The options as a survey would state them; the list of stops is not among them.
LogRecipe to_recipe(const LogOptions& options) {
  const Dimension place = options.traverse ? Dimension::length : Dimension::angle;
  LogRecipe recipe = options.words;
  recipe.columns = list_of(options.columns);
  recipe.dates = to_dates(options.dates);
  if (options.rate_hz > 0.0) {
    recipe.rate_hz = options.rate_hz;
  }
  recipe.settle_s = maybe("--settle", options.settle, Dimension::time);
  recipe.tolerance = maybe("--tolerance", options.tolerance, place);
  recipe.begin_s = maybe("--begin", options.begin, Dimension::time);
  add_pattern(recipe, options, place);
  recipe.continuous = options.continuous;
  recipe.bin = maybe("--bin", options.bin, place);
  recipe.rotating = options.rotating;
  recipe.time_constant_s = maybe("--time-constant", options.time_constant, Dimension::time);
  recipe.distance_constant_m =
      maybe("--distance-constant", options.distance_constant, Dimension::length);
  recipe.full_scale_m_s = maybe("--full-scale", options.full_scale, Dimension::speed);
  recipe.uncorrected = options.uncorrected;
  return recipe;
}

}  // namespace

void add_log_options(std::vector<Option>& list, LogOptions& o) {
  const auto add = [&list](const char* name,
                           OptionTarget into,
                           const char* what,
                           const char* value = "",
                           NumberRange range = {}) {
    list.push_back({name, into, what, value, Need::optional, range});
  };
  add("--columns",
      &o.columns,
      "Headings of a log without them, such as \"time [s],-,speed [m/s]\"",
      "LIST");
  add("--time-column", &o.words.time, "Heading of the time column", "NAME");
  add("--angle-column",
      &o.words.position,
      "Heading of the angle (or across) column",
      "NAME");
  add("--value-column", &o.words.value, "Heading of the speed (or scale) column", "NAME");
  add("--label-column", &o.words.label, "Heading of what the fan was doing, for a scale", "NAME");
  add("--time-unit", &o.words.time_unit, "Unit of the time where its heading has none", "UNIT");
  add("--angle-unit",
      &o.words.position_unit,
      "Unit of the angle where its heading has none",
      "UNIT");
  add("--motor-step",
      &o.motor_step,
      "Size of one step, for positions in steps of the motor",
      "ANGLE");
  add("--value-unit", &o.words.value_unit, "Unit of the value where its heading has none", "UNIT");
  add("--dates", &o.dates, "Order in dates such as 03/04/2025: day-first or month-first", "ORDER");
  add("--rate", &o.rate_hz, "Rows a second, for a log without times", "N", above_zero);
  add("--traverse", &o.traverse, "The probe slides across; positions are lengths");
  add("--settle", &o.settle, "Settling to drop; else found from the step response", "TIME");
  add("--tolerance", &o.tolerance, "Positions this near are one dwell; else 0.25 deg", "ANGLE");
  add("--start", &o.start, "Pattern: position of the first stop", "ANGLE");
  add("--step", &o.step, "Pattern: from stop to stop, signed", "ANGLE");
  add("--stops", &o.stops, "Pattern: number of stops, one way", "N", {2, 1000000});
  add("--dwell", &o.dwell, "Pattern: time at each stop, after settling", "TIME");
  add("--move", &o.move, "Pattern: time of the move from stop to stop", "TIME");
  add("--begin", &o.begin, "Log's time at the first stop; else found from the signal", "TIME");
  add("--there-and-back", &o.there_and_back, "Pattern: all stops again in reverse");
  add("--steps",
      &o.steps_file,
      "List of stops: steps.csv of `plan`, or a CSV with angle, time, dwell and settle",
      "FILE");
  add("--sweep", &o.sweep, "Which sweep of the list of stops this is", "NAME");
  add("--continuous", &o.continuous, "The fan turned without stopping");
  add("--bin", &o.bin, "Continuous: width of a reading; else 1.5 deg", "ANGLE");
  add("--time-constant", &o.time_constant, "Continuous: lag of the sensor; else found", "TIME");
  add("--distance-constant",
      &o.distance_constant,
      "Continuous: of a vane, instead of a time",
      "LENGTH");
  add("--rotating", &o.rotating, "Continuous: the lag to be found is a vane's");
  add("--starting-speed", &o.starting_speed, "Of the probe, for warnings", "SPEED");
  add("--full-scale", &o.full_scale, "Top of the probe's range, for warnings", "SPEED");
  add("--uncorrected", &o.uncorrected, "Report backlash and drift, but take none off");
  add("--scale", &o.scale, "The log is a balance's");
  add("--check-mass",
      &o.check_mass,
      "Scale: mass that hung where the thrust acts, not on the scale's pan, for `check` plateaus",
      "MASS");
  add("--sequence", &o.sequence, "Scale: what happened, such as off,check,off,1,2,off", "LIST");
  add("--lever-ratio",
      &o.lever_ratio,
      "Scale: force there over thrust, fan arm over scale arm; else 1",
      "N",
      above_zero);
  add("--resolution", &o.resolution, "Scale: its last digit, such as \"1 g\"", "MASS");
}

StepList steps_of(const LogOptions& options) {
  StepChoice choice;
  choice.sweep = options.sweep;
  choice.distance_m = maybe("--distance", options.distance, Dimension::length);
  choice.height_m = maybe("--height", options.height, Dimension::length);
  const Motion motion = options.traverse ? Motion::traverse : Motion::swivel;
  return chosen_steps(read_steps(options.steps_file, motion), choice, options.steps_file);
}

ReduceSettings to_reduce_settings(const LogOptions& options) {
  Survey survey;
  survey.rig.motion = options.traverse ? Motion::traverse : Motion::swivel;
  survey.rig.drive.step = maybe(
      "--motor-step", options.motor_step, options.traverse ? Dimension::length : Dimension::angle);
  LoggedSweep log;
  log.recipe = to_recipe(options);
  survey.probe.starting_speed_m_s =
      maybe("--starting-speed", options.starting_speed, Dimension::speed).value_or(0.0);
  ReduceSettings settings = reduce_settings(survey, log);
  settings.format.kind = options.scale ? LogKind::force : LogKind::speed;
  if (!options.steps_file.empty()) {
    if (settings.pattern) {
      throw InputError("give either --steps or a pattern (--start, --step, ...), not both");
    }
    settings.dwells.stops = steps_of(options).stops;
  }
  return settings;
}

ScaleOptions to_scale_options(const LogOptions& options) {
  ScaleOptions scale;
  scale.check_mass_n = maybe("--check-mass", options.check_mass, Dimension::force).value_or(0.0);
  scale.resolution_n = maybe("--resolution", options.resolution, Dimension::force).value_or(0.0);
  if (options.lever_ratio > 0.0) {
    scale.stated_ratio = options.lever_ratio;
  }
  scale.settle_s = maybe("--settle", options.settle, Dimension::time);
  scale.sequence = list_of(options.sequence);
  return scale;
}

}  // namespace sweepflux::tool
