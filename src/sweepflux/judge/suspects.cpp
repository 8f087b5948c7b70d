#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/judge/suspects_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

namespace sweepflux {
namespace {

using Effect = Suspect::Effect;

/// Distance in diameters of a round outlet of the same area.
double in_diameters(const CheckedPlanes& c, const PlaneResult& plane) {
  const double area = c.survey.outlet.area_m2();
  return area > 0.0 ? plane.downstream_m / std::sqrt(4.0 * area / std::numbers::pi) : 0.0;
}

/// The mean speed squared leaves out u'^2 and the pressure: 2.3 to 6.2 % of the momentum flux in
/// one developed round jet [Panchapakesan 1993], 11.5 % in another [Hussein 1994]. They build up
/// over the first eight diameters or so; that they do so evenly is a rule of thumb.
Effect turbulence(const CheckedPlanes& c, std::size_t i) {
  const double x = in_diameters(c, *c.planes[i]);
  const double developed = x > 0.0 ? std::min(1.0, x / 8.0) : 1.0;
  const ShareRange shift{-0.12 * developed, -0.02 * developed};
  return {shift,
          "Turbulence and pressure act on the balance but are not in the momentum flux of the mean "
          "speed: " +
              share_text(shift) + " at " + format_number(x, 2) +
              " outlet diameters (2 to 12 % in developed round jets)."};
}

/// Swirl sucks at the plane: pressure -rho w^2 / 2 makes -4.5 % of the momentum flux for w / u =
/// 0.3, which the map does not see, so it reads high. A hub's wake and slanted flow make vanes read
/// low. Both die out along the stream; as one over the square of the distance is a rule of thumb.
Effect swirl(const CheckedPlanes& c, std::size_t i) {
  const double x = in_diameters(c, *c.planes[i]);
  const double left = x > 2.0 ? 4.0 / (x * x) : 1.0;
  const ShareRange shift = x > 0.0 ? ShareRange{-0.10 * left, 0.05 * left} : ShareRange{};
  return {shift,
          "At " + format_number(x, 2) +
              " outlet diameters swirl and the hub's wake may move the ratio by " +
              share_text(shift) +
              ": slanted flow makes the probe read low, the swirl's suction is not seen." +
              (x < 1.0 ? " So close to the outlet momentum flux and thrust need not agree at all."
                       : "")};
}

Effect return_flow(const CheckedPlanes& c, std::size_t i) {
  const std::optional<double> section_m2 = c.survey.room.section_m2();
  if (!section_m2) {
    return {};
  }
  const double x_m = c.planes[i]->downstream_m;
  const ShareRange kept = confined_momentum_share(x_m, *section_m2);
  const ShareRange shift{kept.low - 1.0, kept.high - 1.0};
  return {shift,
          "Entrained air comes back through the rest of the room's " +
              format_number(*section_m2, 3) + " m2 and takes momentum flux from the stream: " +
              share_text(shift) + " at " + format_number(x_m, 3) + " m."};
}

/// The stream meets the floor when its edge, two and a half half widths out, does. What friction
/// takes then is common practice, no published source.
Effect floor_friction(const CheckedPlanes& c, std::size_t i) {
  const PlaneResult& plane = *c.planes[i];
  const double clear_m = c.survey.room.floor_m ? plane.centre.z_m - *c.survey.room.floor_m : 0.0;
  const double edge_m = 2.5 * plane.half_width_z_m;
  if (!(clear_m > 0.0) || !(edge_m > clear_m)) {
    return {};
  }
  const double loss = -0.05 * std::min(1.0, edge_m / clear_m - 1.0);
  return {{loss, 0.0},
          "The stream's edge reaches " + format_number(edge_m, 2) +
              " m down and its centre stands " + format_number(clear_m, 2) +
              " m above the floor: friction may take " + percent_text(-loss) + "."};
}

/// Ends at two standard uncertainties. A survey that states no scale uncertainty gets 1.5 %, the
/// usual claim for hand-held heads (from memory).
Effect scale(const CheckedPlanes& c, std::size_t i) {
  const double stated = c.survey.probe.scale_uncertainty;
  const double used = stated > 0.0 ? stated : 0.015;
  const ShareRange shift{-4.0 * used, 4.0 * used};
  const double wanted = std::sqrt(std::max(0.0, c.ratio[i])) - 1.0;
  return {shift,
          "A probe that reads " + percent_text(std::abs(wanted)) +
              (wanted < 0.0 ? " low" : " high") +
              " everywhere would explain the gap alone, as momentum flux goes with the square; " +
              (stated > 0.0 ? "its stated uncertainty of " : "none is stated, and ") +
              percent_text(used) + (stated > 0.0 ? "" : " is usual; it") + " allows " +
              share_text(shift) + " (two standard uncertainties)."};
}

Effect offset(const CheckedPlanes& c, std::size_t i) {
  const std::optional<Measured>& ambient = c.survey.air.ambient_speed_m_s;
  const double known = 2.0 * std::hypot(c.survey.probe.offset_uncertainty_m_s,
                                        ambient ? ambient->standard_uncertainty : 0.0);
  const double used = ambient ? known : std::max(known, 0.05);
  const double flow_m3_s = std::abs(c.planes[i]->volume_flow_m3_s.value);
  const double size = 2.0 * c.density_kg_m3 * used * flow_m3_s / c.thrust_n;
  return {{-size, size},
          format_number(used, 2) + " m/s too much or too little everywhere in the stream" +
              (ambient ? "" : " (no reading with the fan off was given)") + " moves the ratio by " +
              share_text({-size, size}) + "."};
}

Effect head(const CheckedPlanes& c, std::size_t i) {
  const double radius_m = 0.5 * c.survey.probe.head_diameter_m;
  const PlaneResult& plane = *c.planes[i];
  const double half_m = std::sqrt(std::max(0.0, plane.half_width_y_m * plane.half_width_z_m));
  if (c.head_corrected || !(radius_m > 0.0) || !(half_m > 0.0)) {
    return {};
  }
  const double loss = head_momentum_ratio(radius_m / half_m) - 1.0;
  return {{loss, 0.8 * loss},
          "A head of " + format_number(2e3 * radius_m, 3) +
              " mm blunts a stream with a half width of " + format_number(half_m, 2) +
              " m: " + share_text({loss, loss}) + " of the momentum flux."};
}

/// What a probe makes of turbulence and slant. Magnitude instead of the axial part: +4.6 % of the
/// speed for transverse turbulence of 21.5 % (expansion). Vanes overspeed: +5 % at 25 % turbulence
/// [Busch 1976]. Pitot tubes: 1 to 3 % [ASHRAE 2013].
Effect response(const CheckedPlanes& c, std::size_t) {
  const Probe& probe = c.survey.probe;
  if (probe.response == Response::flat) {
    return {{0.0, 0.10},
            "The probe shows the size of the speed, not its part along the axis: up to 4.6 % of "
            "speed in a developed jet, so the ratio may be high by up to 10 %."};
  }
  if (probe.kind == ProbeKind::vane) {
    return {{-0.04, 0.10},
            "Vanes overspeed in turbulence (5 % of speed at 25 % turbulence, 10 % of momentum) and "
            "read 1 to 2 % low when slanted by 10 degrees."};
  }
  if (probe.kind == ProbeKind::pitot) {
    return {{-0.06, 0.06},
            "Pitot tubes are off by 1 to 3 % of speed in slanted and turbulent flow, by up to 6 % "
            "of the momentum flux."};
  }
  return {};
}

Effect starting_speed(const CheckedPlanes& c, std::size_t i) {
  const double start = c.survey.probe.starting_speed_m_s;
  const double peak = c.planes[i]->peak_speed_m_s;
  if (!(start > 0.0) || !(peak > 0.0)) {
    return {};
  }
  const double missed = momentum_below_start(start, peak).high;
  return {{-missed, 0.0},
          "Below " + format_number(start, 2) + " m/s the probe shows nothing; with a peak of " +
              format_number(peak, 3) + " m/s up to " + percent_text(missed) +
              " of the momentum flux lies there and was inferred only."};
}

Effect outer_region(const CheckedPlanes& c, std::size_t i) {
  const double share = c.planes[i]->momentum_extrapolated;
  return {{-share, share},
          percent_text(share) +
              " of the momentum flux is extrapolated; there may be none of it, or twice as much."};
}

/// Widest gap between neighbouring rows where the stream is strong.
double widest_gap_m(const PlaneResult& plane) {
  std::vector<double> heights;
  for (const PlacedSweep& sweep : plane.samples.sweeps) {
    heights.push_back(sweep.height_m);
  }
  std::sort(heights.begin(), heights.end());
  double widest = 0.0;
  for (std::size_t i = 1; i < heights.size(); ++i) {
    const bool strong = heights[i] > plane.centre.z_m - 1.5 * plane.half_width_z_m &&
                        heights[i - 1] < plane.centre.z_m + 1.5 * plane.half_width_z_m;
    widest = strong ? std::max(widest, heights[i] - heights[i - 1]) : widest;
  }
  return widest;
}

Effect rows(const CheckedPlanes& c, std::size_t i) {
  const double half_m = c.planes[i]->half_width_z_m;
  const double gap = widest_gap_m(*c.planes[i]);
  const double error = half_m > 0.0 ? row_spacing_error(gap / half_m) : 0.0;
  return {{-error, error},
          "Rows stand up to " + format_number(gap, 2) + " m apart, " +
              format_number(gap / std::max(half_m, 1e-9), 2) +
              " half widths: what lies between may move the ratio by " +
              share_text({-error, error}) + "."};
}

/// Rate of a sweep that did not stop [rad/s or m/s]; nothing where readings are means over a dwell.
std::optional<double> rate_of(const Sweep& sweep) {
  std::vector<double> rates;
  for (std::size_t i = 1; i < sweep.readings.size(); ++i) {
    const Reading& a = sweep.readings[i - 1];
    const Reading& b = sweep.readings[i];
    if (!a.time_s || !b.time_s || b.dwell_s || b.samples || b.spread_m_s || b.standard_error_m_s) {
      return std::nullopt;
    }
    const double step = std::abs(*b.time_s - *a.time_s);
    if (step > 0.0) {
      rates.push_back(std::abs(b.position - a.position) / step);
    }
  }
  if (rates.empty()) {
    return std::nullopt;
  }
  const auto middle = rates.begin() + static_cast<std::ptrdiff_t>(rates.size() / 2);
  std::nth_element(rates.begin(), middle, rates.end());
  return *middle;
}

Effect lag(const CheckedPlanes& c, std::size_t i) {
  const PlaneResult& plane = *c.planes[i];
  const double constant_s = c.survey.probe.time_constant_s.value_or(0.0);
  const double radius_m = c.survey.rig.motion == Motion::swivel ? plane.distance_m : 1.0;
  const double sd_m = plane.half_width_y_m / std::sqrt(2.0 * std::numbers::ln2);
  double largest = 0.0;
  for (const Sweep& sweep : c.survey.sweeps) {
    const std::optional<double> rate =
        std::abs(sweep.distance_m - plane.distance_m) < 1.5e-3 ? rate_of(sweep) : std::nullopt;
    if (rate && plane.half_width_y_m > 0.0) {
      largest = std::max(largest, *rate * radius_m * constant_s / sd_m);
    }
  }
  const double loss = lag_momentum_ratio(largest) - 1.0;
  return {{loss, 0.0},
          "The sweep did not stop for its readings; a time constant of " +
              format_number(constant_s, 2) + " s blunts the profile by up to " +
              percent_text(-loss) + " of the momentum flux."};
}

/// Tilt makes the balance read T cos(tilt), 1 % low at 8 degrees. Friction, stiff cables: common
/// practice, no published source. Gravity: 9.780 to 9.832 m/s2 over the earth.
Effect balance(const CheckedPlanes&, std::size_t) {
  return {{-0.02, 0.03},
          "At the balance a tilt of 8 degrees makes the thrust 1 % low, friction and a stiff cable "
          "1 to 2 % high or low, gravity elsewhere than where the scale was adjusted up to 0.3 %."};
}

/// Whether a factor on momentum / thrust would bring all planes near one.
bool fits(double ratio, double factor) { return std::abs(std::log(ratio / factor)) < 0.3; }

/// A slip that multiplies momentum / thrust by a factor in every plane.
Suspect slip(const CheckedPlanes& c,
             const char* name,
             double plausibility,
             double factor,
             const std::string& text) {
  const Effect effect{{factor - 1.0, factor - 1.0}, text};
  return {name, plausibility, false, std::vector<Effect>(c.planes.size(), effect)};
}

/// The slips of a speed's unit that fit, when the gap is gross.
void add_unit_slips(const CheckedPlanes& c, double ratio, std::vector<Suspect>& all) {
  constexpr std::pair<const char*, double> units[] = {{"km/h", 1.0 / 3.6},  // in m/s
                                                      {"mph", 0.44704},
                                                      {"kn", 1852.0 / 3600.0},
                                                      {"ft/s", 0.3048},
                                                      {"ft/min", 0.00508}};
  if (!(ratio > 0.0) || std::abs(std::log(ratio)) < std::log(2.0)) {
    return;
  }
  for (const auto& [unit, in_metres] : units) {
    const double as_metres = 1.0 / (in_metres * in_metres);
    for (const bool taken_for_metres : {true, false}) {
      const double factor = taken_for_metres ? as_metres : 1.0 / as_metres;
      if (fits(ratio, factor)) {
        const std::string from = taken_for_metres ? unit : "m/s";
        const std::string to = taken_for_metres ? "m/s" : unit;
        const std::string text = "Speeds in " + from + " that were read as " + to +
                                 " would make the ratio " + format_number(factor, 3) + "; it is " +
                                 format_number(ratio, 3) + ".";
        all.push_back(slip(c, "unit of the speeds", 1.0, factor, text));
      }
    }
  }
}

/// A lever ratio turned upside down divides and multiplies: its square. As written: thrust =
/// force / lever. Meant: thrust = force * lever.
void add_lever_slip(const CheckedPlanes& c, double ratio, std::vector<Suspect>& all) {
  const double lever = c.survey.balance ? c.survey.balance->lever_ratio : 1.0;
  const double factor = lever * lever;
  if (std::abs(std::log(lever)) >= 0.05 && fits(ratio, factor)) {
    const std::string text = "lever_ratio is scale force / thrust; written the other way round, " +
                             format_number(lever, 3) + " makes the ratio " +
                             format_number(factor, 3) + ".";
    all.push_back(slip(c, "lever ratio upside down", 0.95, factor, text));
  }
}

}  // namespace

std::vector<Suspect> all_suspects(const CheckedPlanes& c) {
  struct Usual {
    const char* name;
    double plausibility;
    bool in_uncertainty;
    Effect (*effect)(const CheckedPlanes&, std::size_t plane);
  };
  const Usual usual[] = {{"turbulence and pressure", 1.0, false, turbulence},
                         {"return flow of the room", 0.95, false, return_flow},
                         {"swirl and the hub's wake", 0.85, false, swirl},
                         {"friction at the floor", 0.8, false, floor_friction},
                         {"scale of the probe", c.planes.size() > 1 ? 1.0 : 0.9, true, scale},
                         {"offset of the probe or a draught", 0.8, true, offset},
                         {"size of the probe's head", 0.95, false, head},
                         {"response to turbulence and slant", 0.85, false, response},
                         {"starting speed of the probe", 0.9, true, starting_speed},
                         {"extrapolated outer region", 0.9, true, outer_region},
                         {"rows far apart", 0.8, true, rows},
                         {"lag of the probe", 0.9, false, lag},
                         {"tilt, friction or cable at the balance", 0.85, false, balance}};
  std::vector<Suspect> all;
  for (const Usual& one : usual) {
    all.push_back({one.name, one.plausibility, one.in_uncertainty, {}});
    for (std::size_t i = 0; i < c.planes.size(); ++i) {
      all.back().effects.push_back(one.effect(c, i));
    }
  }
  std::vector<double> sorted = c.ratio;
  std::sort(sorted.begin(), sorted.end());
  const double typical_ratio = sorted[sorted.size() / 2];
  add_unit_slips(c, typical_ratio, all);
  add_lever_slip(c, typical_ratio, all);
  return all;
}

}  // namespace sweepflux
