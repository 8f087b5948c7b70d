#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/sweep_file_private.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <set>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t most_faults_a_kind = 3;
constexpr double turn = 2.0 * std::numbers::pi;
constexpr double farthest_turn_rad = 10.0 * turn;
constexpr double farthest_m = 1000.0;

constexpr std::size_t nowhere = std::numeric_limits<std::size_t>::max();
constexpr double rounding = 1e-9;  // [rad] of a heading in degrees turned into radians

}  // namespace

const WordyCell* SweepFile::word_at(std::size_t row, const TableColumn* column) const {
  const auto index = static_cast<std::size_t>(column - table_.columns.data());
  const auto first = std::lower_bound(
      table_.wordy.begin(),
      table_.wordy.end(),
      std::pair(row, index),
      [](const WordyCell& cell, const std::pair<std::size_t, std::size_t>& wanted) {
        return std::pair(cell.row, cell.column) < wanted;
      });
  const bool found = first != table_.wordy.end() && first->row == row && first->column == index;
  return found ? &*first : nullptr;
}

void SweepFile::leave_out(std::size_t row, const ScaledColumn& column) {
  const WordyCell* const cell = word_at(row, column.column);
  LeftOut left;
  left.line = table_.lines[row];
  left.reason = column.column->role + ": " +
                (cell == nullptr ? "no value" : describe_word(cell->word, cell->text));
  left.over_range =
      cell != nullptr && cell->word == CellWord::over_range && column.column == speed_.column;
  const auto distance_m = distance_.is_there() ? distance_.maybe(row) : request_.distance_m;
  const auto height_m = height_.is_there() ? height_.maybe(row) : request_.height_m;
  if (distance_m && height_m) {
    sweep_for(row, *distance_m, *height_m).sweep.left_out.push_back(std::move(left));
  } else {
    homeless_.push_back(std::move(left));
  }
}

bool SweepFile::check(std::size_t row,
                      const ScaledColumn& column,
                      bool good,
                      std::string_view must_be) {
  if (!good && column.is_there() && ++faults_a_kind_[column.column->role] <= most_faults_a_kind) {
    findings_.add({request_.file, table_.lines[row], column.column->byte_columns[row]},
                  column.column->role + " is `" + format_number(column.column->values[row], 12) +
                      "`, must be " + std::string(must_be));
  }
  return good;
}

/// A column beside a value in the survey must say the same.
bool SweepFile::agrees(std::size_t row,
                       const ScaledColumn& column,
                       const std::optional<double>& stated) {
  if (!stated || !column.is_there()) {
    return true;
  }
  constexpr double tolerance_m = 5e-4;
  return check(row,
               column,
               std::abs(column.value(row) - *stated) <= tolerance_m,
               "the " + column.column->role + " that the survey states for this file (" +
                   format_number(*stated, 6) + " m); keep one of them");
}

NamedSweep& SweepFile::sweep_for(std::size_t row, double distance_m, double height_m) {
  const auto tenths = [](double m) {
    return std::llround(std::clamp(m, -farthest_m, farthest_m) * 1e4);
  };
  SweepKey key{table_.segments[row],
               label_ == nullptr ? std::string() : label_->labels[row],
               tenths(distance_m),
               tenths(height_m)};
  const auto [place, is_new] = places_.emplace(key, sweeps_.size());
  if (is_new) {
    Sweep& fresh = sweeps_.emplace_back().sweep;
    fresh.file = request_.file;
    fresh.distance_m = distance_m;
    fresh.height_m = height_m;
    fresh.speed_unit = speed_.column->unit;
    fresh.position_unit = position_.column->unit;
    keys_.push_back(std::move(key));
  }
  sweep_of_row_[row] = place->second;
  return sweeps_[place->second];
}

void SweepFile::take_row(std::size_t row) {
  if (label_ != nullptr && request_.label && label_->labels[row] != *request_.label) {
    labels_seen_.insert(label_->labels[row]);
    return;
  }
  for (const ScaledColumn* const column : {&position_, &speed_, &distance_, &height_}) {
    if (column->is_there() && std::isnan(column->column->values[row])) {
      leave_out(row, *column);
      return;
    }
  }
  const bool swivels = rig_.motion == Motion::swivel;
  const double reach = swivels ? farthest_turn_rad : farthest_m;
  Reading reading;
  reading.line = table_.lines[row];
  reading.position = position_.value(row);
  reading.speed_m_s = speed_.value(row);
  reading.spread_m_s = spread_.maybe(row);
  reading.standard_error_m_s = standard_error_.maybe(row);
  reading.samples = samples_.maybe(row);
  reading.dwell_s = dwell_.maybe(row);
  reading.time_s = time_.maybe(row);
  bool good = check(row,
                    position_,
                    std::abs(reading.position) <= reach,
                    swivels ? "within ten turns" : "within 1000 m");
  if (std::abs(reading.speed_m_s) > fastest_wind_m_s) {
    const double in_feet = speed_.column->values[row] * find_unit("ft/min")->factor;
    good &= check(row,
                  speed_,
                  false,
                  "a wind speed below 150 m/s; is the unit right? In ft/min it would be " +
                      format_number(in_feet, 3) +
                      " m/s. A number that stands for no value goes to missing = [...] under "
                      "[columns]");
  }
  good &= check(row, spread_, reading.spread_m_s.value_or(0.0) >= 0.0, ">= 0");
  good &= check(row, standard_error_, reading.standard_error_m_s.value_or(0.0) >= 0.0, ">= 0");
  good &= check(row, samples_, reading.samples.value_or(1.0) >= 1.0, ">= 1");
  good &= check(row, dwell_, reading.dwell_s.value_or(1.0) >= 0.0, ">= 0");
  const double distance_m = distance_.maybe(row).value_or(request_.distance_m.value_or(0.0));
  const double height_m = height_.maybe(row).value_or(request_.height_m.value_or(0.0));
  good &= check(row,
                distance_,
                !distance_.is_there() || (distance_m > 0 && distance_m <= farthest_m),
                "> 0 and up to 1000 m");
  good &=
      check(row, height_, !height_.is_there() || std::abs(height_m) <= farthest_m, "within 1000 m");
  good = good && agrees(row, distance_, request_.distance_m) &&
         agrees(row, height_, request_.height_m);
  if (good) {
    sweep_for(row, distance_m, height_m).sweep.readings.push_back(reading);
  }
}

/// Rows that could not be read at all belong to the sweep of the row before them.
void SweepFile::place_dropped_rows() {
  std::vector<LeftOut> rest = std::move(homeless_);
  rest.insert(rest.end(), table_.dropped.begin(), table_.dropped.end());
  for (LeftOut& left : rest) {
    const auto behind = std::lower_bound(table_.lines.begin(), table_.lines.end(), left.line);
    std::size_t place = 0;
    if (behind != table_.lines.begin()) {
      place = sweep_of_row_[static_cast<std::size_t>(behind - table_.lines.begin()) - 1];
    }
    if (place < sweeps_.size()) {
      sweeps_[place].sweep.left_out.push_back(std::move(left));
    }
  }
}

void SweepFile::name_sweeps() {
  std::set<std::pair<long long, long long>> places;
  std::set<unsigned> segments;
  for (const SweepKey& key : keys_) {
    places.emplace(std::get<2>(key), std::get<3>(key));
    segments.insert(std::get<0>(key));
  }
  for (std::size_t i = 0; i < sweeps_.size(); ++i) {
    const auto& [segment, label, distance, height] = keys_[i];
    std::string& tail = sweeps_[i].tail;
    tail = label.empty() ? "" : " " + printable(label);
    if (places.size() > 1) {
      tail += " at " + format_number(1e-4 * static_cast<double>(distance), 5) + " m, height " +
              format_number(1e-4 * static_cast<double>(height), 5) + " m";
    }
    if (segments.size() > 1) {
      tail += " part " + std::to_string(segment + 1);
    }
  }
}

void SweepFile::finish() {
  std::size_t left_out = 0;
  std::string first_reason;
  for (NamedSweep& named : sweeps_) {
    std::vector<LeftOut>& rows = named.sweep.left_out;
    std::sort(rows.begin(), rows.end(), [](const LeftOut& a, const LeftOut& b) {
      return a.line < b.line;
    });
    left_out += rows.size();
    if (first_reason.empty() && !rows.empty()) {
      first_reason = "line " + std::to_string(rows.front().line) + ", " + rows.front().reason;
    }
    if (rig_.motion == Motion::swivel && unwrap_angles(named.sweep.readings, rig_.angle_zero_rad)) {
      const auto [low, high] = std::minmax_element(
          named.sweep.readings.begin(),
          named.sweep.readings.end(),
          [](const Reading& a, const Reading& b) { return a.position < b.position; });
      remarks_.push_back({{request_.file, low->line, 0},
                          "angles pass over the end of their scale, read on from " +
                              format_number(low->position / degree_rad, 6) + " to " +
                              format_number(high->position / degree_rad, 6) + " deg"});
    }
  }
  const auto is_empty = [](const NamedSweep& named) { return named.sweep.readings.empty(); };
  if (std::all_of(sweeps_.begin(), sweeps_.end(), is_empty)) {
    if (faults_a_kind_.empty()) {
      findings_.add({request_.file, 0, 0},
                    "no row gives a reading" +
                        (first_reason.empty() ? std::string()
                                              : "; " + std::to_string(left_out) +
                                                    " rows left out, the first: " + first_reason));
    }
    return;
  }
  for (const NamedSweep& named : sweeps_) {
    if (is_empty(named)) {
      remarks_.push_back({{request_.file, named.sweep.left_out.front().line, 0},
                          "none of the " + std::to_string(named.sweep.left_out.size()) +
                              " rows of" + named.tail + " gives a reading, left out"});
    }
  }
  std::erase_if(sweeps_, is_empty);
}

SweepFileResult SweepFile::read() {
  if (!read_columns()) {
    return {};
  }
  sweep_of_row_.assign(table_.lines.size(), nowhere);
  for (std::size_t row = 0; row < table_.lines.size(); ++row) {
    take_row(row);
  }
  SweepFileResult result;
  result.other_labels.assign(labels_seen_.begin(), labels_seen_.end());
  for (const auto& [role, count] : faults_a_kind_) {
    if (count > most_faults_a_kind) {
      findings_.add({request_.file, 0, 0},
                    role + ": " + std::to_string(count - most_faults_a_kind) + " more such values");
    }
  }
  if (sweeps_.empty() && request_.label && !result.other_labels.empty()) {
    findings_.add(request_.spot,
                  "no row of " + in_backticks(request_.file_text) + " has sweep = " +
                      in_backticks(*request_.label) + "; found " + listed(result.other_labels));
    return result;
  }
  place_dropped_rows();
  name_sweeps();
  finish();
  if (!table_.segments.empty() && table_.segments.back() > 0) {
    remarks_.push_back(
        {{request_.file, 0, 0},
         "the heading comes again; the readings behind it are a sweep of their own"});
  }
  result.sweeps = std::move(sweeps_);
  return result;
}

SweepFileResult read_sweep_file(const SweepRequest& request,
                                const Rig& rig,
                                const StepSizes& steps,
                                Findings& findings,
                                std::vector<Finding>& remarks) {
  return SweepFile(request, rig, steps, findings, remarks).read();
}

bool unwrap_angles(std::vector<Reading>& readings, double zero_rad) {
  if (readings.empty()) {
    return false;
  }
  std::vector<double> angles;
  for (const Reading& reading : readings) {
    angles.push_back(reading.position);
  }
  std::sort(angles.begin(), angles.end());
  double low = angles.front();
  double high = angles.back();
  double cut = low;  // angles below are raised by a turn
  if (high - low > 0.5 * turn && high - low <= turn + rounding) {
    // The fan cannot have been in the widest gap; when that is not the one across the cut of the
    // scale, the sweep went over it.
    double widest = turn - (high - low);
    for (std::size_t i = 1; i < angles.size(); ++i) {
      if (angles[i] - angles[i - 1] > widest + rounding) {
        widest = angles[i] - angles[i - 1];
        cut = angles[i];
        low = angles[i];
        high = angles[i - 1] + turn;
      }
    }
  }
  const double middle = 0.5 * (low + high);
  const double away = middle - zero_rad;
  const double turns_off =
      std::abs(away) > 0.5 * turn + rounding ? std::round(away / turn) * turn : 0.0;
  bool changed = false;
  for (Reading& reading : readings) {
    const double shift = (reading.position < cut ? turn : 0.0) - turns_off;
    changed = changed || shift != 0.0;
    reading.position += shift;
  }
  return changed;
}

}  // namespace sweepflux
