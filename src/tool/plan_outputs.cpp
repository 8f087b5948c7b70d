#include "tool/plan_outputs.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/rests.hpp"
#include "sweepflux/record/plan_files.hpp"
#include "tool/columns.hpp"

#include <algorithm>
#include <cctype>
#include <numbers>
#include <vector>

namespace sweepflux::tool {
namespace {

/// Half of a 95 % interval, as a column's cell.
std::string interval(double share) {
  const double percent = 100.0 * normal_95 * share;
  return percent > 100.0 ? "> 100 %" : fixed_number(percent, 1) + " %";
}

std::string range_text(const Survey& survey, const PlannedSweep& s) {
  const bool swivel = survey.rig.motion == Motion::swivel;
  const auto cell = [swivel](double position) {
    return swivel ? fixed_number(position * (180.0 / std::numbers::pi), 1)
                  : fixed_number(position, 2);
  };
  return cell(s.stops.front().position) + " to " + cell(s.stops.back().position) +
         (swivel ? " deg" : " m");
}

}  // namespace

std::string plan_cautions() {
  return "\n" +
         wrapped(
             "At the rig: keep the guard on, and hands, hair and cables clear of fan and table "
             "whenever they can move. Cut the power and wait for the blades to stop before you "
             "change anything. Leave a rig to run unattended only with an end stop and a "
             "switch-off "
             "that do not depend on this program or its computer. Protect your ears where it is "
             "loud. Mains work belongs to a qualified person; local codes and the maker's "
             "instructions come before anything printed here.",
             0);
}

std::string plan_text(const Survey& survey, const Schedule& schedule) {
  std::string out;
  if (schedule.before_any_data) {
    out +=
        "Ask again after each sweep: before any data these numbers rest on the outlet and a rough\n"
        "expected speed.\n";
  }
  out += "+- expanded uncertainty: half of the 95 % interval, as a share of the value\n";
  if (!schedule.why.empty()) {
    std::string why = schedule.why;
    why[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(why[0])));
    out += wrapped(why + ".", 2);
  }
  for (const std::string& c : schedule.caveats) {
    out += wrapped("Note: " + c + ".", 2);
  }
  for (const std::string& r : schedule.reasons) {
    out += wrapped("  - " + r, 4);
  }
  if (schedule.sweeps.empty()) {
    return out;
  }
  out +=
      "\n  #  distance  height  stops  range              minutes  elapsed  momentum flux     flow"
      "  least certain\n" +
      right_aligned("of this plane", 89) + right_aligned("plane", 15) + "\n";
  for (const PlannedSweep& s : schedule.sweeps) {
    out += right_aligned(std::to_string(s.order), 3) +
           right_aligned(fixed_number(s.distance_m, 2) + " m", 10) +
           right_aligned(fixed_number(s.height_m, 2) + " m", 8) +
           right_aligned(std::to_string(s.stops.size()), 7) + "  " +
           left_aligned(range_text(survey, s), 19, 1) +
           right_aligned(fixed_number(s.minutes, 1), 7) +
           right_aligned(fixed_number(s.elapsed_minutes, 0), 9) +
           right_aligned(interval(s.momentum_share_after), 15) +
           right_aligned(interval(s.flow_share_after), 9) +
           right_aligned(interval(s.target_share_after), 15) + "\n";
  }
  if (schedule.knee + 1 < schedule.sweeps.size()) {
    out += "\nAfter sweep " + std::to_string(schedule.knee + 1) +
           " each further sweep lowers the uncertainty less.\n";
  }
  if (schedule.minutes_saved_by_stops > 0.5) {
    out += "Coarser steps and shorter dwells in the outer region save " +
           fixed_number(schedule.minutes_saved_by_stops, 0) +
           " minutes against the finest step throughout.\n";
  }
  return out;
}

std::string add_drive_files(const Survey& survey, const Schedule& schedule, ResultFolder& folder) {
  const Rig& rig = survey.rig;
  std::vector<DrivenSweep> sweeps;
  for (const PlannedSweep& sweep : schedule.sweeps) {
    sweeps.push_back({sweep, drive_run(rig, sweep)});
    folder.add(drive_program_name(sweep), drive_program(survey, sweeps.back()));
  }
  if (sweeps.empty()) {
    return {};
  }
  folder.add("steps.csv", steps_csv(rig, sweeps));
  if (rig.drive.step) {
    folder.add("motor-steps.csv", motor_steps_csv(rig, sweeps));
  }
  const bool swivel = rig.motion == Motion::swivel;
  std::string text = "Dry run: sweep " + std::to_string(sweeps[0].sweep.order) + " lasts " +
                     format_number(sweeps[0].run.seconds / 60.0, 3) + " min, moves at " +
                     (swivel ? format_number(rig.drive.feed / degree_rad, 3) + " deg/s"
                             : format_number(rig.drive.feed * 1000.0, 3) + " mm/s");
  text += rig.drive.limits
              ? "; every sweep stays within the limits " +
                    place_text(rig.drive.limits->first, rig.motion) + " to " +
                    place_text(rig.drive.limits->second, rig.motion) + ".\n"
              : "; no limits are stated ([rig] limits), so none were checked.\n";
  if (!rig.drive.step) {
    text += std::string("For motor steps state [rig] ") +
            (swivel ? "steps_per_revolution or step_angle" : "step_length") + ".\n";
  }
  return text;
}

}  // namespace sweepflux::tool
