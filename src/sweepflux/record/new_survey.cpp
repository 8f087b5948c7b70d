#include "sweepflux/record/new_survey.hpp"

#include "sweepflux/record/json_text_private.hpp"

namespace sweepflux {

std::string new_survey_json(const std::string& survey, const std::string& sweep) {
  return json_text({{"survey", survey}, {"sweeps", {sweep}}});
}

}  // namespace sweepflux
