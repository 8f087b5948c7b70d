#include "sweepflux/record/new_survey.hpp"

#include "sweepflux/record/json_text_private.hpp"

namespace sweepflux {

std::string new_start_json(const std::string& kind,
                           const std::string& file,
                           const std::string& sweep) {
  Json json{{kind, file}};
  if (!sweep.empty()) {
    json["sweeps"] = Json::array({sweep});
  }
  return json_text(json);
}

}  // namespace sweepflux
