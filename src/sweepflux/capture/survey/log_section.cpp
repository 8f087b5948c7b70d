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

/// A pattern is all of these or none.
constexpr std::array<const char*, 4> pattern_keys = {"start", "step", "stops", "dwell"};

}  // namespace

LogRecipe read_log_recipe(TomlView& view,
                          const std::filesystem::path& folder,
                          Motion motion,
                          LogRecipe recipe) {
  const Dimension place = motion == Motion::swivel ? Dimension::angle : Dimension::length;
  const std::string place_name = motion == Motion::swivel ? "angle" : "across";
  const auto word = [&view](std::string& into, const std::string& key) {
    if (std::optional<std::string> text = view.text(key)) {
      into = std::move(*text);
    }
  };
  if (view.has("columns")) {
    recipe.columns = view.texts("columns");
  }
  word(recipe.time_column, "time_column");
  word(recipe.position_column, place_name + "_column");
  word(recipe.value_column, "value_column");
  word(recipe.time_unit, "time_unit");
  word(recipe.position_unit, place_name + "_unit");
  word(recipe.value_unit, "value_unit");
  const std::array<std::string, 2> orders = {"day-first", "month-first"};
  if (const std::optional<std::size_t> order = view.choice("dates", orders)) {
    recipe.dates = *order == 0 ? DateOrder::day_first : DateOrder::month_first;
  }
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
    recipe.steps_file = folder / std::filesystem::path(*steps);
  }
  word(recipe.steps_sweep, "steps_sweep");
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
  const std::array<bool, 4> stated = {recipe.start.has_value(),
                                      recipe.step.has_value(),
                                      recipe.stops.has_value(),
                                      recipe.dwell_s.has_value()};
  std::string missing;
  bool any = false;
  for (std::size_t i = 0; i < stated.size(); ++i) {
    any = any || stated[i];
    if (!stated[i]) {
      missing += std::string(missing.empty() ? "" : ", ") + pattern_keys[i];
    }
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
