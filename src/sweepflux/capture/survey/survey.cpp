#include "sweepflux/capture/survey/survey.hpp"

#include <numbers>
#include <utility>

namespace sweepflux {
namespace {

std::string all_messages(const std::vector<Finding>& findings) {
  std::string text;
  for (const Finding& finding : findings) {
    text += (text.empty() ? "" : "\n") + finding.message();
  }
  return text;
}

}  // namespace

std::string Finding::message() const {
  std::string place = spot.file.string();
  if (spot.line > 0) {
    place += ":" + std::to_string(spot.line);
    if (spot.column > 0) {
      place += ":" + std::to_string(spot.column);
    }
  }
  return place.empty() ? text : place + ": " + text;
}

SurveyError::SurveyError(std::vector<Finding> findings)
    : InputError(all_messages(findings)), findings_(std::move(findings)) {}

const char* probe_kind_name(ProbeKind kind) {
  switch (kind) {
    case ProbeKind::vane:
      return "vane";
    case ProbeKind::thermal:
      return "thermal";
    case ProbeKind::hot_wire:
      return "hot-wire";
    case ProbeKind::pitot:
      return "pitot";
    case ProbeKind::ultrasonic:
      return "ultrasonic";
  }
  return "";
}

double Outlet::area_m2() const {
  return shape == OutletShape::round ? std::numbers::pi / 4.0 * diameter_m * diameter_m
                                     : width_m * height_m;
}

}  // namespace sweepflux
