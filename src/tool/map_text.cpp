#include "tool/map_text.hpp"

#include "sweepflux/base/combination.hpp"
#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/survey_summary.hpp"
#include "tool/columns.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

namespace sweepflux::tool {
namespace {

/// Two decimals of a metre, or three where `fine`: no stand is set, and no centre found, better.
std::string fixed_metres(double length_m, bool fine = false) {
  return fixed_number(length_m, fine ? 3 : 2) + " m";
}

/// What a reader must know before the numbers: one line a kind, with all planes that it holds for.
std::string warnings(const SurveyResult& result) {
  std::vector<PlacedText> all;
  for (const std::string& warning : result.warnings) {
    all.push_back({"", warning});
  }
  for (const PlaneResult& plane : result.planes) {
    for (const std::string& warning : plane.warnings) {
      all.push_back({metres_text(plane.distance_m), warning});
    }
  }
  std::string text;
  for (const std::string& line : one_line_a_kind(all)) {
    text += wrapped("warning: " + line, 2);
  }
  return text.empty() ? "" : text + "\n";
}

std::string heading(const SurveyResult& result) {
  const Survey& survey = result.survey;
  std::string text = survey.title.empty() ? "survey" : survey.title;
  text += " (" + survey.fan + ", setting " + survey.setting + ")\n";
  text += std::string(uncertainty_words) + "; left and right for someone who faces the fan\n";
  text += wrapped("method: " + result.method, 2);
  text += "air density " +
          format_with_uncertainty(
              result.density_kg_m3.value, result.density_kg_m3.standard_uncertainty, "kg/m3") +
          "\n";
  std::size_t readings = 0, censored = 0;
  for (const PlaneResult& plane : result.planes) {
    readings += plane.readings;
    censored += plane.censored;
  }
  if (censored > 0) {
    text += wrapped(std::to_string(censored) + " of " + count_text(readings, "reading") +
                        " are under the probe's starting speed of " +
                        format_number(survey.probe.starting_speed_m_s, 3) +
                        " m/s: normal outside the stream; each counts as \"below that speed\", not "
                        "as zero",
                    2);
  }
  return text;
}

/// To the last place that the uncertainty leaves standing, as in "0.613 +- 0.031".
std::string rounded_like(double value, double standard_uncertainty) {
  const std::string text = format_with_uncertainty(value, standard_uncertainty, "");
  return text.substr(0, text.find(" +-"));
}

/// "  volume flow      0.613 +- 0.031 m3/s    95 %: 0.553 to 0.673    21 % extrapolated"
std::string estimate_line(const std::string& name,
                          const Estimate& estimate,
                          const std::string& unit,
                          const std::string& remark = "") {
  const double u = estimate.standard_uncertainty;
  std::string text =
      left_aligned("  " + name, 20, 2) + format_with_uncertainty(estimate.value, u, unit);
  text = left_aligned(text, 43, 2) + "95 %: " + rounded_like(estimate.low_95, u) + " to " +
         rounded_like(estimate.high_95, u);
  return (remark.empty() ? text : left_aligned(text, 69, 2) + remark) + "\n";
}

/// In whole percent; nothing where the method computes none.
std::string extrapolated_text(double share) {
  if (!std::isfinite(share)) {
    return "";
  }
  const long percent = std::lround(100.0 * share);
  return (percent < 1 ? "under 1" : std::to_string(percent)) + " % extrapolated";
}

std::string shape_lines(const PlaneResult& plane) {
  std::string text;
  if (std::isfinite(plane.peak_speed_m_s)) {
    const double aside_m = std::abs(plane.centre.y_m);
    text += "  peak speed        " + fixed_number(plane.peak_speed_m_s, 2) + " m/s\n  centre            " +
            (aside_m < 5e-4 ? "on the axis"
                            : fixed_metres(aside_m, true) + " to the " +
                                  (plane.centre.y_m < 0 ? "left" : "right")) +
            ", " + fixed_metres(plane.centre.z_m, true) + " above the floor\n";
  }
  if (std::isfinite(plane.half_width_y_m) && std::isfinite(plane.half_width_z_m)) {
    text += "  half-width        " + fixed_metres(plane.half_width_y_m) + " across, " +
            fixed_metres(plane.half_width_z_m) + " up\n";
  }
  return text;
}

std::string plane_text(const PlaneResult& plane) {
  std::string text = "\nplane at " + metres_text(plane.distance_m) + ": " +
                     count_text(plane.sweeps, "sweep") + ", " +
                     count_text(plane.readings, "reading");
  if (plane.left_out > 0) {
    text += ", " + count_text(plane.left_out, "row") + " left out";
  }
  text += "\n";
  if (plane.withheld.empty()) {
    text += estimate_line(
        "volume flow", plane.volume_flow_m3_s, "m3/s", extrapolated_text(plane.flow_extrapolated));
    text += estimate_line("momentum flux",
                          plane.momentum_flux_n,
                          "N",
                          extrapolated_text(plane.momentum_extrapolated));
    text += estimate_line("kinetic power", plane.kinetic_power_w, "W");
  } else {
    text += wrapped("  whole plane       withheld: " + plane.withheld, 20);
  }
  if (plane.inside_flow_m3_s && plane.inside_momentum_flux_n) {
    text += "  inside the window that was read:\n" +
            estimate_line("  volume flow", *plane.inside_flow_m3_s, "m3/s") +
            estimate_line("  momentum flux", *plane.inside_momentum_flux_n, "N");
  }
  text += shape_lines(plane);
  if (!plane.budget.empty()) {
    text += wrapped("  dominant contribution to the uncertainty of the momentum flux: " +
                        plane.budget.front().source + " (+- " +
                        rounded_like(plane.budget.front().momentum_flux_n,
                                     plane.momentum_flux_n.standard_uncertainty) +
                        " N)",
                    4);
  }
  for (const OutlyingReading& reading : plane.outlying) {
    text += wrapped("  far from the others, but used: " + reading.sweep + " line " +
                        std::to_string(reading.line) + ": " + format_number(reading.speed_m_s, 3) +
                        " m/s, predicted " + format_number(reading.expected_m_s, 3) + " m/s",
                    4);
  }
  return text;
}

/// One row of momentum flux over thrust.
std::string check_row(const CrossCheck& check, const std::string& where) {
  const double u = (check.ratio_high_95 - check.ratio_low_95) / 4;
  std::string text = left_aligned("    " + where, 29, 2) + rounded_like(check.ratio, u);
  text = left_aligned(text, 37, 2) + rounded_like(check.ratio_low_95, u) + " to " +
         rounded_like(check.ratio_high_95, u);
  return left_aligned(text, 54, 2) + right_aligned(fixed_number(check.normalised_error, 2), 16) +
         (check.agrees ? "  yes\n" : "  NO\n");
}

std::string explanations(const CrossCheck& check) {
  if (check.agrees) {
    return "";
  }
  std::string text =
      "  at " + metres_text(check.distance_m) + ", what could explain the gap, likeliest first:\n";
  std::size_t rank = 0;
  for (const Explanation& explanation : check.explanations) {
    text += wrapped("    " + std::to_string(++rank) + ". " + explanation.text, 7);
  }
  return text;
}

/// What two planes or more say together.
std::string stream_text(const SurveyResult& result) {
  if (!result.stream || !result.stream->spread_rate) {
    return "";
  }
  const StreamSummary& s = *result.stream;
  std::string text = "\nall planes together\n" +
                     estimate_line("momentum flux",
                                   s.momentum_flux_n,
                                   "N",
                                   s.momentum_constant ? "constant along the stream"
                                                       : "NOT constant along the stream");
  std::vector<double> planes;
  for (const PlaneResult& plane : result.planes) {
    if (std::isfinite(plane.momentum_flux_n.value)) {
      planes.push_back(plane.momentum_flux_n.value);
    }
  }
  const std::string outside = outside_parts_words(s.momentum_flux_n.value, planes);
  text += outside.empty() ? "" : wrapped("    (" + outside + ")", 4);
  text += estimate_line("virtual origin", *s.virtual_origin_m, "m", "from the outlet, downstream positive");
  text += estimate_line("spread rate", *s.spread_rate, "", "round free jet: 0.094");
  return text + estimate_line("entrainment", *s.entrainment_rate, "", "round free jet: 0.282");
}

std::string thrust_text(const SurveyResult& result) {
  if (!result.thrust_n) {
    return "\nno balance readings, so nothing outside the sweeps checks the momentum flux\n";
  }
  std::string text =
      "\nbalance: thrust " +
      format_with_uncertainty(result.thrust_n->value, result.thrust_n->standard_uncertainty, "N") +
      "\n";
  for (const std::string& remark : result.thrust_remarks) {
    text += wrapped("  " + remark, 4);
  }
  if (!result.cross_check.empty()) {
    text += "  momentum flux over thrust  ratio   95 % interval    normalised error  agree\n";
  }
  if (result.stream_check && result.cross_check.size() > 1) {
    text += check_row(*result.stream_check, "all planes together");
  }
  for (const CrossCheck& check : result.cross_check) {
    text += check_row(check, "at " + metres_text(check.distance_m));
  }
  if (!result.cross_check.empty()) {
    text += wrapped(
        "  normalised error: the gap over the expanded uncertainties (95 %) of both, root sum of "
        "squares; from -1 to 1 they agree (ISO 13528)",
        4);
  }
  for (const CrossCheck& check : result.cross_check) {
    text += explanations(check);
  }
  return text;
}

/// Every row that gave no reading, gathered by reason, with the place of each.
std::string left_out_text(const std::vector<Sweep>& sweeps) {
  std::map<std::string, std::vector<std::string>> places;
  std::size_t count = 0;
  for (const Sweep& sweep : sweeps) {
    for (const LeftOut& row : sweep.left_out) {
      places[row.reason].push_back(sweep.name + " line " + std::to_string(row.line));
      ++count;
    }
  }
  if (count == 0) {
    return "";
  }
  constexpr std::size_t most_places = 6;
  std::string text = "\nleft out: " + count_text(count, "row") + "\n";
  for (const auto& [reason, where] : places) {
    std::string line = "  " + std::to_string(where.size()) + " x " + reason + ":";
    for (std::size_t i = 0; i < where.size() && i < most_places; ++i) {
      line += (i == 0 ? " " : ", ") + where[i];
    }
    if (where.size() > most_places) {
      line += ", ... (all in summary.json)";
    }
    text += wrapped(line, 4);
  }
  return text;
}

}  // namespace

std::string map_text(const SurveyResult& result) {
  std::string text = warnings(result) + heading(result);
  for (const PlaneResult& plane : result.planes) {
    text += plane_text(plane);
  }
  text += stream_text(result);
  text += thrust_text(result);
  if (const std::string next = next_sweep_text(result); !next.empty()) {
    text += "\n" + wrapped(next, 2);
  }
  text += left_out_text(result.survey.sweeps);
  std::string defaults;
  for (const std::string& value : result.survey.defaults_used) {
    defaults += (defaults.empty() ? "\nnot stated, so taken: " : "; ") + value;
  }
  text += defaults.empty() ? "" : wrapped(defaults, 2);
  for (const std::string& line : remark_lines(result.survey.remarks)) {
    text += wrapped("remark: " + line, 2);
  }
  return text;
}

std::string running_plane_text(const SurveyResult& result, double distance_m) {
  std::string text;
  for (const PlaneResult& plane : result.planes) {
    if (std::abs(plane.distance_m - distance_m) > 0.002) {
      continue;
    }
    text += "plane at " + metres_text(plane.distance_m) + " with " +
            count_text(plane.sweeps, "sweep") + " (" + uncertainty_words + "):\n";
    // Why a plane has no number stands in its warnings.
    const auto line = [&](const char* name, const Estimate& e, const char* unit) {
      if (plane.withheld.empty()) {
        text += name + format_with_uncertainty(e.value, e.standard_uncertainty, unit) + "\n";
      }
    };
    line("  volume flow    ", plane.volume_flow_m3_s, "m3/s");
    line("  momentum flux  ", plane.momentum_flux_n, "N");
    for (const std::string& warning : plane.warnings) {
      text += "! " + warning + "\n";
    }
  }
  const std::string next = next_sweep_text(result);
  return next.empty() ? text : text + next + "\n";
}

}  // namespace sweepflux::tool
