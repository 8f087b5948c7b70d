#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <array>
#include <cmath>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

// As for the columns of a sweep: farther off, the unit is wrong.
constexpr Bounds near_enough{0.0, 1000.0, false, "> 0 and up to 1000 m"};
constexpr Bounds low_enough{-1000.0, 1000.0, true, "within 1000 m"};

constexpr double most_stops = 1e6;

template <typename Value>
void lay_over(std::optional<Value>& value, std::optional<Value> stated) {
  if (stated) {
    value = std::move(stated);
  }
}

constexpr std::string_view roles =
    "angle|across|speed|spread|samples|standard_error|dwell|time|date|distance|height|sweep";

void read_units(TomlView view, ColumnNames& names) {
  for (const std::string_view name : parts_of(roles, '|')) {
    const std::string role(name);
    const std::optional<std::string> unit = view.text(role);
    if (unit && (find_unit(*unit) || is_step_unit(*unit))) {
      names.units.insert_or_assign(role, *unit);
    } else if (unit) {
      view.fault(role, view.name() + "." + role + " is the unknown unit " + in_backticks(*unit));
    }
  }
  view.finish();
}

ColumnNames read_columns(TomlView view, ColumnNames names) {
  for (const std::string_view name : parts_of(roles, '|')) {
    const std::string role(name);
    if (std::optional<std::string> heading = view.text(role)) {
      if (trimmed(*heading).empty()) {
        view.fault(role, view.name() + "." + role + " is empty, must be a heading of the file");
      } else {
        names.headings.insert_or_assign(role, std::move(*heading));
      }
    }
  }
  read_date_order(view, "date_order", names.date_order);
  std::vector<std::string> missing = view.texts("missing");
  if (view.has("missing")) {
    names.missing_words = std::move(missing);
  }
  read_units(view.section("units"), names);
  view.finish();
  return names;
}

/// What [columns] says, where [log] does not.
LogRecipe with_columns(LogRecipe recipe, const ColumnNames& names, Motion motion) {
  const char* const place = motion == Motion::swivel ? "angle" : "across";
  const auto fill = [](std::string& into, const auto& from, std::string_view role) {
    if (const auto found = from.find(role); into.empty() && found != from.end()) {
      into = found->second;
    }
  };
  fill(recipe.time, names.headings, "time");
  fill(recipe.position, names.headings, place);
  fill(recipe.value, names.headings, "speed");
  fill(recipe.time_unit, names.units, "time");
  fill(recipe.position_unit, names.units, place);
  fill(recipe.value_unit, names.units, "speed");
  if (recipe.dates == DateOrder::found) {
    recipe.dates = names.date_order;
  }
  return recipe;
}

/// What is wrong with the name of a file, or nothing.
std::string name_fault(const std::string& name) {
  return name.empty()                           ? " must name a CSV file"
         : name.find('\0') != std::string::npos ? " holds a NUL character, no file is called so"
                                                : "";
}

}  // namespace

void read_words(TomlView& view, const WordKeys& keys, LogWords& words) {
  for (const auto& [key, into] : keys) {
    if (std::optional<std::string> text = view.text(key)) {
      words.*into = std::move(*text);
    }
  }
}

void read_date_order(TomlView& view, const char* key, DateOrder& order) {
  const std::array<std::string, 2> orders = {"day-first", "month-first"};
  if (const std::optional<std::size_t> stated = view.choice(key, orders)) {
    order = *stated == 0 ? DateOrder::day_first : DateOrder::month_first;
  }
}

LogRecipe read_log_recipe(TomlView& view, Motion motion, LogRecipe recipe) {
  const Dimension place = motion == Motion::swivel ? Dimension::angle : Dimension::length;
  const std::string place_name = motion == Motion::swivel ? "angle" : "across";
  if (view.has("columns")) {
    recipe.columns = view.texts("columns");
  }
  read_words(view,
             {{"time_column", &LogWords::time},
              {place_name + "_column", &LogWords::position},
              {"value_column", &LogWords::value},
              {"time_unit", &LogWords::time_unit},
              {place_name + "_unit", &LogWords::position_unit},
              {"value_unit", &LogWords::value_unit}},
             recipe);
  read_date_order(view, "dates", recipe.dates);
  lay_over(recipe.rate_hz, view.number("rate", above_zero));
  lay_over(recipe.settle_s, view.quantity("settle", Dimension::time, zero_or_more));
  lay_over(recipe.tolerance, view.quantity("tolerance", place, above_zero));
  lay_over(recipe.start, view.quantity("start", place, any_value));
  lay_over(recipe.step, view.quantity("step", place, any_value));
  if (view.has("step") && recipe.step == 0.0) {
    view.fault("step", view.name() + ".step is 0, must lead to another place; its sign counts");
  }
  constexpr Bounds two_or_more{2.0, most_stops, true, "from 2 to 1000000"};
  if (const std::optional<double> stops = view.number("stops", two_or_more)) {
    if (*stops != std::floor(*stops)) {
      view.fault("stops", view.name() + ".stops must be a whole number");
    }
    recipe.stops = static_cast<std::size_t>(*stops);
  }
  lay_over(recipe.dwell_s, view.quantity("dwell", Dimension::time, above_zero));
  lay_over(recipe.move_s, view.quantity("move", Dimension::time, zero_or_more));
  lay_over(recipe.begin_s, view.quantity("begin", Dimension::time, any_value));
  lay_over(recipe.there_and_back, view.boolean("there_and_back"));
  if (const std::optional<std::string> steps = view.text("steps")) {
    recipe.steps_file = view.beside(*steps);
  }
  if (std::optional<std::string> which = view.text("steps_sweep")) {
    recipe.steps_sweep = std::move(*which);
  }
  lay_over(recipe.continuous, view.boolean("continuous"));
  lay_over(recipe.bin, view.quantity("bin", place, above_zero));
  lay_over(recipe.time_constant_s, view.quantity("time_constant", Dimension::time, zero_or_more));
  lay_over(recipe.distance_constant_m,
           view.quantity("distance_constant", Dimension::length, zero_or_more));
  lay_over(recipe.rotating, view.boolean("rotating"));
  lay_over(recipe.full_scale_m_s, view.quantity("full_scale", Dimension::speed, above_zero));
  lay_over(recipe.uncorrected, view.boolean("uncorrected"));
  return recipe;
}

void check_log_recipe(const LogRecipe& recipe, const Spot& spot, Findings& findings) {
  std::string missing;
  bool any = false;
  for (const auto& [key, stated] : {std::pair("start", recipe.start.has_value()),
                                    std::pair("step", recipe.step.has_value()),
                                    std::pair("stops", recipe.stops.has_value()),
                                    std::pair("dwell", recipe.dwell_s.has_value())}) {
    any = any || stated;
    missing += stated ? "" : (missing.empty() ? "" : ", ") + std::string(key);
  }
  if (any && !missing.empty()) {
    findings.add(spot,
                 "a regular sweep needs start, step, stops and dwell together, here or under "
                 "[log]; missing: " +
                     missing);
  }
  if (any && !recipe.steps_file.empty()) {
    findings.add(spot,
                 "give either steps or a regular sweep (start, step, stops, dwell), not both");
  }
  if (recipe.time_constant_s && recipe.distance_constant_m) {
    findings.add(spot, "give either time_constant or distance_constant, not both");
  }
}

SweepDefaults read_sweep_defaults(TomlView& root, Motion motion) {
  SweepDefaults common;
  common.columns = read_columns(root.section("columns"), {});
  TomlView log_section = root.section("log");
  common.log = read_log_recipe(log_section, motion, {});
  log_section.finish();
  return common;
}

std::vector<SweepRequest> read_sweep_requests(TomlView& above,
                                              Motion motion,
                                              const SweepDefaults& common) {
  std::vector<SweepRequest> requests;
  for (TomlView& view : above.sections("sweep")) {
    SweepRequest request;
    const bool is_log = view.has("log");
    const char* const key = is_log ? "log" : "file";
    request.spot = view.spot();
    request.file_spot = view.spot(key);
    if (is_log && view.has("file")) {
      view.fault("file", view.name() + " names both a file and a log; take one of them out");
    }
    const std::string file_text = view.text("file").value_or("");
    const std::string log_text = view.text("log").value_or("");
    if (!is_log) {
      view.require("file");
    }
    request.file_text = is_log ? log_text : file_text;
    request.distance_m = view.quantity("distance", Dimension::length, near_enough);
    request.height_m = view.quantity("height", Dimension::length, low_enough);
    if (!is_log) {
      request.label = view.text("sweep");
    }
    request.columns = read_columns(view.section("columns"), common.columns);
    if (is_log) {
      request.log =
          with_columns(read_log_recipe(view, motion, common.log), request.columns, motion);
    }
    view.finish();
    const std::string fault = name_fault(request.file_text);
    if (fault.empty()) {
      request.file = view.beside(request.file_text);
      requests.push_back(std::move(request));
    } else if (view.has(key)) {
      view.fault(key, view.name() + "." + key + fault);
    }
  }
  return requests;
}

}  // namespace sweepflux
