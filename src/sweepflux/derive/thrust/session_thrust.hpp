#pragma once

#include "sweepflux/base/measured.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/survey/session.hpp"

#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// The lever as a session states it.
struct Lever {
  Measured ratio;     ///< [-] scale force / thrust
  std::string words;  ///< where it comes from
};

/// One fan at one setting, all its repeats together.
struct SettingThrust {
  std::string fan;
  std::string setting;
  std::string variant;
  std::size_t repeats = 0;          ///< blocks (off, on, off) that went in
  std::size_t readings = 0;         ///< readings with the fan on
  Estimate thrust_n;                ///< lever included
  double own_uncertainty_n = 0;     ///< without the lever's part, which all settings share
  std::optional<Measured> power_w;  ///< mean of the repeats
  std::optional<SoundLevel> sound;  ///< mean of the repeats at the distance of the first
  std::optional<Estimate> thrust_per_watt_n_w;
  double largest_zero_drift_n = 0.0;  ///< at the scale, by size, signed
  std::vector<std::string> remarks;
};

/// A whole session.
struct SessionThrust {
  Lever lever;
  std::vector<SettingThrust> settings;  ///< by first appearance of the fan, then of the setting
  std::optional<Measured> density_kg_m3;
};

/// A session's readings to thrust: each block by derive_thrust (zero linear between before and
/// after, resolution, scatter with Student's t), the blocks of one setting averaged; their uncertainty
/// is the larger of what each block states and what their scatter shows. The lever's uncertainty is
/// common to all and is added last. With a check mass the lever is the scale's force over m g.
///
/// @throws SurveyError  with every block at fault (drift of the zero above a tenth of the thrust,
///                      ...), and a lever that cannot be determined
[[nodiscard]] SessionThrust derive_session_thrust(const BalanceSession& session);

/// Newtons as grams-force, by standard gravity whatever the local one is.
[[nodiscard]] constexpr double grams_force(double force_n) {
  return force_n * 1000.0 / standard_gravity_m_s2;
}

}  // namespace sweepflux
