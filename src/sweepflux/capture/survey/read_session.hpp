#pragma once

#include "sweepflux/capture/survey/session.hpp"

#include <filesystem>

namespace sweepflux {

/// Reads a session at the balance: one TOML file, as session_template() shows it. Logs that it
/// names are not looked at yet [reduce_session_logs]. A zero between two blocks need be written
/// once: what one block leaves out is taken from its neighbour.
///
/// @throws SurveyError  with *every* fault found, by line
[[nodiscard]] BalanceSession read_session(const std::filesystem::path& session_file);

}  // namespace sweepflux
