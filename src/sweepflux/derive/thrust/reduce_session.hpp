#pragma once

#include "sweepflux/capture/survey/session.hpp"

namespace sweepflux {

/// Reduces the logs that a session names: each of its [[reading]] blocks with a log becomes one
/// block a plateau with the fan on, with the zero between the off plateaus about it. What the
/// reduction found or warns of becomes a remark of the session.
///
/// @throws SurveyError  every log at fault: it cannot be read, shows no zero or no thrust, or its
///                      settings are not those that the session asks for
void reduce_session_logs(BalanceSession& session);

/// The same for the [balance] of a survey: the plateaus of the survey's setting, or of the only one.
///
/// @throws SurveyError  as above
void reduce_balance_log(Survey& survey);

/// read_session, and reduce_session_logs after it.
///
/// @throws SurveyError  as the two
[[nodiscard]] BalanceSession read_session_and_logs(const std::filesystem::path& session_file);

}  // namespace sweepflux
