#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/log/read_log.hpp"
#include "sweepflux/derive/log/block_series.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// What the fan did while the scale stood still.
enum class PlateauKind { off, on, check_mass };

struct ScaleOptions {
  /// What happened, in order, whatever labels the log has: "off", "check", or a setting's name.
  std::vector<std::string> sequence;
  double check_mass_n = 0.0;  ///< weight of the check mass, hung where the thrust acts; 0: none
  std::optional<double> stated_ratio;   ///< scale force over thrust, > 0; neither it nor a mass: 1
  std::optional<double> settle_s;       ///< >= 0, dropped from each plateau; empty: by its creep
  double resolution_n = 0.0;            ///< 0: unknown
};

/// A stretch in which the scale stood still.
struct Plateau {
  PlateauKind kind = PlateauKind::on;
  std::string label;
  StretchMean force_n;    ///< settling left out
  double start_s = 0.0;   ///< settling included
  double settle_s = 0.0;  ///< left out
  bool steady = true;
  double creep_n = 0.0;  ///< change from the first to the last third of what was kept
};

/// Thrust of one setting: on minus the zero between the off plateaus about it.
struct PlateauThrust {
  std::string label;
  Measured thrust_n;
  double at_scale_n = 0.0;
  double at_scale_uncertainty_n = 0.0;
  double zero_n = 0.0;
  double zero_drift_n = 0.0;  ///< off after minus off before
  bool bracketed = true;      ///< an off plateau on both sides, or the scale was tared
  bool steady = true;
  std::size_t first_line = 0;
  std::size_t last_line = 0;
};

struct ScaleLog {
  std::filesystem::path file;
  std::vector<Plateau> plateaus;
  std::vector<PlateauThrust> settings;  ///< in the order of the log; repeats stay apart
  bool labelled = false;                ///< a column of the log names them
  Measured lever_ratio{1.0, 0.0};
  bool ratio_from_check_mass = false;
  double zero_drift_n = 0.0;  ///< last off minus first off
  LogCounts counts;
  std::vector<std::string> remarks;
  std::vector<std::string> warnings;
};

/// Reduces a balance log in bounded memory: plateaus, their settling, zero and its drift, thrust of
/// each setting with its uncertainty (scatter, zero, drift, resolution, lever).
///
/// Rows without a time are a table of readings: neighbours of one label are repeats, nothing
/// settles, a scale without a row of its zero counts as tared. A single reading has the scatter of
/// derive_thrust.
class ScaleReducer {
 public:
  /// @throws InputError  an option is out of range
  explicit ScaleReducer(ScaleOptions options);
  void add(const LogSample& sample);
  /// @throws InputError      the sequence does not fit the plateaus, or the stated ratio of the
  ///                         lever not the check mass, or settling is stated for a table of readings
  /// @throws NumericalError  no plateau, or none with the fan off, or none with the fan on
  [[nodiscard]] ScaleLog finish() const;
  /// A row with a value was added.
  [[nodiscard]] bool any() const { return !sections_.empty(); }

 private:
  struct Section {
    std::string label;
    BlockSeries series{4096};
  };
  [[nodiscard]] std::vector<Plateau> find_plateaus() const;

  ScaleOptions options_;
  bool labelled_ = false;
  bool table_ = false;  ///< of readings, without times
  std::size_t rows_ = 0;
  std::vector<Section> sections_;
};

/// @throws SurveyError                 as LogReader, or no row holds a value
/// @throws InputError, NumericalError  as ScaleReducer
[[nodiscard]] ScaleLog reduce_scale_log(const std::filesystem::path& file,
                                        const LogFormat& format,
                                        const ScaleOptions& options);

}  // namespace sweepflux
