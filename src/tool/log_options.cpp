#include "tool/log_options.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <string_view>
#include <vector>

namespace sweepflux::tool {
namespace {

std::optional<double> maybe(const char* option, const std::string& text, Dimension dimension) {
  return text.empty() ? std::nullopt : std::optional(quantity_of(option, text, dimension));
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

LogFormat to_format(const LogOptions& options) {
  LogFormat format;
  format.kind = options.scale ? LogKind::force : LogKind::speed;
  format.motion = options.traverse ? Motion::traverse : Motion::swivel;
  for (std::size_t from = 0; from < options.columns.size();) {
    const std::size_t to = std::min(options.columns.find(',', from), options.columns.size());
    format.columns.push_back(options.columns.substr(from, to - from));
    from = to + 1;
  }
  format.time = options.time_column;
  format.position = options.position_column;
  format.value = options.value_column;
  format.label = options.label_column;
  format.time_unit = options.time_unit;
  format.position_unit = options.position_unit;
  format.value_unit = options.value_unit;
  format.motor_step = maybe(
      "--motor-step", options.motor_step, options.traverse ? Dimension::length : Dimension::angle);
  format.dates = to_dates(options.dates);
  if (options.rate_hz > 0.0) {
    format.rate_hz = options.rate_hz;
  }
  return format;
}

std::optional<StepPattern> to_pattern(const LogOptions& options, Dimension place) {
  const bool any = !options.start.empty() || !options.step.empty() || !options.dwell.empty();
  if (!any) {
    return std::nullopt;
  }
  if (options.start.empty() || options.step.empty() || options.dwell.empty() || options.stops < 2) {
    throw InputError("a pattern needs --start, --step, --stops and --dwell together");
  }
  StepPattern pattern;
  pattern.start = quantity_of("--start", options.start, place);
  pattern.step = quantity_of("--step", options.step, place);
  pattern.stops = static_cast<std::size_t>(options.stops);
  pattern.dwell_s = quantity_of("--dwell", options.dwell, Dimension::time);
  pattern.settle_s = maybe("--settle", options.settle, Dimension::time).value_or(0.0);
  pattern.move_s = maybe("--move", options.move, Dimension::time).value_or(0.0);
  pattern.there_and_back = options.there_and_back;
  return pattern;
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
  add("--time-column", &o.time_column, "Heading of the time column", "NAME");
  add("--angle-column", &o.position_column, "Heading of the angle (or across) column", "NAME");
  add("--value-column", &o.value_column, "Heading of the speed (or scale) column", "NAME");
  add("--label-column", &o.label_column, "Heading of what the fan was doing, for a scale", "NAME");
  add("--time-unit", &o.time_unit, "Unit of the time where its heading has none", "UNIT");
  add("--angle-unit", &o.position_unit, "Unit of the angle where its heading has none", "UNIT");
  add("--motor-step",
      &o.motor_step,
      "Size of one step, for positions in steps of the motor",
      "ANGLE");
  add("--value-unit", &o.value_unit, "Unit of the value where its heading has none", "UNIT");
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
  const Dimension place = options.traverse ? Dimension::length : Dimension::angle;
  ReduceSettings settings;
  settings.format = to_format(options);
  settings.dwells.motion = settings.format.motion;
  settings.dwells.settle_s = maybe("--settle", options.settle, Dimension::time);
  settings.dwells.position_tolerance = maybe("--tolerance", options.tolerance, place).value_or(0.0);
  settings.dwells.begin_s = maybe("--begin", options.begin, Dimension::time);
  settings.pattern = to_pattern(options, place);
  if (settings.pattern && settings.dwells.settle_s) {
    settings.dwells.settle_s = settings.pattern->move_s + *settings.dwells.settle_s;
  }
  if (!options.steps_file.empty()) {
    if (settings.pattern) {
      throw InputError("give either --steps or a pattern (--start, --step, ...), not both");
    }
    settings.dwells.stops = steps_of(options).stops;
  }
  settings.continuous = options.continuous;
  settings.continuous_options.motion = settings.format.motion;
  settings.continuous_options.bin = maybe("--bin", options.bin, place).value_or(0.0);
  settings.continuous_options.rotating = options.rotating;
  settings.continuous_options.lag.time_constant_s =
      maybe("--time-constant", options.time_constant, Dimension::time);
  settings.continuous_options.lag.distance_constant_m =
      maybe("--distance-constant", options.distance_constant, Dimension::length);
  settings.starting_speed_m_s =
      maybe("--starting-speed", options.starting_speed, Dimension::speed).value_or(0.0);
  settings.full_scale_m_s =
      maybe("--full-scale", options.full_scale, Dimension::speed).value_or(0.0);
  settings.correct = !options.uncorrected;
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
  std::string_view rest = options.sequence;
  while (!rest.empty()) {
    const std::size_t comma = std::min(rest.find(','), rest.size());
    scale.sequence.emplace_back(rest.substr(0, comma));
    rest.remove_prefix(std::min(comma + 1, rest.size()));
  }
  return scale;
}

}  // namespace sweepflux::tool
