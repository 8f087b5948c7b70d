#include "sweepflux/derive/sample/placed_reading_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace sweepflux {
namespace {

constexpr double widest_turn_rad = 80.0 * std::numbers::pi / 180.0;
constexpr double same_position = 1e-7;  ///< rad or m: below any rig, above rounding of units

std::string where(const Sweep& sweep, std::size_t line) {
  return sweep.file.string() + ":" + std::to_string(line);
}

std::string join_lines(const std::vector<std::size_t>& lines) {
  std::string text = lines.size() == 1 ? "line " : "lines ";
  const std::size_t shown = std::min<std::size_t>(lines.size(), 8);
  for (std::size_t i = 0; i < shown; ++i) {
    text += (i == 0 ? "" : ", ") + std::to_string(lines[i]);
  }
  return text + (shown < lines.size() ? ", ..." : "");
}

/// Standard error of the mean that a row itself allows to state; spread / sqrt(samples) takes the
/// values as independent, so it is a lower bound.
double stated_error(const Reading& reading) {
  if (reading.standard_error_m_s) {
    return *reading.standard_error_m_s;
  }
  if (reading.spread_m_s && reading.samples && *reading.samples >= 1.0) {
    return *reading.spread_m_s / std::sqrt(*reading.samples);
  }
  return 0.0;
}

/// A fault in one reading's place, or nothing.
std::string place_fault(const Survey& survey,
                        const Sweep& sweep,
                        const Reading& reading,
                        const ProbePlace& place) {
  if (!std::isfinite(reading.position) || !std::isfinite(reading.speed_m_s)) {
    return where(sweep, reading.line) + ": position or speed is not a finite number";
  }
  if (survey.rig.motion == Motion::swivel && std::abs(place.yaw_rad) > widest_turn_rad) {
    return where(sweep, reading.line) +
           ": the fan is turned by more than 80 degrees from the probe, where the probe sees its "
           "flank; check angle_zero and the unit of the angle, or take the row out";
  }
  if (place.x_m <= survey.outlet.ahead_of_axis_m) {
    return where(sweep, reading.line) +
           ": the probe lies behind the outlet's plane at this angle; only places downstream of "
           "the outlet can be used, check distance and ahead_of_axis";
  }
  return {};
}

/// A reading with its place; `along` rises with y, whatever the sense of the rig's angle.
struct Located {
  const Reading* reading = nullptr;
  ProbePlace place;
  double along = 0.0;
};

/// Readings at one position, lowest value first.
struct Group {
  std::vector<const Reading*> members;
  Located first;
  std::size_t dropped = 0;  ///< the same value at the same moment again
};

std::vector<Group> group_by_position(std::vector<Located> sorted) {
  std::sort(sorted.begin(), sorted.end(), [](const Located& a, const Located& b) {
    if (a.along != b.along) {
      return a.along < b.along;
    }
    const Reading& ra = *a.reading;
    const Reading& rb = *b.reading;
    return ra.speed_m_s != rb.speed_m_s ? ra.speed_m_s < rb.speed_m_s : ra.line < rb.line;
  });
  std::vector<Group> groups;
  for (const Located& at : sorted) {
    if (groups.empty() || at.along - groups.back().first.along > same_position) {
      groups.push_back({{at.reading}, at, 0});
      continue;
    }
    Group& group = groups.back();
    const bool again =
        std::any_of(group.members.begin(), group.members.end(), [&](const Reading* other) {
          return other->speed_m_s == at.reading->speed_m_s && other->time_s == at.reading->time_s;
        });
    if (again) {
      ++group.dropped;
    } else {
      group.members.push_back(at.reading);
    }
  }
  return groups;
}

PlacedReading correct(const Survey& survey,
                      const Calibration& calibration,
                      const Group& group,
                      double downstream_m) {
  const double start = survey.probe.starting_speed_m_s;
  const double ambient = survey.air.ambient_speed_m_s ? survey.air.ambient_speed_m_s->value : 0.0;
  PlacedReading placed;
  double sum = 0.0;
  double error_2 = 0.0;
  std::size_t below = 0;
  placed.line = group.members.front()->line;
  for (const Reading* r : group.members) {
    const double speed = calibration.speed_m_s(r->speed_m_s);
    const bool low = below_start(survey.probe, speed);
    below += low ? 1 : 0;
    // Among repeats that did start, one that did not stands for the middle of what it may be.
    sum += low ? 0.5 * start : speed;
    placed.slope = std::max(calibration.slope(r->speed_m_s), 0.0);
    error_2 += std::pow(placed.slope * stated_error(*r), 2);
    placed.line = std::min(placed.line, r->line);
  }
  const double count = static_cast<double>(group.members.size());
  const double mean = sum / count;
  placed.position = group.first.along;
  placed.repeats = count;
  placed.stated_error_m_s = std::sqrt(error_2) / count;
  placed.censored = below == group.members.size() || (below > 0 && mean < start);
  placed.speed_m_s = placed.censored ? std::max(0.0, start - ambient) : mean - ambient;
  const OnPlane carried = carry_to_plane(group.first.place, survey.outlet, downstream_m);
  placed.at = carried.at;
  placed.to_plane = carried.weakening;
  if (survey.rig.motion == Motion::swivel) {
    const double yaw_rad = group.first.place.yaw_rad;
    placed.to_plane *= yaw_correction(survey.probe.response, yaw_rad);
    placed.sideways = survey.probe.response == Response::cosine ? 0.0 - std::tan(yaw_rad) : 0.0;
  }
  return placed;
}

void remark_on_groups(const Sweep& sweep,
                      const std::vector<Group>& groups,
                      std::vector<std::string>& remarks) {
  std::size_t dropped = 0;
  std::size_t averaged = 0;
  std::vector<std::size_t> lines;
  for (const Group& group : groups) {
    dropped += group.dropped;
    if (group.members.size() > 1) {
      ++averaged;
      for (const Reading* r : group.members) {
        lines.push_back(r->line);
      }
    }
  }
  std::sort(lines.begin(), lines.end());
  if (dropped > 0) {
    remarks.push_back(sweep.name + ": " + std::to_string(dropped) +
                      (dropped == 1 ? " row repeats" : " rows repeat") +
                      " another exactly and counted once");
  }
  if (averaged > 0) {
    remarks.push_back(sweep.name + ": " + std::to_string(averaged) +
                      (averaged == 1 ? " position was" : " positions were") +
                      " read more than once with different values; averaged (" + join_lines(lines) +
                      ")");
  }
}

void remark_on_over_range(const Sweep& sweep, std::vector<std::string>& remarks) {
  std::vector<std::size_t> lines;
  for (const LeftOut& row : sweep.left_out) {
    if (row.over_range) {
      lines.push_back(row.line);
    }
  }
  if (!lines.empty()) {
    remarks.push_back(sweep.name + ": over range at " + join_lines(lines) +
                      "; left out, but the true speed there is above the probe's range, so the map "
                      "may be low near it");
  }
}

}  // namespace

CorrectedSweep correct_sweep(const Survey& survey,
                             const Sweep& sweep,
                             double downstream_m,
                             std::vector<std::string>& remarks,
                             std::vector<std::string>& faults) {
  CorrectedSweep corrected;
  corrected.placed = {sweep.name, sweep.file, sweep.height_m, 0, sweep.left_out.size()};
  if (!(downstream_m > 0.0)) {
    faults.push_back(sweep.file.string() + ": " + sweep.name +
                     " lies behind the outlet; distance must be larger than ahead_of_axis");
    return corrected;
  }
  std::vector<Located> located;
  const std::size_t faults_before = faults.size();
  for (const Reading& r : sweep.readings) {
    const ProbePlace place =
        place_probe(survey.rig, survey.outlet, sweep.distance_m, sweep.height_m, r.position);
    const bool swivel = survey.rig.motion == Motion::swivel;
    located.push_back({&r, place, swivel ? -place.yaw_rad : r.position});
    std::string fault = place_fault(survey, sweep, r, place);
    if (!fault.empty()) {
      faults.push_back(std::move(fault));
    }
  }
  if (faults.size() > faults_before) {
    return corrected;
  }
  const Calibration calibration(survey.probe.calibration);
  const std::vector<Group> groups = group_by_position(std::move(located));
  for (const Group& group : groups) {
    corrected.readings.push_back(correct(survey, calibration, group, downstream_m));
  }
  corrected.placed.readings = corrected.readings.size();
  remark_on_groups(sweep, groups, remarks);
  remark_on_over_range(sweep, remarks);
  return corrected;
}

}  // namespace sweepflux
