#include "sweepflux/record/plan_files.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/record/json_text_private.hpp"

#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

double degrees(double radians) { return radians * 180.0 / std::numbers::pi; }

std::string cell(double value) { return format_number(value, 7); }

}  // namespace

std::string plan_json(const Survey& survey, const Schedule& schedule) {
  Json sweeps = Json::array();
  for (const PlannedSweep& s : schedule.sweeps) {
    Json positions = Json::array();
    for (const Stop& stop : s.stops) {
      positions.push_back(survey.rig.motion == Motion::swivel
                              ? std::round(degrees(stop.angle_rad) * 100.0) / 100.0
                              : std::round(stop.across_m * 1e4) / 1e4);
    }
    Json one;
    one["order"] = s.order;
    one["distance_m"] = s.distance_m;
    one["height_m"] = s.height_m;
    one[survey.rig.motion == Motion::swivel ? "angles_deg" : "across_m"] = positions;
    one["minutes"] = s.minutes;
    one["elapsed_minutes"] = s.elapsed_minutes;
    one["momentum_uncertainty_after_n"] = s.momentum_uncertainty_after_n;
    one["flow_uncertainty_after_m3_s"] = s.flow_uncertainty_after_m3_s;
    one["target_share_after"] = s.target_share_after;
    sweeps.push_back(one);
  }
  Json all;
  all["sweeps"] = sweeps;
  all["stop"] = schedule.stop;
  all["stalls"] = schedule.stalls;
  all["why"] = schedule.why;
  all["before_any_data"] = schedule.before_any_data;
  all["target_share_now"] = schedule.target_share_now;
  all["minutes_saved_by_stops"] = schedule.minutes_saved_by_stops;
  all["reasons"] = schedule.reasons;
  all["caveats"] = schedule.caveats;
  return json_text(all);
}

std::string plan_csv(const Schedule& schedule) {
  std::string out =
      "order,distance_m,height_m,stops,minutes,elapsed_minutes,momentum_uncertainty_after_n,"
      "flow_uncertainty_after_m3_s\n";
  for (const PlannedSweep& s : schedule.sweeps) {
    out += std::to_string(s.order) + "," + cell(s.distance_m) + "," + cell(s.height_m) + "," +
           std::to_string(s.stops.size()) + "," + cell(s.minutes) + "," + cell(s.elapsed_minutes) +
           "," + cell(s.momentum_uncertainty_after_n) + "," + cell(s.flow_uncertainty_after_m3_s) +
           "\n";
  }
  return out;
}

}  // namespace sweepflux
