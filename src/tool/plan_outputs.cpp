#include "tool/plan_outputs.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/rests.hpp"
#include "sweepflux/record/drive_files.hpp"

#include <vector>

namespace sweepflux::tool {

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
