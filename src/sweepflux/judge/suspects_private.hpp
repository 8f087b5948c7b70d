#pragma once

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/judge/cross_check.hpp"
#include "sweepflux/judge/neglected.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// Something that may part momentum and thrust.
struct Suspect {
  /// In one plane: the signed share of the thrust by which it moves momentum / thrust, both ends
  /// zero where it cannot act, and a sentence with its size.
  struct Effect {
    ShareRange shift;
    std::string text;
  };

  std::string name;           ///< a few words, for lists
  double plausibility = 1.0;  ///< decides between equals: 1 for what always acts, less for a mishap
  bool in_uncertainty = false;  ///< part of the momentum's stated uncertainty already
  std::vector<Effect> effects;  ///< one a plane
};

/// What the suspects are drawn up from.
struct CheckedPlanes {
  std::vector<const PlaneResult*> planes;
  std::vector<double> ratio;  ///< momentum / thrust, one a plane
  const Survey& survey;
  double thrust_n = 0.0;
  double density_kg_m3 = 0.0;
  bool head_corrected = false;  ///< in the maps
};

/// Stream: turbulence and pressure, swirl and hub, the room's return flow, the floor. Probe: scale,
/// offset, head, response, starting speed, lag; sweeps: outer region, rows. Then the balance, and
/// slips of units and of the lever that a gross gap gives away.
[[nodiscard]] std::vector<Suspect> all_suspects(const CheckedPlanes& checked);

/// "-12 to -2 %", "3.1 %", "+-4 %".
[[nodiscard]] std::string share_text(ShareRange range);

}  // namespace sweepflux
