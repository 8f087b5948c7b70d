#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/judge/survey_result.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// Speed along a line across the stream.
struct Profile {
  double height_m = 0.0;
  std::vector<double> across_m;
  std::vector<double> speed_m_s;
  std::vector<double> uncertainty_m_s;  ///< of a map; empty: as read in one sweep
  bool from_map = false;
};

/// What one plane says, without its map.
struct PlaneFacts {
  double distance_m = 0.0;
  double downstream_m = 0.0;
  Estimate volume_flow_m3_s;
  Estimate momentum_flux_n;
  Estimate kinetic_power_w;
  /// Relative standard uncertainty that the probe puts on every plane it reads, in the same sense.
  double probe_share_of_flow = 0.0;
  double probe_share_of_momentum = 0.0;
  double flow_extrapolated = 0.0;
  double peak_speed_m_s = 0.0;
  PlanePoint centre;
  double half_width_y_m = 0.0;
  double half_width_z_m = 0.0;
  std::optional<Profile> profile;  ///< through the stream's centre
  std::vector<std::string> warnings;
};

/// A line across the stream where there is no map: what one lone sweep gave.
struct LoneSweep {
  double distance_m = 0.0;
  double downstream_m = 0.0;
  Profile profile;
  std::string why_no_map;
};

/// What a comparison needs to know of one fan at one setting. Anything may be missing: a fan may
/// have been on the balance only, or in front of the probe only.
struct FanAtSetting {
  std::string title;
  std::string fan;
  std::string setting;
  std::string source;  ///< the folder or file that it came from, as the user named it
  std::string apart;   ///< tells it from others of the same fan and setting; mostly empty
  std::optional<Measured> density_kg_m3;
  std::optional<Outlet> outlet;
  Room room;
  std::optional<Measured> power_w;
  std::optional<Estimate> thrust_n;
  /// Relative standard uncertainty of the lever, common to all thrusts of one balance.
  double lever_share = 0.0;
  std::vector<PlaneFacts> planes;  ///< nearest first
  std::vector<LoneSweep> lone_sweeps;
  std::optional<Measured> ring_value_m3_min_w;  ///< older standard's service value (service_value)
  std::size_t readings = 0;
  std::size_t left_out = 0;
  std::vector<std::string> warnings;

  [[nodiscard]] std::string name() const;  ///< "heron at 3", "heron at 3 (balance-day)"
};

/// The setting as a number, when it is one ("3", "2.5", "60 %").
[[nodiscard]] std::optional<double> setting_number(const std::string& setting);

/// Boils the result of `map` down. The profile of a plane is the row of its map at the height of
/// the stream's centre. The rows of the budget named "probe scale" and "probe offset" are taken
/// as the probe's share.
[[nodiscard]] FanAtSetting summarise(const SurveyResult& result);

/// Each sweep as it was read, its readings under the starting speed left out: what can be shown
/// where the readings give no map.
///
/// @param why  the reason, as a clause that follows "because"
[[nodiscard]] std::vector<LoneSweep> lone_sweeps_of(const std::vector<PlaneSamples>& planes,
                                                    const std::string& why);

/// Joins what belongs together: of one fan at one setting, an entry without a thrust takes it from
/// one that has nothing but the balance. Others of the same name stay apart.
[[nodiscard]] std::vector<FanAtSetting> merge_entries(std::vector<FanAtSetting> entries);

/// Within 5 %: a stream changes about as much over it.
[[nodiscard]] bool near_distance(double downstream_m, double wanted_m);

/// A plane nearer than 5 % (downstream) to the distance wanted, the nearest of them; or null.
[[nodiscard]] const PlaneFacts* plane_at(const FanAtSetting& fan, double downstream_m);

}  // namespace sweepflux
