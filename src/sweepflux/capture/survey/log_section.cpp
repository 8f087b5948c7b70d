#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <array>
#include <cmath>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

constexpr double most_stops = 1e6;

template <typename Value>
void lay_over(std::optional<Value>& value, std::optional<Value> stated) {
  if (stated) {
    value = std::move(stated);
  }
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
  if (std::optional<std::string> sweep = view.text("steps_sweep")) {
    recipe.steps_sweep = std::move(*sweep);
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

}  // namespace sweepflux
