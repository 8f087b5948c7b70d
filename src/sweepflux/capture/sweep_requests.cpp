#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey_sections_private.hpp"

#include <array>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

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

std::vector<SweepRequest> read_sweep_requests(TomlView& root,
                                              const SectionOptions& options,
                                              const std::filesystem::path& folder) {
  const ColumnNames common = read_columns(root.section("columns"), options, {});
  std::vector<SweepRequest> requests;
  for (TomlView& view : root.sections("sweep")) {
    SweepRequest request;
    request.spot = view.spot();
    request.file_spot = view.spot("file");
    view.require("file");
    request.file_text = view.text("file").value_or("");
    request.distance_m = view.quantity("distance", Dimension::length, above_zero);
    request.height_m = view.quantity("height", Dimension::length, any_value);
    request.label = view.text("sweep");
    request.columns = read_columns(view.section("columns"), options, common);
    view.finish(options.unknown_keys_are_errors);
    if (request.file_text.empty()) {
      if (view.has("file")) {
        view.fault("file", view.name() + ".file must name a CSV file");
      }
      continue;
    }
    if (request.file_text.find('\0') != std::string::npos) {
      view.fault("file", view.name() + ".file holds a NUL character, no file is called so");
      continue;
    }
    request.file = folder / std::filesystem::path(request.file_text);
    requests.push_back(std::move(request));
  }
  return requests;
}

}  // namespace sweepflux
