#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/probe.hpp"
#include "sweepflux/judge/plausibility_private.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double widest_turn_rad = 80.0 * degree_rad;  // as derive_samples
constexpr double same_place_m = 1e-3;
constexpr double half_width_by_sd = 1.6651;  // of a Gaussian's square: 2 sqrt(ln 2)
constexpr double height_of_row = 1.5054;     // integral of its square over its peak and half width
constexpr double lone_reading = 0.8;  // what one place alone saw may be as wide, in gaps beside it
constexpr std::size_t fewest_ends = 3;
/// A probe that starts somewhat later than stated is no news.
constexpr double starts_late = 1.2;
constexpr double noise_m_s = 0.03;  // of a reading near the starting speed, common practice

struct Placed {
  double y = 0.0;
  double u = 0.0;
  double indicated = 0.0;
};

/// Sums along one height: of u^2, of u^2 y, of u^2 y^2 and of u^3, over y.
struct Row {
  std::array<double, 4> sums{};
  double count = 0.0;  ///< of sweeps
};

void add_sweep(const std::vector<Placed>& sweep, Row& row) {
  for (std::size_t i = 1; i < sweep.size(); ++i) {
    const double dy = 0.5 * (sweep[i].y - sweep[i - 1].y);
    for (const Placed& p : {sweep[i - 1], sweep[i]}) {
      const double square = p.u * p.u;
      row.sums[0] += dy * square;
      row.sums[1] += dy * square * p.y;
      row.sums[2] += dy * square * p.y * p.y;
      row.sums[3] += dy * square * std::abs(p.u);
    }
  }
  row.count += 1.0;
}

/// Half width of a Gaussian whose square has these moments, not below what the gaps allow.
double half_width_m(double sum, double second, double centre, double gap_m) {
  const double seen = half_width_by_sd * std::sqrt(std::max(second / sum - centre * centre, 0.0));
  return std::max(seen, lone_reading * gap_m);
}

void sum_rows(const std::map<double, Row>& rows, const Outlet& outlet, PlaneLook& look) {
  std::vector<double> z;
  std::vector<std::array<double, 4>> at;
  double count = 0.0;
  for (const auto& [height, row] : rows) {
    if (z.empty() || height - z.back() >= same_place_m) {
      z.push_back(height);
      at.emplace_back();
      count = 0.0;
    }
    // Sweeps of one height count as their mean.
    count += row.count;
    for (std::size_t k = 0; k < row.sums.size(); ++k) {
      at.back()[k] += (row.sums[k] - row.count * at.back()[k]) / count;
    }
  }
  look.heights = z.size();
  look.places = rows.size();
  look.middle_height_m = z[z.size() / 2];
  look.window_z_m = rows.rbegin()->first - rows.begin()->first;
  std::array<double, 4> whole{};
  double first = 0.0, second = 0.0, gap_z_m = 0.0;
  const auto strongest = static_cast<std::size_t>(
      std::max_element(
          at.begin(), at.end(), [](const auto& a, const auto& b) { return a[0] < b[0]; }) -
      at.begin());
  if (z.size() < 3) {
    // The stream is taken to be as high as it is wide, more for a high outlet.
    whole = at[strongest];
    const double across = half_width_m(whole[0], whole[2], whole[1] / whole[0], look.gap_y_m);
    const double high = across * usual_half_width_m(outlet.extent_z_m(), look.downstream_m) /
                        usual_half_width_m(outlet.extent_y_m(), look.downstream_m);
    for (double& sum : whole) {
      sum *= height_of_row * high;
    }
    look.centre_z_m = z[strongest];
  } else {
    for (std::size_t i = 0; i < z.size(); ++i) {
      gap_z_m = std::max(gap_z_m, i > 0 ? z[i] - z[i - 1] : 0.0);
      // Half a gap to either side; the ends stand for as much beyond them.
      const double below = 0.5 * (i > 0 ? z[i] - z[i - 1] : z[1] - z[0]);
      const double above = 0.5 * (i + 1 < z.size() ? z[i + 1] - z[i] : z[i] - z[i - 1]);
      for (std::size_t k = 0; k < whole.size(); ++k) {
        whole[k] += (below + above) * at[i][k];
      }
      first += (below + above) * at[i][0] * z[i];
      second += (below + above) * at[i][0] * z[i] * z[i];
    }
    look.centre_z_m = first / whole[0];
    look.half_width_z_m = half_width_m(whole[0], second, look.centre_z_m, gap_z_m);
  }
  look.momentum_m4_s2 = whole[0];
  look.power_m5_s3 = 0.5 * whole[3];
  look.centre_y_m = whole[1] / whole[0];
  look.half_width_y_m = half_width_m(whole[0], whole[2], look.centre_y_m, look.gap_y_m);
}

/// Where a sweep comes up from zero: its first reading, and the rise to the next.
struct End {
  double speed = 0.0;
  double rise = 0.0;
};

void add_ends(const std::vector<Placed>& sweep, std::vector<End>& ends) {
  const auto look = [&](double zero, double one, double next) {
    if (zero == 0.0 && one > 0.0 && next > one) {
      // A steep edge rises by more at once than behind it.
      ends.push_back({one, std::max(next - one, 0.25 * one)});
    }
  };
  for (std::size_t i = 0; i + 2 < sweep.size(); ++i) {
    look(sweep[i].indicated, sweep[i + 1].indicated, sweep[i + 2].indicated);
    look(sweep[i + 2].indicated, sweep[i + 1].indicated, sweep[i].indicated);
  }
}

/// The first reading lies evenly between the starting speed and that plus one step's rise, as good
/// as.
FaintReadings judge_ends(const std::vector<End>& ends, double start_m_s) {
  FaintReadings out;
  if (ends.size() < fewest_ends) {
    return out;
  }
  out.lowest_m_s = 1e300;
  for (const End& end : ends) {
    out.lowest_m_s = std::min(out.lowest_m_s, end.speed);
  }
  for (const End& end : ends) {
    const auto chance = [&](double from) {
      const double gap = std::max(out.lowest_m_s - from - noise_m_s, 0.0);
      return std::log(std::max(1.0 - gap / std::max(end.rise, 1e-9), 0.05));
    };
    out.log_chance_high += chance(starts_late * start_m_s);
    out.log_chance_low += chance(0.0);
  }
  return out;
}

}  // namespace

double usual_half_width_m(double extent_m, double downstream_m) {
  return std::hypot(0.42 * extent_m, 0.1 * downstream_m);
}

FirstLook look_at_readings(const Survey& survey) {
  FirstLook out;
  const Calibration calibration(survey.probe.calibration);
  const double ambient = survey.air.ambient_speed_m_s ? survey.air.ambient_speed_m_s->value : 0.0;
  const bool swivel = survey.rig.motion == Motion::swivel;
  struct Plane {
    PlaneLook look;
    double low = 1e300;
    double high = -1e300;
    std::map<double, Row> rows;
  };
  std::map<long long, Plane> planes;
  std::vector<End> ends;
  std::vector<Placed> placed;
  bool any = false;
  for (const Sweep& sweep : survey.sweeps) {
    const double downstream = downstream_of_outlet_m(survey.rig, survey.outlet, sweep.distance_m);
    out.nearest_m = std::min(out.nearest_m, downstream);
    placed.clear();
    for (const Reading& r : sweep.readings) {
      any = true;
      out.fastest_m_s = std::max(out.fastest_m_s, std::abs(r.speed_m_s));
      const ProbePlace place =
          place_probe(survey.rig, survey.outlet, sweep.distance_m, sweep.height_m, r.position);
      if (swivel) {
        out.widest_turn_rad =
            std::max(out.widest_turn_rad, std::abs(r.position - survey.rig.angle_zero_rad));
      }
      if (!(downstream > 0.0) || std::abs(place.yaw_rad) > widest_turn_rad ||
          place.x_m <= survey.outlet.ahead_of_axis_m) {
        continue;
      }
      const OnPlane there = carry_to_plane(place, survey.outlet, downstream);
      const double speed = calibration.speed_m_s(r.speed_m_s);
      const double axial = (speed - ambient) * there.weakening *
                           (swivel ? yaw_correction(survey.probe.response, place.yaw_rad) : 1.0);
      placed.push_back({there.at.y_m, below_start(survey.probe, speed) ? 0.0 : axial, r.speed_m_s});
    }
    if (placed.empty()) {
      continue;
    }
    std::sort(placed.begin(), placed.end(), [](const Placed& a, const Placed& b) {
      return a.y != b.y ? a.y < b.y : a.u < b.u;
    });
    add_ends(placed, ends);
    double gap_y_m = 0.0;
    for (std::size_t i = 1; i < placed.size(); ++i) {
      gap_y_m = std::max(gap_y_m, placed[i].y - placed[i - 1].y);
    }
    Plane& plane = planes[std::llround(sweep.distance_m * 1e3)];
    plane.look.distance_m = sweep.distance_m;
    plane.look.downstream_m = downstream;
    plane.look.gap_y_m = std::max(plane.look.gap_y_m, gap_y_m);
    plane.low = std::min(plane.low, placed.front().y);
    plane.high = std::max(plane.high, placed.back().y);
    for (const Placed& p : placed) {
      plane.look.peak_m_s = std::max(plane.look.peak_m_s, p.u);
    }
    add_sweep(placed, plane.rows[sweep.height_m]);
  }
  for (auto& [key, plane] : planes) {
    plane.look.window_y_m = plane.high - plane.low;
    const double least = std::max(0.5 * survey.probe.starting_speed_m_s, 1e-3);
    if (plane.look.peak_m_s > least && plane.look.window_y_m > 0.0) {
      sum_rows(plane.rows, survey.outlet, plane.look);
      out.planes.push_back(plane.look);
    }
  }
  std::erase_if(out.planes, [](const PlaneLook& p) { return !(p.momentum_m4_s2 > 0.0); });
  out.faint = judge_ends(ends, survey.probe.starting_speed_m_s);
  out.silent = any && out.planes.empty() && out.fastest_m_s > 0.0 &&
               out.fastest_m_s < survey.probe.starting_speed_m_s;
  return out;
}

}  // namespace sweepflux
