#pragma once

#include "render/pages/page.hpp"
#include "sweepflux/rank/compare.hpp"

#include <string>
#include <vector>

namespace sweepflux::render {

/// "By flow at 1.5 m, most first"
[[nodiscard]] std::string heading_of(const Ranking& ranking);

// The tables of a comparison's page; one without rows takes no place.
[[nodiscard]] PageTable entries_table(const Comparison& comparison);
[[nodiscard]] PageTable thrust_table(const Comparison& comparison);
[[nodiscard]] PageTable ranking_table(const Comparison& comparison, const Ranking& ranking);
/// Each with the next in its ranking, and the first with every other; a table a ranking.
[[nodiscard]] std::vector<PageTable> difference_tables(const Comparison& comparison);
[[nodiscard]] PageTable equal_thrust_table(const Comparison& comparison);
[[nodiscard]] PageTable growth_table(const Comparison& comparison);
[[nodiscard]] PageTable throw_table(const Comparison& comparison);
[[nodiscard]] PageTable along_table(const Comparison& comparison);
[[nodiscard]] PageTable consistency_table(const Comparison& comparison);
/// Of quantities measured more than once.
[[nodiscard]] PageTable provenance_table(const Comparison& comparison);
[[nodiscard]] PageTable variant_table(const Comparison& comparison);
// Of a comparison with a check of the probe.
[[nodiscard]] PageTable pair_table(const Comparison& comparison);
[[nodiscard]] PageTable corrected_flow_table(const Comparison& comparison);
/// Of a comparison with fans at equal sound.
[[nodiscard]] PageTable equal_sound_table(const Comparison& comparison);
/// A row a setting with a log under [gusts].
[[nodiscard]] PageTable gust_table(const Comparison& comparison);
/// Remarks that hold for every row of seat_table.
[[nodiscard]] std::vector<std::string> common_seat_remarks(const Comparison& comparison);
[[nodiscard]] PageTable seat_table(const Comparison& comparison);
/// Every condition once, with the fans that it holds for where it does not hold for all.
[[nodiscard]] std::vector<std::string> all_conditions(const Comparison& comparison);

}  // namespace sweepflux::render
