#pragma once

#include "sweepflux/capture/document/toml_view_private.hpp"
#include "sweepflux/capture/survey/survey.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {

/// What one step of a stepper is, when the survey says so.
struct StepSizes {
  std::optional<double> angle_rad;
  std::optional<double> length_m;
};

/// The lever of a balance as stated.
struct StatedLever {
  std::optional<double> ratio;  ///< scale force / thrust; empty: not stated
  double relative_uncertainty = 0.0;
  bool from_arms = false;
};

/// What a logger calls things: [columns], or [sweep.columns] laid over it.
struct ColumnNames {
  std::map<std::string, std::string, std::less<>> headings;  ///< role to heading
  std::map<std::string, std::string, std::less<>> units;     ///< role to unit
  std::vector<std::string> missing_words;
  DateOrder date_order = DateOrder::found;

  friend bool operator==(const ColumnNames&, const ColumnNames&) = default;
};

/// One [[sweep]] as written.
struct SweepRequest {
  Spot spot;       ///< of the block
  Spot file_spot;  ///< of its `file` or `log`
  std::string file_text;
  std::filesystem::path file;  ///< beside the survey
  std::optional<double> distance_m;
  std::optional<double> height_m;
  std::optional<std::string> label;  ///< only rows whose `sweep` column says so
  ColumnNames columns;
  std::optional<LogRecipe> log;  ///< the file is a raw log
};

/// What [columns] and [log] say of all sweeps.
struct SweepDefaults {
  ColumnNames columns;
  LogRecipe log;
};

// Each reads one section, reports what is wrong with it, and notes the defaults that it uses.
// `for_plan`: a survey without sweeps, whose air may be missing and whose rig's times are stated.
void read_title(TomlView& root, Survey& survey);
[[nodiscard]] Probe read_probe(TomlView& root);
[[nodiscard]] AirState read_air(TomlView& root, bool for_plan, const Probe& probe);
[[nodiscard]] Room read_room(TomlView& root);
[[nodiscard]] Outlet read_outlet(TomlView& root, Motion motion);
[[nodiscard]] Rig read_rig(TomlView& root, bool for_plan, StepSizes& steps);
[[nodiscard]] PlanWishes read_plan(TomlView& root);
[[nodiscard]] std::optional<Seat> read_seat(TomlView& root);
[[nodiscard]] std::optional<GustLog> read_gust_log(TomlView& root);
[[nodiscard]] std::optional<Balance> read_balance(TomlView& root);
/// Lever, resolution and gravity of a [balance]; then its zeros and readings, or its log.
void read_balance_rig(TomlView& view, Balance& balance);
void read_balance_readings(TomlView& view, Balance& balance);
/// lever_ratio, or fan_arm and scale_arm: the same keys in a survey and in a session.
[[nodiscard]] StatedLever read_lever(TomlView& balance, bool has_check_mass);
/// `log` or `file` and the keys beside it, where there is one; then no readings by hand.
[[nodiscard]] std::optional<ScaleLogRecipe> read_scale_log(TomlView& view);
/// Reports a log that two blocks name with unlike `sequence`s. Remembers the recipe.
void refuse_other_sequence(const ScaleLogRecipe& recipe,
                           std::vector<ScaleLogRecipe>& before,
                           Findings& findings);
/// power with its uncertainty; `shown_default` are the words of the latter's default, or empty.
[[nodiscard]] std::optional<Measured> read_power(TomlView& view,
                                                 const Bounds& bounds,
                                                 std::string_view shown_default);
/// sound_level with its uncertainty and sound_distance, of a view that has them beside power.
///
/// @param usual_distance_m  where the view itself states none
/// @param note_default      notes the uncertainty that is taken
[[nodiscard]] std::optional<SoundLevel> read_sound(TomlView& view,
                                                   std::optional<double> usual_distance_m,
                                                   bool note_default = true);
[[nodiscard]] SweepDefaults read_sweep_defaults(TomlView& root, Motion motion);
/// The [[sweep]] blocks below a view.
[[nodiscard]] std::vector<SweepRequest> read_sweep_requests(TomlView& view,
                                                            Motion motion,
                                                            const SweepDefaults& common);
/// Reads the files of the requests, and looks at their logs; the survey's rig is known.
///
/// @param elsewhere  the requests of a campaign's other settings
void add_sweeps(const std::vector<SweepRequest>& requests,
                const std::vector<SweepRequest>& elsewhere,
                const StepSizes& steps,
                Findings& findings,
                Survey& survey);
/// The words of a log that are stated, by their keys.
using WordKeys = std::vector<std::pair<std::string, std::string LogWords::*>>;
void read_words(TomlView& view, const WordKeys& keys, LogWords& words);
void read_date_order(TomlView& view, const char* key, DateOrder& order);
/// The keys of [log], or those beside `log` in a [[sweep]], laid over `recipe`.
[[nodiscard]] LogRecipe read_log_recipe(TomlView& view, Motion motion, LogRecipe recipe);
/// Reports keys that do not go together; `spot` is where they were used.
void check_log_recipe(const LogRecipe& recipe, const Spot& spot, Findings& findings);
/// Looks at the opening of a log that a [[sweep]] names, so that a slip in its columns or its place
/// is reported together with all others, before the long reading begins.
void check_log(const SweepRequest& request, const Rig& rig, Findings& findings);
/// ", did you mean ...?" where a file is not there but one of a similar name is.
[[nodiscard]] std::string did_you_mean_file(const std::filesystem::path& file);

}  // namespace sweepflux
