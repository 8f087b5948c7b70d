#pragma once

#include "sweepflux/base/finding.hpp"
#include "sweepflux/base/measured.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <optional>
#include <string>

namespace sweepflux {

using Json = nlohmann::ordered_json;  // the keys stay in the order in which a person reads them

/// JSON has no word for a number that is none.
[[nodiscard]] inline Json number(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

[[nodiscard]] inline Json number(const std::optional<double>& maybe) {
  return maybe ? number(*maybe) : Json(nullptr);
}

[[nodiscard]] inline Json to_json(const Measured& m) {
  return {{"value", number(m.value)}, {"standard_uncertainty", number(m.standard_uncertainty)}};
}

[[nodiscard]] inline Json to_json(const Finding& remark) {
  return {{"file", remark.spot.file.filename().string()},
          {"line", remark.spot.line},
          {"column", remark.spot.column},
          {"text", remark.text}};
}

[[nodiscard]] inline Json to_json(const Estimate& e) {
  return {{"value", number(e.value)},
          {"standard_uncertainty", number(e.standard_uncertainty)},
          {"interval_95", {number(e.low_95), number(e.high_95)}}};
}

template <typename T>
[[nodiscard]] Json to_json(const std::optional<T>& maybe) {
  return maybe ? to_json(*maybe) : Json(nullptr);
}

template <typename Items, typename Turn>
[[nodiscard]] Json list_of(const Items& items, Turn turn) {
  Json array = Json::array();
  for (const auto& item : items) {
    array.push_back(turn(item));
  }
  return array;
}

/// Text of a document; bytes that are no UTF-8 are replaced.
[[nodiscard]] inline std::string json_text(const Json& json, int indent = 2) {
  return json.dump(indent, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace sweepflux
