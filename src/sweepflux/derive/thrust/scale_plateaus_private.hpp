#pragma once

#include "sweepflux/derive/thrust/scale_log.hpp"

#include <optional>
#include <span>
#include <vector>

namespace sweepflux {

using ScaleBlocks = std::span<const BlockSeries::Block>;

/// One plateau from a stretch that is known to be one: what settles at its start is dropped, as
/// long as the kept part still moves from its first to its last third; `steady` says whether that
/// came to an end within seven tenths of the stretch. A stated settling is dropped instead.
[[nodiscard]] Plateau settle_plateau(ScaleBlocks blocks,
                                     double resolution_n,
                                     std::optional<double> settle_s);

/// Cuts a stretch where the level before and after differ by more than the scatter does; what is
/// shorter than 5 s is no plateau.
[[nodiscard]] std::vector<Plateau> split_into_plateaus(ScaleBlocks blocks,
                                                       double resolution_n,
                                                       std::optional<double> settle_s);

}  // namespace sweepflux
