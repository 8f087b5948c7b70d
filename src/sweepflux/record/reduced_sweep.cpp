#include "sweepflux/record/reduced_sweep.hpp"

#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/delimited/text_cell.hpp"
#include "sweepflux/record/json_text_private.hpp"
#include "sweepflux/record/number_text_private.hpp"

#include <cmath>

namespace sweepflux {
namespace {

void comment(std::string& text, const std::string& line) {
  text += "# " + comment_text(line) + "\n";
}

/// What was found in a log, whatever it is of, as remarks above a table.
template <typename Log>
void comment_findings(std::string& text, const Log& log) {
  for (const std::string& remark : log.remarks) {
    comment(text, remark);
  }
  for (const std::string& warning : log.warnings) {
    comment(text, "warning: " + warning);
  }
}

const char* position_key(Motion motion) {
  return motion == Motion::swivel ? "angle_deg" : "across_m";
}

double position_number(double position, Motion motion) {
  return motion == Motion::swivel ? position / degree_rad : position;
}

Json counts_json(const LogCounts& counts) {
  return {{"rows", counts.rows},
          {"missing", counts.missing},
          {"over_range", counts.over_range},
          {"under_range", counts.under_range},
          {"unreadable", counts.unreadable},
          {"undated", counts.undated},
          {"segments", counts.segments},
          {"cut_line", counts.cut_line}};
}

const char* kind_word(PlateauKind kind) {
  return kind == PlateauKind::off ? "off" : kind == PlateauKind::on ? "on" : "check mass";
}

std::string reduced_heading(Motion motion) {
  return std::string(motion == Motion::swivel ? "angle [deg]" : "across [m]") +
         ",speed [m/s],spread [m/s],standard_error [m/s],samples,dwell [s],time [s],"
         "turbulence_intensity,integral_time [s],effective_samples,direction,first_line,"
         "last_line\n";
}

std::string reduced_row(const ReducedReading& r, Motion motion) {
  std::string row;
  append_rounded(row, position_number(r.position, motion), 6);
  const auto cell = [&row](double value, int decimals) {
    row += ',';
    append_rounded(row, value, decimals);
  };
  cell(r.speed_m_s, 6);
  cell(r.spread_m_s, 6);
  cell(r.standard_error_m_s, 6);
  cell(static_cast<double>(r.samples), 0);
  cell(r.dwell_s, 3);
  cell(r.time_s, 3);
  cell(r.turbulence_intensity, 4);
  cell(r.integral_time_s, 4);
  cell(r.effective_samples, 1);
  cell(r.direction, 0);
  cell(static_cast<double>(r.first_line), 0);
  cell(static_cast<double>(r.last_line), 0);
  return row + "\n";
}

}  // namespace

std::string reduced_sweep_csv(const ReducedLog& reduced) {
  std::string text;
  comment(text,
          "reduced from the raw log " + reduced.file.filename().string() + " (" +
              count_text(reduced.counts.rows, "row") +
              "); first_line and last_line are lines of that file");
  comment_findings(text, reduced);
  for (const ReducedReading& r : reduced.readings) {
    for (const std::string& warning : r.warnings) {
      comment(text,
              "warning: at " + format_number(position_number(r.position, reduced.motion), 4) +
                  (reduced.motion == Motion::swivel ? " deg" : " m") + ", lines " +
                  std::to_string(r.first_line) + " to " + std::to_string(r.last_line) + ": " +
                  warning);
    }
  }
  text += reduced_heading(reduced.motion);
  for (const ReducedReading& r : reduced.readings) {
    text += reduced_row(r, reduced.motion);
  }
  return text;
}

std::string reduced_json(const ReducedLog& reduced) {
  Json json;
  json["log"] = reduced.file.string();
  json["counts"] = counts_json(reduced.counts);
  json["settle_s"] = number(reduced.settle_s);
  if (reduced.step_response.seen) {
    json["step_response"] = {
        {"delay_s", reduced.step_response.delay_s},
        {"time_constant_s", reduced.step_response.time_constant_s},
        {"settle_between_s",
         {reduced.step_response.settle_low_s, reduced.step_response.settle_high_s}}};
  }
  if (reduced.drift) {
    json["drift_per_s"] = to_json(reduced.drift->rate_per_s);
    json["drift_per_s"]["significant"] = reduced.drift->significant;
    json["drift_per_s"]["taken_off"] = reduced.drift_corrected;
  }
  if (reduced.backlash) {
    const double unit = reduced.motion == Motion::swivel ? degree_rad : 1.0;
    const Measured gap = {reduced.backlash->half_gap.value / unit,
                          reduced.backlash->half_gap.standard_uncertainty / unit};
    Json& part = json[reduced.motion == Motion::swivel ? "half_gap_deg" : "half_gap_m"];
    part = to_json(gap);
    part["significant"] = reduced.backlash->significant;
    part["taken_off"] = reduced.backlash_corrected;
  }
  if (reduced.continuous) {
    const ContinuousSweep& sweep = *reduced.continuous;
    Json part = {{"ways", sweep.ways},
                 {"duration_s", sweep.duration_s},
                 {"integral_u_relative_uncertainty", number(sweep.integral_u_error)},
                 {"integral_u2_relative_uncertainty", number(sweep.integral_u2_error)},
                 {"same_in_ten_minutes_stop_and_go", number(stop_and_go_error(sweep, 10.0, 0.8))}};
    if (sweep.lag_s) {
      part["lag_s"] = to_json(*sweep.lag_s);
    }
    if (sweep.used.time_constant_s) {
      part["time_constant_s"] = *sweep.used.time_constant_s;
    }
    if (sweep.used.distance_constant_m) {
      part["distance_constant_m"] = *sweep.used.distance_constant_m;
    }
    json["continuous"] = std::move(part);
  }
  json["remarks"] = reduced.remarks;
  json["warnings"] = reduced.warnings;
  json["unused_rests"] = list_of(reduced.unused_rests, [&](const UnusedRest& rest) {
    return Json{{position_key(reduced.motion), position_number(rest.position, reduced.motion)},
                {"length_s", rest.length_s},
                {"first_line", rest.first_line},
                {"last_line", rest.last_line},
                {"lost_stop", rest.lost_stop},
                {"reason", rest.reason}};
  });
  json["readings"] = list_of(reduced.readings, [&](const ReducedReading& r) {
    return Json{{position_key(reduced.motion), position_number(r.position, reduced.motion)},
                {"speed_m_s", number(r.speed_m_s)},
                {"spread_m_s", number(r.spread_m_s)},
                {"standard_error_m_s", number(r.standard_error_m_s)},
                {"turbulence_intensity", number(r.turbulence_intensity)},
                {"samples", r.samples},
                {"integral_time_s", number(r.integral_time_s)},
                {"effective_samples", number(r.effective_samples)},
                {"dwell_s", number(r.dwell_s)},
                {"time_s", number(r.time_s)},
                {"direction", r.direction},
                {"first_line", r.first_line},
                {"last_line", r.last_line},
                {"warnings", r.warnings}};
  });
  return json_text(json, 1);
}

std::string scale_csv(const ScaleLog& log) {
  std::string text;
  comment(text, "reduced from the balance log " + log.file.filename().string());
  comment_findings(text, log);
  text +=
      "label,thrust [N],thrust_uncertainty [N],at_scale [N],at_scale_uncertainty [N],zero [N],"
      "zero_drift [N],steady,"
      "first_line,last_line\n";
  for (const PlateauThrust& s : log.settings) {
    text += text_cell(s.label);
    for (const double value : {s.thrust_n.value,
                               s.thrust_n.standard_uncertainty,
                               s.at_scale_n,
                               s.at_scale_uncertainty_n,
                               s.zero_n,
                               s.zero_drift_n}) {
      text += ',';
      append_rounded(text, value, 6);
    }
    text += s.steady ? ",yes," : ",no,";
    text += std::to_string(s.first_line) + "," + std::to_string(s.last_line) + "\n";
  }
  return text;
}

std::string scale_json(const ScaleLog& log) {
  Json json;
  json["log"] = log.file.string();
  json["counts"] = counts_json(log.counts);
  json["lever_ratio"] = to_json(log.lever_ratio);
  json["lever_ratio"]["from_check_mass"] = log.ratio_from_check_mass;
  json["zero_drift_n"] = number(log.zero_drift_n);
  json["settings"] = list_of(log.settings, [&](const PlateauThrust& s) {
    return Json{{"label", s.label},
                {"thrust_n", to_json(s.thrust_n)},
                {"at_scale_n", number(s.at_scale_n)},
                {"at_scale_uncertainty_n", number(s.at_scale_uncertainty_n)},
                {"zero_n", number(s.zero_n)},
                {"zero_drift_n", number(s.zero_drift_n)},
                {"zero_on_both_sides", s.bracketed},
                {"steady", s.steady},
                {"first_line", s.first_line},
                {"last_line", s.last_line}};
  });
  json["plateaus"] = list_of(log.plateaus, [&](const Plateau& p) {
    return Json{{"kind", kind_word(p.kind)},
                {"label", p.label},
                {"mean_n", number(p.force_n.mean)},
                {"standard_deviation_n", number(p.force_n.standard_deviation)},
                {"standard_error_n", number(p.force_n.standard_error)},
                {"start_s", p.start_s},
                {"settle_s", p.settle_s},
                {"steady", p.steady},
                {"first_line", p.force_n.first_line},
                {"last_line", p.force_n.last_line}};
  });
  json["remarks"] = log.remarks;
  json["warnings"] = log.warnings;
  return json_text(json, 1);
}

}  // namespace sweepflux
