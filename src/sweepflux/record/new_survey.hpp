#pragma once

#include <string>

namespace sweepflux {

/// What `sweepflux new` made, as JSON: `survey`, the path of the survey's file, and `sweeps`, a
/// list with that of its one sweep.
[[nodiscard]] std::string new_survey_json(const std::string& survey, const std::string& sweep);

/// The same of `new --session`: `session`.
[[nodiscard]] std::string new_session_json(const std::string& session);

/// The same of `new --campaign`: `campaign` and `sweeps`.
[[nodiscard]] std::string new_campaign_json(const std::string& campaign, const std::string& sweep);

}  // namespace sweepflux
