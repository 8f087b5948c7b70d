#pragma once

#include "tests/support/known_fields.hpp"

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace sweepflux::bench {

/// One stream at 1.8 m, without what drifts along.
class Stream {
 public:
  virtual ~Stream() = default;
  /// z from the floor.
  [[nodiscard]] virtual double speed_m_s(double y_m, double z_m) const = 0;
  /// Flow and the integral of the square of the speed over the whole plane.
  [[nodiscard]] virtual test::ExactFlux exact() const = 0;
};

using Numbers = std::vector<double>;

/// Streams that are known as a crowd: so many numbers, each normal by itself, the room's drift
/// [m/s] last. Their formulas are the bench's own, so that a slip in the library's shapes cannot
/// hide here.
struct StreamPopulation {
  Numbers mean;
  Numbers sd;  ///< 0: the number never differs
  std::function<std::unique_ptr<Stream>(const Numbers&)> make;
};

/// `cores`: round to oblong, of any flatness and tail, with or without a hub's dip, like the core
/// of the model. `patches`: sums of three ellipses near each other, like the
/// fields that the scoreboard draws; rarely a member of the model's family.
///
/// @throws InputError  another name
[[nodiscard]] StreamPopulation stream_population(const std::string& name, double drift_sd_m_s);

/// One member. The same seed gives the same stream anywhere; another drift only scales its last.
[[nodiscard]] Numbers draw_stream(const StreamPopulation& population, std::uint64_t seed);

/// The same for the simulated rig, from an outlet 0.3 m across at 0.9 m.
[[nodiscard]] test::KnownField known_field_of(const StreamPopulation& population,
                                              const Numbers& numbers);

}  // namespace sweepflux::bench
