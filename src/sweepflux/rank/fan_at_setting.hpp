#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "sweepflux/derive/log/gusts.hpp"
#include "sweepflux/judge/probe_check.hpp"
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
  std::vector<double> uncertainty_m_s;    ///< of a map; empty: as read in one sweep
  std::vector<double> low_m_s, high_m_s;  ///< its 95 % interval
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
  PlaneMap map;                    ///< empty when it comes from a table of results
  std::vector<std::string> warnings;
};

/// One measurement that went into a value of a row.
struct Provenance {
  std::string source;  ///< file, as the user named it
  std::string quantity;
  std::optional<double> downstream_m;
  Estimate value;       ///< as this measurement alone has it
  double weight = 1.0;  ///< in the combined value
};

/// Whether several measurements of one quantity agree.
struct Consistency {
  std::string quantity;
  std::optional<double> downstream_m;
  std::size_t measurements = 0;
  double chi_square = 0.0;
  double degrees = 0.0;
  double chance = 1.0;
  double birge_ratio = 0.0;
  bool consistent = true;
  std::string words;  ///< one sentence
};

/// A line across the stream where there is no map: what one lone sweep gave.
struct LoneSweep {
  double distance_m = 0.0;
  double downstream_m = 0.0;
  Profile profile;
  std::string why_no_map;
};

/// What a comparison needs to know of one fan at one setting: one measurement of it, or all of them
/// combined (combine_entries). Anything may be missing: a fan may have been on the balance only, or
/// in front of the probe only.
struct FanAtSetting {
  std::string title;
  std::string fan;
  std::string setting;
  std::string variant;  ///< "filter out"; mostly empty
  std::string source;   ///< the folder or file that it came from, as the user named it
  std::optional<Measured> density_kg_m3;
  std::optional<Outlet> outlet;
  Room room;
  std::optional<Measured> air_temperature_k;
  std::optional<Measured> power_w;
  std::optional<SoundLevel> sound;
  std::optional<Seat> seat;
  std::optional<Estimate> thrust_n;
  /// Relative standard uncertainty of the lever, common to all thrusts of one balance.
  double lever_share = 0.0;
  std::string balance;         ///< equal texts: one balance, as far as its description goes
  std::optional<Probe> probe;  ///< that read the planes
  std::vector<PlaneFacts> planes;  ///< nearest first
  std::optional<Estimate> momentum_flux_n;  ///< of the stream, from all its planes
  std::optional<Measured> turbulence;  ///< intensity: of the log under [gusts], else in the stream's
                                       ///< core from the dwells' spread
  std::optional<Gustiness> gusts;      ///< of the log under [gusts]
  std::vector<LoneSweep> lone_sweeps;
  std::optional<Measured> ring_value_m3_min_w;  ///< older standard's service value (service_value)
  std::size_t readings = 0;
  std::size_t left_out = 0;
  std::vector<Provenance> measurements;
  std::vector<Consistency> consistency;  ///< of each quantity measured more than once
  std::vector<MomentumThrustPair> pairs;  ///< one a survey, where there is a thrust too
  std::vector<std::string> warnings;

  [[nodiscard]] std::string name() const;  ///< "heron at 3", "heron at 3, filter out"
  /// What a line of a chart over settings is called: "heron", "heron, filter out".
  [[nodiscard]] std::string series() const;
};

/// A value in another unit, or carried to another distance.
[[nodiscard]] inline Estimate scaled(const Estimate& e, double factor) {
  return {e.value * factor, e.standard_uncertainty * factor, e.low_95 * factor, e.high_95 * factor};
}

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

/// The item that is off by least, the first of equals; null: none.
///
/// @param off  of an item; nothing where it does not count
template <typename Item, typename Off>
[[nodiscard]] const Item* nearest_of(const std::vector<Item>& items, Off off) {
  const Item* best = nullptr;
  double least = 0.0;
  for (const Item& item : items) {
    const std::optional<double> by = off(item);
    if (by && (!best || *by < least)) {
      best = &item;
      least = *by;
    }
  }
  return best;
}

/// Within 5 %: a stream changes about as much over it.
[[nodiscard]] bool near_distance(double downstream_m, double wanted_m);

/// A plane nearer than 5 % (downstream) to the distance wanted, the nearest of them; or null.
[[nodiscard]] const PlaneFacts* plane_at(const FanAtSetting& fan, double downstream_m);

}  // namespace sweepflux
