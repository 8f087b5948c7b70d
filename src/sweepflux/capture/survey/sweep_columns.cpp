#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/sweep_reader_private.hpp"

#include <filesystem>
#include <string>
#include <system_error>
#include <utility>

namespace sweepflux {

std::vector<ColumnWish> SweepFile::wishes() const {
  using Kind = ColumnWish::Kind;
  const bool swivels = rig_.motion == Motion::swivel;
  std::vector<ColumnWish> list;
  const auto wish = [&](const char* role, Kind kind, bool required) {
    ColumnWish one;
    one.role = role;
    one.kind = kind;
    one.required = required;
    if (const auto heading = request_.columns.headings.find(role);
        heading != request_.columns.headings.end()) {
      one.heading = heading->second;
    }
    if (const auto unit = request_.columns.units.find(role); unit != request_.columns.units.end()) {
      one.unit = unit->second;
    }
    list.push_back(std::move(one));
  };
  wish(swivels ? "angle" : "across", Kind::number, true);
  wish("speed", Kind::number, true);
  for (const char* const role :
       {"spread", "standard_error", "samples", "dwell", "distance", "height"}) {
    wish(role, Kind::number, false);
  }
  wish("sweep", Kind::label, request_.label.has_value());
  wish("time", Kind::moment, false);
  if (const auto date = request_.columns.headings.find("date");
      date != request_.columns.headings.end()) {
    list.back().date_heading = date->second;
  }
  return list;
}

ScaledColumn SweepFile::scaled(std::string_view role, Dimension dimension) {
  ScaledColumn result;
  const TableColumn* const column = table_.find(role);
  if (column == nullptr) {
    return result;
  }
  result.column = column;
  const Spot spot{request_.file, column->heading.line, column->heading.column};
  const std::string name = "column " + in_backticks(column->heading.text);
  if (column->is_clock || (dimension == Dimension::none && column->unit.empty())) {
    return result;
  }
  if (is_step_unit(column->unit)) {
    const std::optional<double> size =
        dimension == Dimension::angle ? steps_.angle_rad : steps_.length_m;
    if (size && (dimension == Dimension::angle || dimension == Dimension::length)) {
      result.factor = *size;
    } else {
      findings_.add(spot,
                    name + " is in steps; say under [rig] " +
                        (dimension == Dimension::angle
                             ? "steps_per_revolution (and gear_ratio), or step_angle"
                             : "step_length"));
    }
    return result;
  }
  const std::optional<UnitScale> unit = find_unit(column->unit);
  const Dimension wanted = dimension == Dimension::none ? Dimension::ratio : dimension;
  if (unit && unit->dimension == wanted) {
    result.factor = unit->factor;
    result.offset = unit->offset;
    return result;
  }
  const std::string problem = column->unit.empty() ? " has no unit"
                              : unit ? " is " + std::string(describe(unit->dimension)) +
                                           ", must be " + std::string(describe(wanted))
                                     : " has the unknown unit " + in_backticks(column->unit);
  findings_.add(spot,
                name + problem + "; write it into the heading, as " + std::string(role) +
                    " [unit], or under [columns.units]; allowed: " + accepted_units(wanted));
  return result;
}

/// Distance and height must come from somewhere.
void SweepFile::need_place() {
  std::string missing;
  std::string example;
  if (!request_.distance_m && !distance_.is_there()) {
    missing = "distance";
    example = "distance = \"1.5 m\"";
  }
  if (!request_.height_m && !height_.is_there()) {
    missing += missing.empty() ? "height" : " and no height";
    example += std::string(example.empty() ? "" : ", ") + "height = \"0.92 m\"";
  }
  if (!missing.empty()) {
    findings_.add(request_.spot,
                  "sweep " + in_backticks(request_.file_text) + " has no " + missing +
                      "; write it here (" + example + "), or give the file such a column");
  }
}

/// The file's name is the survey's fault.
void SweepFile::report_unreadable(const std::string& why) {
  std::vector<std::string> names;
  std::error_code failed;
  constexpr std::size_t enough = 1000;
  for (std::filesystem::directory_iterator entry(request_.file.parent_path(), failed), end;
       !failed && entry != end && names.size() < enough;
       entry.increment(failed)) {
    names.push_back(entry->path().filename().string());
  }
  const std::string name = request_.file.filename().string();
  const bool is_there = std::filesystem::exists(request_.file, failed);
  findings_.add(
      request_.file_spot,
      in_backticks(request_.file_text) + " " + why + (is_there ? "" : did_you_mean(name, names)));
}

/// False when something is wrong with the file as a whole.
bool SweepFile::read_columns() {
  TableOptions options;
  options.missing_words = request_.columns.missing_words;
  options.date_order = request_.columns.date_order;
  table_ = read_table(request_.file, wishes(), options);
  remarks_.insert(remarks_.end(), table_.remarks.begin(), table_.remarks.end());
  const std::size_t findings_before = findings_.count();
  if (!table_.opened) {
    report_unreadable(table_.faults.front().text);
    return false;
  }
  for (Finding& fault : table_.faults) {
    findings_.add(std::move(fault.spot), std::move(fault.text));
  }
  const bool swivels = rig_.motion == Motion::swivel;
  const char* const other = swivels ? "across" : "angle";
  if (table_.find(swivels ? "angle" : "across") == nullptr &&
      find_heading(table_.headings, other).size() == 1) {
    findings_.add({request_.file, table_.headings.front().line, 0},
                  std::string("there is a column `") + other + "`; is motion = \"" +
                      (swivels ? "traverse" : "swivel") + "\" meant under [rig]?");
  }
  if (findings_.count() > findings_before) {
    return false;
  }
  position_ = swivels ? scaled("angle", Dimension::angle) : scaled("across", Dimension::length);
  speed_ = scaled("speed", Dimension::speed);
  spread_ = scaled("spread", Dimension::speed);
  standard_error_ = scaled("standard_error", Dimension::speed);
  samples_ = scaled("samples", Dimension::none);
  dwell_ = scaled("dwell", Dimension::time);
  time_ = scaled("time", Dimension::time);
  distance_ = scaled("distance", Dimension::length);
  height_ = scaled("height", Dimension::length);
  label_ = table_.find("sweep");
  need_place();
  return findings_.count() == findings_before;
}

}  // namespace sweepflux
