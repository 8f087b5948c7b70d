#pragma once

#include "sweepflux/capture/delimited/clock_text.hpp"
#include "sweepflux/base/findings_private.hpp"
#include "sweepflux/capture/log/log_recipe.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/capture/document/toml_view_private.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
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
  DateOrder date_order = DateOrder::unknown;

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

/// How the sections are to be read.
struct SectionOptions {
  bool unknown_keys_are_errors = true;
  bool for_plan = false;  ///< a survey without sweeps: air may be missing, rig times are stated
};

// Each reads one section, reports what is wrong with it, and notes the defaults that it uses.
void read_title(TomlView& root, const SectionOptions& options, Survey& survey);
[[nodiscard]] Probe read_probe(TomlView& root, const SectionOptions& options);
[[nodiscard]] AirState read_air(TomlView& root, const SectionOptions& options, const Probe& probe);
[[nodiscard]] Room read_room(TomlView& root, const SectionOptions& options);
[[nodiscard]] Outlet read_outlet(TomlView& root, const SectionOptions& options, Motion motion);
[[nodiscard]] Rig read_rig(TomlView& root, const SectionOptions& options, StepSizes& steps);
/// @param folder  beside the survey: a log is looked for there
[[nodiscard]] std::optional<Balance> read_balance(TomlView& root,
                                                  const SectionOptions& options,
                                                  const std::filesystem::path& folder);
/// Lever, resolution and gravity of a [balance]; then its zeros and readings, or its log.
void read_balance_rig(TomlView& view, Balance& balance);
void read_balance_readings(TomlView& view,
                           const std::filesystem::path& folder,
                           Balance& balance);
/// lever_ratio, or fan_arm and scale_arm: the same keys in a survey and in a session.
[[nodiscard]] StatedLever read_lever(TomlView& balance, bool has_check_mass);
/// `log` or `file` and the keys beside it, where there is one; then no readings by hand.
[[nodiscard]] std::optional<ScaleLogRecipe> read_scale_log(TomlView& view,
                                                           const std::filesystem::path& folder);
/// Reports a log that two blocks name with unlike `sequence`s. Remembers the recipe.
void refuse_other_sequence(const ScaleLogRecipe& recipe,
                           std::vector<ScaleLogRecipe>& before,
                           Findings& findings);
[[nodiscard]] std::optional<Seat> read_seat(TomlView& root, const SectionOptions& options);
[[nodiscard]] std::optional<GustLog> read_gust_log(TomlView& root,
                                                   const SectionOptions& options,
                                                   const std::filesystem::path& folder);
/// sound_level with its uncertainty and sound_distance, of a view that has them beside power.
///
/// @param usual_distance_m  where the view itself states none
/// @param note_default      notes the uncertainty that is taken
[[nodiscard]] std::optional<SoundLevel> read_sound(TomlView& view,
                                                   std::optional<double> usual_distance_m,
                                                   bool note_default = true);
[[nodiscard]] PlanWishes read_plan(TomlView& root, const SectionOptions& options);
[[nodiscard]] ColumnNames read_columns(TomlView columns,
                                       const SectionOptions& options,
                                       ColumnNames names);
/// What [columns] and [log] say of all sweeps.
struct SweepDefaults {
  ColumnNames columns;
  LogRecipe log;
};
[[nodiscard]] SweepDefaults read_sweep_defaults(TomlView& root,
                                                const SectionOptions& options,
                                                const std::filesystem::path& folder,
                                                Motion motion);
/// The [[sweep]] blocks below a view.
[[nodiscard]] std::vector<SweepRequest> read_sweep_requests(TomlView& view,
                                                            const SectionOptions& options,
                                                            const std::filesystem::path& folder,
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
/// The keys of [log], or those beside `log` in a [[sweep]], laid over `recipe`.
[[nodiscard]] LogRecipe read_log_recipe(TomlView& view,
                                        const std::filesystem::path& folder,
                                        Motion motion,
                                        LogRecipe recipe);
/// Reports keys that do not go together; `spot` is where they were used.
void check_log_recipe(const LogRecipe& recipe, const Spot& spot, Findings& findings);

}  // namespace sweepflux
