#include "sweepflux/record/new_survey.hpp"

#include "sweepflux/record/json_text_private.hpp"

namespace sweepflux {

std::string new_survey_json(const std::string& survey, const std::string& sweep) {
  return json_text({{"survey", survey}, {"sweeps", {sweep}}});
}

std::string new_session_json(const std::string& session) {
  return json_text({{"session", session}});
}

std::string new_campaign_json(const std::string& campaign, const std::string& sweep) {
  return json_text({{"campaign", campaign}, {"sweeps", {sweep}}});
}

}  // namespace sweepflux
