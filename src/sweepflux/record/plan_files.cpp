#include "sweepflux/record/plan_files.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/log/rests.hpp"
#include "sweepflux/record/json_text_private.hpp"

#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

double degrees(double radians) { return radians * 180.0 / std::numbers::pi; }

std::string cell(double value) { return format_number(value, 7); }

/// Milliseconds: finer is no rig.
std::string seconds(double time_s) { return cell(std::round(time_s * 1000.0) / 1000.0); }

/// Degrees, or `metre` for each metre.
double shown(const Rig& rig, double position, double metre) {
  return rig.motion == Motion::swivel ? std::round(position / degree_rad * 1000.0) / 1000.0
                                      : std::round(position * metre * 1e4) / 1e4;
}

/// A remark in round brackets, which hold plain letters and no brackets.
std::string remark(std::string text) {
  for (char& c : text) {
    const bool plain = c >= ' ' && c <= '~' && c != '(' && c != ')' && c != '%';
    c = plain ? c : '_';
  }
  return "(" + text + ")\n";
}

std::string range_text(const Rig& rig, double low, double high) {
  return place_text(low, rig.motion) + " to " + place_text(high, rig.motion);
}

}  // namespace

std::string plan_json(const Survey& survey, const Schedule& schedule) {
  const bool swivel = survey.rig.motion == Motion::swivel;
  Json all;
  all["sweeps"] = list_of(schedule.sweeps, [&](const PlannedSweep& s) {
    return Json{{"order", s.order},
                {"distance_m", s.distance_m},
                {"height_m", s.height_m},
                {swivel ? "angles_deg" : "across_m",
                 list_of(s.stops,
                         [&](const Stop& stop) {
                           return swivel ? std::round(degrees(stop.position) * 100.0) / 100.0
                                         : std::round(stop.position * 1e4) / 1e4;
                         })},
                {"minutes", s.minutes},
                {"elapsed_minutes", s.elapsed_minutes},
                {"momentum_uncertainty_after_n", s.momentum_uncertainty_after_n},
                {"flow_uncertainty_after_m3_s", s.flow_uncertainty_after_m3_s},
                {"target_share_after", s.target_share_after}};
  });
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

std::string steps_csv(const Rig& rig, std::span<const DrivenSweep> sweeps) {
  const bool swivel = rig.motion == Motion::swivel;
  std::string out = std::string("sweep,distance_m,height_m,") +
                    (swivel ? "angle_deg" : "across_m") + ",time_s,settle_s,dwell_s\n";
  for (const auto& [sweep, run] : sweeps) {
    for (const DriveStop& stop : run.stops) {
      out += std::to_string(sweep.order) + "," + cell(sweep.distance_m) + "," +
             cell(sweep.height_m) + "," + cell(shown(rig, stop.position, 1.0)) + "," +
             seconds(stop.start_s) + "," + seconds(stop.move_s + stop.settle_s) + "," +
             seconds(stop.dwell_s) + "\n";
    }
  }
  return out;
}

std::string motor_steps_csv(const Rig& rig, std::span<const DrivenSweep> sweeps) {
  std::string out = "sweep,time_s,move_steps,position_steps,move_s,wait_s\n";
  for (const auto& [sweep, run] : sweeps) {
    const std::string order = std::to_string(sweep.order);
    long at = motor_steps(rig.drive, run.home);
    const auto row = [&](double time_s, double position, double move_s, double wait_s) {
      const long to = motor_steps(rig.drive, position);
      out += order + "," + seconds(time_s) + "," + std::to_string(to - at) + "," +
             std::to_string(to) + "," + seconds(move_s) + "," + seconds(wait_s) + "\n";
      at = to;
    };
    row(0.0, run.run_up, run.stops.front().start_s, 0.0);
    for (const DriveStop& stop : run.stops) {
      row(stop.start_s, stop.position, stop.move_s, stop.settle_s + stop.dwell_s);
    }
    const DriveStop& last = run.stops.back();
    const double end_s = last.start_s + last.move_s + last.settle_s + last.dwell_s;
    row(end_s, run.home, run.seconds - end_s, 0.0);
  }
  return out;
}

std::string drive_program(const Survey& survey, const DrivenSweep& driven) {
  const auto& [sweep, run] = driven;
  const Rig& rig = survey.rig;
  const Drive& drive = rig.drive;
  const bool swivel = rig.motion == Motion::swivel;
  const std::string axis(1, drive.axis);
  const auto word = [&](double position) { return axis + cell(shown(rig, position, 1000.0)); };
  const double feed = swivel ? drive.feed / degree_rad : drive.feed * 1000.0;  // a second
  std::string out = "%\n";
  out += remark("sweep " + std::to_string(sweep.order) +
                (survey.title.empty() ? "" : " of " + survey.title));
  out += remark("before: probe at " + format_number(sweep.distance_m, 4) + " m, height " +
                format_number(sweep.height_m, 4) + " m; start logger and program together");
  out += remark("guard on; hands, hair and cables clear of fan and rig while they can move");
  out += remark("have an end stop and a switch-off that depend on no computer; first run: fan off");
  out += remark("local codes and the maker's instructions come before this program");
  out += remark(word(run.home) + " is where the rig must stand now; " +
                (swivel ? "degrees" : "millimetres") + ", positions as recorded, absolute");
  out +=
      remark((drive.limits ? "limits " + range_text(rig, drive.limits->first, drive.limits->second)
                           : std::string("no limits are stated: set those of the controller")) +
             "; run up at " + place_text(run.run_up, rig.motion) + ", " +
             std::to_string(run.stops.size()) + " stops " +
             range_text(rig, run.stops.front().position, run.stops.back().position));
  out += remark("feed " + format_number(feed, 4) + (swivel ? " deg/s" : " mm/s") + "; G4 P in " +
                (drive.dwell_in_milliseconds ? "milliseconds" : "seconds") + "; about " +
                format_number(run.seconds / 60.0, 3) + " min");
  std::size_t block = 0;
  const auto line = [&](const std::string& words) {
    block += 10;
    out += "N" + std::to_string(block) + " " + words + "\n";
  };
  const auto pause = [&](double time_s) {
    return "G4 P" + (drive.dwell_in_milliseconds ? std::to_string(std::lround(time_s * 1000.0))
                                                 : seconds(time_s));
  };
  line("G90 G94");
  line("G1 " + word(run.run_up) + " F" + cell(60.0 * feed));
  for (const DriveStop& stop : run.stops) {
    line("G1 " + word(stop.position));
    line(pause(stop.settle_s + stop.dwell_s));
  }
  line("G1 " + word(run.home));
  line("M30");
  return out + "%\n";
}

std::string drive_program_name(const PlannedSweep& sweep) {
  return "sweep-" + std::to_string(sweep.order) + ".nc";
}

}  // namespace sweepflux
