#pragma once

#include <string>
#include <string_view>

namespace sweepflux {

/// Where the survey of survey_template() expects example_sweep().
inline constexpr std::string_view example_sweep_file = "sweeps/near-0.92.csv";

/// A commented survey to start from. It can be read as it stands, once example_sweep() lies in
/// example_sweep_file beside it.
[[nodiscard]] std::string survey_template();

/// A commented session at the balance to start from; can be read as it stands.
[[nodiscard]] std::string session_template();

/// A commented campaign to start from; can be read as it stands, with example_sweep() beside it.
[[nodiscard]] std::string campaign_template();

/// A small sweep, invented, as CSV.
[[nodiscard]] std::string example_sweep();

}  // namespace sweepflux
