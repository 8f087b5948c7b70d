#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/sweep_file_private.hpp"

#include <string>
#include <utility>

namespace sweepflux {

std::vector<ColumnWish> SweepFile::wishes() const {
  using Kind = ColumnWish::Kind;
  const bool swivels = rig_.motion == Motion::swivel;
  std::vector<ColumnWish> list;
  const auto stated = [](const auto& words, const char* role) {
    const auto found = words.find(role);
    return found == words.end() ? std::string() : found->second;
  };
  const auto wish = [&](const char* role, Kind kind, bool required) {
    ColumnWish one;
    one.role = role;
    one.kind = kind;
    one.required = required;
    one.heading = stated(request_.columns.headings, role);
    one.unit = stated(request_.columns.units, role);
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
  list.back().date_heading = stated(request_.columns.headings, "date");
  return list;
}

ScaledColumn SweepFile::scaled(std::string_view role, Dimension dimension) {
  ScaledColumn result;
  const TableColumn* const column = result.column = table_.find(role);
  if (column == nullptr || column->is_clock ||
      (dimension == Dimension::none && column->unit.empty())) {
    return result;
  }
  const Spot spot{request_.file, column->heading.line, column->heading.column};
  const std::string name = "column " + in_backticks(column->heading.text);
  if (is_step_unit(column->unit)) {
    const bool is_angle = dimension == Dimension::angle;
    const std::optional<double> size = is_angle ? steps_.angle_rad : steps_.length_m;
    if (size && (is_angle || dimension == Dimension::length)) {
      result.factor = *size;
    } else {
      findings_.add(
          spot,
          name + " is in steps; say under [rig] " +
              (is_angle ? "steps_per_revolution (and gear_ratio), or step_angle" : "step_length"));
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
  const auto need = [&](bool stated, const std::string& key, const char* value) {
    if (!stated) {
      missing += (missing.empty() ? "" : " and no ") + key;
      example += (example.empty() ? "" : ", ") + key + " = \"" + value + "\"";
    }
  };
  need(request_.distance_m || distance_.is_there(), "distance", "1.5 m");
  need(request_.height_m || height_.is_there(), "height", "0.92 m");
  if (!missing.empty()) {
    findings_.add(request_.spot,
                  "sweep " + in_backticks(request_.file_text) + " has no " + missing +
                      "; write it here (" + example + "), or give the file such a column");
  }
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
    // The file's name is the survey's fault.
    findings_.add(request_.file_spot,
                  in_backticks(request_.file_text) + " " + table_.faults.front().text +
                      did_you_mean_file(request_.file));
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
