#pragma once

#include "sweepflux/capture/delimited/table.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

namespace sweepflux {

/// A sweep, with what sets it apart from others of its file.
struct NamedSweep {
  Sweep sweep;
  std::string tail;  ///< " 3", " at 0.92 m", " part 2", or nothing
};

struct SweepFileResult {
  std::vector<NamedSweep> sweeps;
  std::vector<std::string> other_labels;  ///< in the `sweep` column, not asked for here
};

/// Reads what one [[sweep]] asks for: one sweep, or as many as its file holds apart by the columns
/// sweep, distance and height, and by a heading that comes again.
[[nodiscard]] SweepFileResult read_sweep_file(const SweepRequest& request,
                                              const Rig& rig,
                                              const StepSizes& steps,
                                              Findings& findings,
                                              std::vector<Finding>& remarks);

/// Angles that pass from 180 to -180 degrees (or from 360 to 0), made to run on; then whole turns
/// are taken off so that the middle lies within half a turn of `zero_rad`. The order of the
/// readings does not matter.
///
/// @return true when anything was changed
bool unwrap_angles(std::vector<Reading>& readings, double zero_rad);

/// A column with its unit understood.
struct ScaledColumn {
  const TableColumn* column = nullptr;
  double factor = 1.0;
  double offset = 0.0;

  [[nodiscard]] bool is_there() const { return column != nullptr; }
  [[nodiscard]] double value(std::size_t row) const {
    return column->values[row] * factor + offset;
  }
  [[nodiscard]] std::optional<double> maybe(std::size_t row) const {
    if (column == nullptr || std::isnan(column->values[row])) {
      return std::nullopt;
    }
    return value(row);
  }
};

/// What sets sweeps of one file apart: segment, label, distance and height in tenths of a mm.
using SweepKey = std::tuple<unsigned, std::string, long long, long long>;

/// The work behind read_sweep_file: one object, one [[sweep]].
class SweepFile {
 public:
  SweepFile(const SweepRequest& request,
            const Rig& rig,
            const StepSizes& steps,
            Findings& findings,
            std::vector<Finding>& remarks)
      : request_(request), rig_(rig), steps_(steps), findings_(findings), remarks_(remarks) {}

  [[nodiscard]] SweepFileResult read();

 private:
  [[nodiscard]] std::vector<ColumnWish> wishes() const;
  [[nodiscard]] ScaledColumn scaled(std::string_view role, Dimension dimension);
  void need_place();
  void take_row(std::size_t row);
  [[nodiscard]] const WordyCell* word_at(std::size_t row, const TableColumn* column) const;
  NamedSweep& sweep_for(std::size_t row, double distance_m, double height_m);
  void leave_out(std::size_t row, const ScaledColumn& column);
  bool check(std::size_t row, const ScaledColumn& column, bool good, std::string_view must_be);
  bool agrees(std::size_t row, const ScaledColumn& column, const std::optional<double>& stated);
  bool read_columns();
  void place_dropped_rows();
  void finish();
  void name_sweeps();

  const SweepRequest& request_;
  const Rig& rig_;
  const StepSizes& steps_;
  Findings& findings_;
  std::vector<Finding>& remarks_;
  Table table_;
  ScaledColumn position_, speed_, spread_, standard_error_, samples_, dwell_, time_, distance_,
      height_;
  const TableColumn* label_ = nullptr;
  std::map<SweepKey, std::size_t> places_;
  std::vector<SweepKey> keys_;
  std::vector<NamedSweep> sweeps_;
  std::vector<std::size_t> sweep_of_row_;  ///< `nowhere` for rows of other sweeps
  std::vector<LeftOut> homeless_;          ///< rows whose sweep their own cells do not tell
  std::map<std::string, std::size_t, std::less<>> faults_a_kind_;
  std::set<std::string> labels_seen_;
};

}  // namespace sweepflux
