#include "tool/plan_text.hpp"

#include "sweepflux/base/unit_text.hpp"
#include "tool/columns.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <iterator>
#include <numbers>

namespace sweepflux::tool {
namespace {

constexpr double coverage = 1.96;

/// Plain digits: the table is padded by bytes. No minus before a nought.
std::string fixed(double value, int decimals) {
  char digits[64];
  const auto end = std::to_chars(
      std::begin(digits), std::end(digits), value, std::chars_format::fixed, decimals);
  const std::string text(digits, end.ptr);
  const bool nought = text.find_first_of("123456789") == std::string::npos;
  return nought && text.starts_with('-') ? text.substr(1) : text;
}

std::string range_text(const Survey& survey, const PlannedSweep& s) {
  if (survey.rig.motion == Motion::traverse) {
    return fixed(s.stops.front().across_m, 2) + " to " + fixed(s.stops.back().across_m, 2) + " m";
  }
  const double degree = 180.0 / std::numbers::pi;
  return fixed(s.stops.front().angle_rad * degree, 1) + " to " +
         fixed(s.stops.back().angle_rad * degree, 1) + " deg";
}

const char* const cautions =
    "At the rig: keep the guard on, and hands, hair and cables clear of fan and table whenever "
    "they\n"
    "can move. Cut the power and wait for the blades to stop before you change anything. Leave a "
    "rig\n"
    "to run unattended only with an end stop and a switch-off that do not depend on this program "
    "or\n"
    "its computer. Protect your ears where it is loud. Mains work belongs to a qualified person;\n"
    "local codes and the maker's instructions come before anything printed here.\n";

}  // namespace

std::string plan_text(const Survey& survey, const Schedule& schedule) {
  std::string out;
  for (const std::string& c : schedule.caveats) {
    out += "Note: " + c + "\n";
  }
  if (!schedule.why.empty()) {
    std::string why = schedule.why;
    why[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(why[0])));
    out += why + ".\n";
  }
  for (const std::string& r : schedule.reasons) {
    out += "  - " + r + "\n";
  }
  if (!schedule.sweeps.empty()) {
    out +=
        "\n  #  distance  height  stops  range                minutes  elapsed  "
        "+- momentum  +- flow    worst plane\n"
        "                                                                  "
        "      N (std)     m3/s (std) 95 %\n";
    for (const PlannedSweep& s : schedule.sweeps) {
      out += right_aligned(std::to_string(s.order), 3) +
             right_aligned(fixed(s.distance_m, 2) + " m", 10) +
             right_aligned(fixed(s.height_m, 2) + " m", 8) +
             right_aligned(std::to_string(s.stops.size()), 7) + "  " + range_text(survey, s) +
             std::string(19 - std::min<std::size_t>(18, range_text(survey, s).size()), ' ') +
             right_aligned(fixed(s.minutes, 1), 7) + right_aligned(fixed(s.elapsed_minutes, 0), 9) +
             right_aligned(format_number(s.momentum_uncertainty_after_n, 2), 13) +
             right_aligned(format_number(s.flow_uncertainty_after_m3_s, 2), 10) +
             right_aligned("+-" + fixed(100.0 * coverage * s.target_share_after, 1) + " %", 15) +
             "\n";
    }
    if (schedule.knee + 1 < schedule.sweeps.size()) {
      out += "\nAfter sweep " + std::to_string(schedule.knee + 1) +
             " further sweeps buy less and less.\n";
    }
    if (schedule.minutes_saved_by_stops > 0.5) {
      out += "Coarser steps and shorter dwells in the skirt save " +
             fixed(schedule.minutes_saved_by_stops, 0) +
             " minutes against the finest step all along.\n";
    }
    out += schedule.before_any_data
               ? "These uncertainties rest on a guess of the stream; ask again after each sweep.\n"
               : "";
    out += "\n";
    out += cautions;
  }
  return out;
}

}  // namespace sweepflux::tool
