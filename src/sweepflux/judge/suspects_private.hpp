#pragma once

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/judge/cross_check.hpp"
#include "sweepflux/judge/neglected.hpp"

#include <string>
#include <vector>

namespace sweepflux {

/// Something that may part momentum and thrust. Shifts are signed shares of the thrust by which it
/// moves momentum / thrust, one a plane; both ends zero where it cannot act.
struct Suspect {
  std::string name;               ///< a few words, for lists
  std::vector<ShareRange> shift;  ///< one a plane
  std::vector<std::string> text;  ///< one a plane: a sentence with its size
  double plausibility = 1.0;      ///< decides between equals: 1 for what always acts, less for a mishap
  bool in_uncertainty = false;          ///< part of the momentum's stated uncertainty already
};

/// What the suspects are drawn up from.
struct CheckedPlanes {
  std::vector<const PlaneResult*> planes;
  std::vector<double> ratio;  ///< momentum / thrust, one a plane
  const Survey& survey;
  double thrust_n = 0.0;
  double density_kg_m3 = 0.0;
};

/// Turbulence and pressure, swirl and hub, the room's return flow, the floor.
[[nodiscard]] std::vector<Suspect> stream_suspects(const CheckedPlanes& checked);

/// The probe: scale, offset, head, response, starting speed, lag; the sweeps: outer region, rows.
[[nodiscard]] std::vector<Suspect> probe_suspects(const CheckedPlanes& checked,
                                                  const CrossCheckOptions& options);

/// The balance, and slips of units and of the lever that a gross gap gives away.
[[nodiscard]] std::vector<Suspect> balance_suspects(const CheckedPlanes& checked);

/// "-12 to -2 %", "3.1 %", "+-4 %".
[[nodiscard]] std::string share_text(ShareRange range);
}  // namespace sweepflux
