#include "tool/map_text.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/record/tables.hpp"
#include "tool/columns.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace sweepflux::tool {
namespace {

std::string count_of(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

/// No stand is set, and no centre found, better than that.
std::string to_millimetre(double length_m) { return metres_text(std::round(length_m * 1e3) / 1e3); }

/// Cuts a sentence into lines at blanks; all but the first are indented.
std::string wrapped(const std::string& text, std::size_t indent) {
  constexpr std::size_t widest = 98;
  std::string lines;
  std::size_t column = 0;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = std::min(text.find(' ', from), text.size());
    const std::size_t length = to - from;
    if (column > indent && column + 1 + length > widest) {
      lines += "\n" + std::string(indent, ' ');
      column = indent;
    } else if (from > 0) {
      lines += ' ';
      ++column;
    }
    lines.append(text, from, length);
    column += length;
    from = to + 1;
  }
  return lines + "\n";
}

std::string warnings(const SurveyResult& result) {
  std::string text;
  for (const std::string& warning : result.warnings) {
    text += wrapped("warning: " + warning, 2);
  }
  for (const PlaneResult& plane : result.planes) {
    for (const std::string& warning : plane.warnings) {
      text += wrapped("warning: " + metres_text(plane.distance_m) + ": " + warning, 2);
    }
  }
  return text.empty() ? "" : text + "\n";
}

std::string heading(const SurveyResult& result) {
  const Survey& survey = result.survey;
  std::string text = survey.title.empty() ? "survey" : survey.title;
  text += " (" + survey.fan + ", setting " + survey.setting + ")\n";
  text += "air " +
          format_with_uncertainty(
              result.density_kg_m3.value, result.density_kg_m3.standard_uncertainty, "kg/m3") +
          "; " + result.method + "\n";
  return text;
}

/// To the last place that the uncertainty leaves standing, as in "0.613 +- 0.031".
std::string rounded_like(double value, double standard_uncertainty) {
  const std::string text = format_with_uncertainty(value, standard_uncertainty, "");
  return text.substr(0, text.find(" +-"));
}

/// "  flow       0.613 +- 0.031 m3/s    95 %: 0.553 to 0.673    21 % extrapolated"
std::string estimate_line(const std::string& name,
                          const Estimate& estimate,
                          const std::string& unit,
                          const std::string& remark = "") {
  const double u = estimate.standard_uncertainty;
  std::string text =
      left_aligned("  " + name, 18, 2) + format_with_uncertainty(estimate.value, u, unit);
  text = left_aligned(text, 41, 2) + "95 %: " + rounded_like(estimate.low_95, u) + " to " +
         rounded_like(estimate.high_95, u);
  return (remark.empty() ? text : left_aligned(text, 65, 2) + remark) + "\n";
}

std::string shape_lines(const PlaneResult& plane) {
  const double aside_m = std::abs(plane.centre.y_m);
  const std::string aside = aside_m < 5e-4 ? "on the axis"
                                           : to_millimetre(aside_m) + " to the " +
                                                 (plane.centre.y_m < 0 ? "left" : "right");
  std::string text = "  peak       " + format_number(plane.peak_speed_m_s, 3) + " m/s; centre " +
                     aside + ", " + to_millimetre(plane.centre.z_m) + " high\n";
  if (std::isfinite(plane.half_width_y_m) && std::isfinite(plane.half_width_z_m)) {
    text += "  half width " + format_number(plane.half_width_y_m, 2) + " m across, " +
            format_number(plane.half_width_z_m, 2) + " m up\n";
  }
  return text;
}

std::string plane_text(const PlaneResult& plane) {
  std::string text = "\nplane at " + metres_text(plane.distance_m) + ": " +
                     count_of(plane.sweeps, "sweep") + ", " + count_of(plane.readings, "reading");
  if (plane.censored > 0) {
    text += " (" + std::to_string(plane.censored) + " under the starting speed)";
  }
  if (plane.left_out > 0) {
    text += ", " + std::to_string(plane.left_out) + " left out";
  }
  text += "\n";
  if (plane.withheld.empty()) {
    const auto extrapolated = [](double share) { return percent_text(share) + " extrapolated"; };
    text += estimate_line("flow", plane.volume_flow_m3_s, "m3/s", extrapolated(plane.flow_extrapolated));
    text += estimate_line(
        "momentum flux", plane.momentum_flux_n, "N", extrapolated(plane.momentum_extrapolated));
    text += estimate_line("kinetic power", plane.kinetic_power_w, "W");
  } else {
    text += wrapped("  whole plane    withheld: " + plane.withheld, 17);
  }
  if (plane.inside_flow_m3_s && plane.inside_momentum_flux_n) {
    text += estimate_line("  inside window", *plane.inside_flow_m3_s, "m3/s");
    text += estimate_line("", *plane.inside_momentum_flux_n, "N");
  }
  text += shape_lines(plane);
  if (!plane.budget.empty()) {
    text += "  largest contribution to the momentum flux's uncertainty: " +
            plane.budget.front().source + " (" +
            format_number(plane.budget.front().momentum_flux_n, 2) + " N)\n";
  }
  for (const OutlyingReading& reading : plane.outlying) {
    text += wrapped("  far from the others, but used: " + reading.sweep + " line " +
                        std::to_string(reading.line) + ": " + format_number(reading.speed_m_s, 3) +
                        " m/s, expected " + format_number(reading.expected_m_s, 3) + " m/s",
                    4);
  }
  return text;
}

std::string check_text(const CrossCheck& check, const std::string& where) {
  const double u = (check.ratio_high_95 - check.ratio_low_95) / 4;
  std::string text = where + " the momentum flux is " + rounded_like(check.ratio, u) +
                     " of the thrust (95 %: " + rounded_like(check.ratio_low_95, u) + " to " +
                     rounded_like(check.ratio_high_95, u) + "): ";
  text += check.agrees ? "they agree within their uncertainties" : "they do NOT agree";
  text = wrapped(text + " (normalised error " + format_number(check.normalised_error, 2) + ")", 4);
  if (!check.agrees) {
    std::size_t rank = 0;
    for (const Explanation& explanation : check.explanations) {
      text += wrapped("    " + std::to_string(++rank) + ". " + explanation.text, 7);
    }
  }
  return text;
}

/// What two planes or more say together.
std::string stream_text(const SurveyResult& result) {
  if (!result.stream || !result.stream->spread_rate) {
    return "";
  }
  const StreamSummary& s = *result.stream;
  std::string text = "\nall planes together\n" + estimate_line("momentum flux", s.momentum_flux_n, "N",
                                                               s.momentum_constant
                                                                   ? "constant along the stream"
                                                                   : "NOT constant along the stream");
  text += estimate_line("virtual origin", *s.virtual_origin_m, "m", "downstream of the outlet");
  text += estimate_line("spread rate", *s.spread_rate, "", "round free jet: 0.094");
  return text + estimate_line("entrainment", *s.entrainment_rate, "", "round free jet: 0.282");
}

std::string thrust_text(const SurveyResult& result) {
  if (!result.thrust_n) {
    return "\nno balance readings, so nothing to hold the momentum flux against\n";
  }
  std::string text =
      "\nbalance: thrust " +
      format_with_uncertainty(result.thrust_n->value, result.thrust_n->standard_uncertainty, "N") +
      "\n";
  for (const std::string& remark : result.thrust_remarks) {
    text += wrapped("  " + remark, 4);
  }
  if (result.stream_check && result.cross_check.size() > 1) {
    text += check_text(*result.stream_check, "  all planes together");
  }
  for (const CrossCheck& check : result.cross_check) {
    text += check_text(check, "  at " + metres_text(check.distance_m));
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
  std::string text = "\nleft out: " + count_of(count, "row") + "\n";
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
  if (result.next_sweep) {
    text +=
        "\n" + wrapped("most informative next sweep: at " + metres_text(result.next_sweep->distance_m) +
                           ", height " + to_millimetre(result.next_sweep->height_m) +
                           "; the momentum flux there would then be known to " +
                           format_number(result.next_sweep->momentum_uncertainty_after_n, 2) + " N",
                       2);
  }
  text += left_out_text(result.survey.sweeps);
  std::string defaults;
  for (const std::string& value : result.survey.defaults_used) {
    defaults += (defaults.empty() ? "\nnot stated, so taken: " : "; ") + value;
  }
  text += defaults.empty() ? "" : wrapped(defaults, 2);
  for (const Finding& remark : result.survey.remarks) {
    text += wrapped("remark: " + remark.message(), 2);
  }
  return text;
}

}  // namespace sweepflux::tool
