#pragma once

#include "sweepflux/capture/survey/survey.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// A known mass hung in the line of the thrust, and what the scale said: the lever measured as a whole.
struct CheckMass {
  double mass_kg = 0.0;
  double mass_uncertainty_kg = 0.0;
  std::vector<double> readings_n;  ///< at the scale, mass on
  double zero_before_n = 0.0;      ///< at the scale, mass off
  double zero_after_n = 0.0;
};

/// How thrust becomes force at the scale. One of lever_ratio (with its uncertainty) and check_mass.
struct SessionBalance {
  std::optional<double> lever_ratio;     ///< scale force / thrust; of two arms: fan arm / scale arm
  double lever_ratio_uncertainty = 0.0;  ///< relative
  bool from_arms = false;                ///< worked out from the lengths of two arms
  std::optional<CheckMass> check_mass;
  double resolution_n = 0.0;
  double gravity_m_s2 = 9.80665;  ///< where the balance stands
};

/// One fan at one setting on the balance: off, on (several times), off.
struct SessionReading {
  std::string fan;
  std::string setting;
  std::string variant;  ///< "filter out"; mostly empty
  std::optional<Measured> power_w;
  std::optional<SoundLevel> sound;
  double zero_before_n = 0.0;  ///< at the scale
  double zero_after_n = 0.0;
  std::vector<double> on_n;  ///< at the scale, >= 1 unless there is a log
  std::optional<ScaleLogRecipe> log;   ///< not reduced yet
  std::optional<Measured> from_log_n;  ///< at the scale, zero taken off; zero_after_n: its drift
  Spot spot;                 ///< where the block begins
};

/// What is known of a fan apart from its readings.
struct SessionFan {
  std::string name;
  std::optional<Outlet> outlet;
};

/// A day at the balance, as written: nothing subtracted, nothing dropped. Forces are newtons at the
/// scale; where the scale shows a mass, that mass times the gravity of the place.
struct BalanceSession {
  std::filesystem::path file;
  std::string title;
  std::optional<AirState> air;  ///< needed for throw and for thrust-derived flow only
  Room room;
  std::optional<Seat> seat;
  SessionBalance balance;
  std::vector<SessionFan> fans;
  std::vector<SessionReading> readings;  ///< in the file's order
  std::vector<std::string> defaults_used;
  std::vector<Finding> remarks;
};

}  // namespace sweepflux
