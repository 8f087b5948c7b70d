#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <array>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

// As for the columns of a sweep: farther off, the unit is wrong.
constexpr Bounds near_enough{0.0, 1000.0, false, "> 0 and up to 1000 m"};
constexpr Bounds low_enough{-1000.0, 1000.0, true, "within 1000 m"};

const std::array<std::string, 12> roles = {"angle",
                                           "across",
                                           "speed",
                                           "spread",
                                           "samples",
                                           "standard_error",
                                           "dwell",
                                           "time",
                                           "date",
                                           "distance",
                                           "height",
                                           "sweep"};

void read_units(TomlView view, const SectionOptions& options, ColumnNames& names) {
  for (const std::string& role : roles) {
    const std::optional<std::string> unit = view.text(role);
    if (!unit) {
      continue;
    }
    if (find_unit(*unit) || is_step_unit(*unit)) {
      names.units.insert_or_assign(role, *unit);
    } else {
      view.fault(role, view.name() + "." + role + " is the unknown unit " + in_backticks(*unit));
    }
  }
  view.finish(options.unknown_keys_are_errors);
}

}  // namespace

ColumnNames read_columns(TomlView view, const SectionOptions& options, ColumnNames names) {
  const std::array<std::string, 2> orders = {"day-first", "month-first"};
  for (const std::string& role : roles) {
    if (std::optional<std::string> heading = view.text(role)) {
      if (trimmed(*heading).empty()) {
        view.fault(role, view.name() + "." + role + " is empty, must be a heading of the file");
      } else {
        names.headings.insert_or_assign(role, std::move(*heading));
      }
    }
  }
  if (const std::optional<std::size_t> order = view.choice("date_order", orders)) {
    names.date_order = *order == 0 ? DateOrder::day_first : DateOrder::month_first;
  }
  if (view.has("missing")) {
    names.missing_words = view.texts("missing");
  } else {
    (void)view.texts("missing");
  }
  read_units(view.section("units"), options, names);
  view.finish(options.unknown_keys_are_errors);
  return names;
}

namespace {

/// What [columns] says, where [log] does not.
LogRecipe with_columns(LogRecipe recipe, const ColumnNames& names, Motion motion) {
  const char* const place = motion == Motion::swivel ? "angle" : "across";
  const auto fill = [](std::string& into, const auto& from, std::string_view role) {
    if (const auto found = from.find(role); into.empty() && found != from.end()) {
      into = found->second;
    }
  };
  fill(recipe.time_column, names.headings, "time");
  fill(recipe.position_column, names.headings, place);
  fill(recipe.value_column, names.headings, "speed");
  fill(recipe.time_unit, names.units, "time");
  fill(recipe.position_unit, names.units, place);
  fill(recipe.value_unit, names.units, "speed");
  if (recipe.dates == DateOrder::unknown) {
    recipe.dates = names.date_order;
  }
  return recipe;
}

/// The path beside the survey, or nothing when the text can be none; then that is reported.
std::optional<std::filesystem::path> path_of(TomlView& view,
                                             const char* key,
                                             const std::string& text,
                                             const std::filesystem::path& folder) {
  if (text.empty()) {
    if (view.has(key)) {
      view.fault(key, view.name() + "." + key + " must name a CSV file");
    }
    return std::nullopt;
  }
  if (text.find('\0') != std::string::npos) {
    view.fault(key, view.name() + "." + key + " holds a NUL character, no file is called so");
    return std::nullopt;
  }
  return folder / std::filesystem::path(text);
}

}  // namespace

SweepDefaults read_sweep_defaults(TomlView& root,
                                  const SectionOptions& options,
                                  const std::filesystem::path& folder,
                                  Motion motion) {
  SweepDefaults common;
  common.columns = read_columns(root.section("columns"), options, {});
  TomlView log_section = root.section("log");
  common.log = read_log_recipe(log_section, folder, motion, {});
  log_section.finish(options.unknown_keys_are_errors);
  return common;
}

std::vector<SweepRequest> read_sweep_requests(TomlView& above,
                                              const SectionOptions& options,
                                              const std::filesystem::path& folder,
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
    if (is_log) {
      request.columns = read_columns(view.section("columns"), options, common.columns);
      request.log =
          with_columns(read_log_recipe(view, folder, motion, common.log), request.columns, motion);
    } else {
      request.label = view.text("sweep");
      request.columns = read_columns(view.section("columns"), options, common.columns);
    }
    view.finish(options.unknown_keys_are_errors);
    if (std::optional<std::filesystem::path> path = path_of(view, key, request.file_text, folder)) {
      request.file = std::move(*path);
      requests.push_back(std::move(request));
    }
  }
  return requests;
}

}  // namespace sweepflux
