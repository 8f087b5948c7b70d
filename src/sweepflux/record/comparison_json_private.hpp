#pragma once

#include "sweepflux/rank/compare.hpp"
#include "sweepflux/record/json_text_private.hpp"

#include <optional>
#include <utility>

namespace sweepflux {

template <typename T>
[[nodiscard]] Json to_json(const std::optional<T>& maybe) {
  return maybe ? to_json(*maybe) : Json(nullptr);
}

[[nodiscard]] inline Json who(const FanAtSetting& e) {
  Json json{{"fan", e.fan}, {"setting", e.setting}};
  if (!e.variant.empty()) {
    json["variant"] = e.variant;
  }
  return json;
}

[[nodiscard]] inline Json distance(const std::optional<double>& downstream_m) {
  return downstream_m ? number(*downstream_m) : Json(nullptr);
}

template <typename Items, typename Turn>
[[nodiscard]] Json list_of(const Items& items, Turn turn) {
  Json array = Json::array();
  for (const auto& item : items) {
    array.push_back(turn(item));
  }
  return array;
}

/// Adds what a campaign has beyond its rows: variants, probe_check, equal_sound, seat, profiles.
void add_campaign_parts(Json& json, const Comparison& comparison);

}  // namespace sweepflux
