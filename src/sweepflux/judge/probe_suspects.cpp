#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/judge/suspects_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace sweepflux {
namespace {

double half_width_m(const PlaneResult& plane) {
  return std::sqrt(std::max(0.0, plane.half_width_y_m * plane.half_width_z_m));
}

/// Ends at two standard uncertainties. A survey that states no scale uncertainty gets 1.5 %, the
/// usual claim for hand-held heads (from memory).
Suspect scale(const CheckedPlanes& c) {
  Suspect s{"scale of the probe", {}, {}, c.planes.size() > 1 ? 1.0 : 0.9, true};
  const double stated = c.survey.probe.scale_uncertainty;
  const double used = stated > 0.0 ? stated : 0.015;
  for (std::size_t i = 0; i < c.planes.size(); ++i) {
    const double wanted = std::sqrt(std::max(0.0, c.ratio[i])) - 1.0;
    s.shift.push_back({-4.0 * used, 4.0 * used});
    s.text.push_back("A probe that reads " + percent_text(std::abs(wanted)) +
                     (wanted < 0.0 ? " low" : " high") +
                     " everywhere would explain the gap alone, as momentum flux goes with the square; " +
                     (stated > 0.0 ? "its stated uncertainty of " : "none is stated, and ") +
                     percent_text(used) + (stated > 0.0 ? "" : " is usual; it") + " allows " +
                     share_text(s.shift.back()) + " (two standard uncertainties).");
  }
  return s;
}

Suspect offset(const CheckedPlanes& c) {
  Suspect s{"offset of the probe or a draught", {}, {}, 0.8, true};
  const double ambient =
      c.survey.air.ambient_speed_m_s ? c.survey.air.ambient_speed_m_s->standard_uncertainty : 0.0;
  double used = 2.0 * std::hypot(c.survey.probe.offset_uncertainty_m_s, ambient);
  const bool unread = !c.survey.air.ambient_speed_m_s;
  if (unread) {
    used = std::max(used, 0.05);
  }
  for (const PlaneResult* plane : c.planes) {
    const double shift =
        2.0 * c.density_kg_m3 * used * std::abs(plane->volume_flow_m3_s.value) / c.thrust_n;
    s.shift.push_back({-shift, shift});
    s.text.push_back(format_number(used, 2) +
                     " m/s too much or too little everywhere in the stream" +
                     (unread ? " (no reading with the fan off was given)" : "") +
                     " moves the ratio by " + share_text(s.shift.back()) + ".");
  }
  return s;
}

Suspect head(const CheckedPlanes& c, const CrossCheckOptions& options) {
  Suspect s{"size of the probe's head", {}, {}, 0.95, false};
  const double radius = 0.5 * c.survey.probe.head_diameter_m;
  for (const PlaneResult* plane : c.planes) {
    const double width = half_width_m(*plane);
    if (options.head_size_corrected || !(radius > 0.0) || !(width > 0.0)) {
      s.shift.push_back({});
      s.text.emplace_back();
      continue;
    }
    const double loss = head_momentum_ratio(radius / width) - 1.0;
    s.shift.push_back({loss, 0.8 * loss});
    s.text.push_back("A head of " + format_number(2e3 * radius, 3) +
                     " mm blunts a stream with a half width of " + format_number(width, 2) +
                     " m: " + share_text({loss, loss}) + " of the momentum flux.");
  }
  return s;
}

/// What a probe makes of turbulence and slant. Magnitude instead of the axial part: +4.6 % of the
/// speed for transverse turbulence of 21.5 % (expansion). Vanes overspeed: +5 % at 25 % turbulence
/// [Busch 1976]. Pitot tubes: 1 to 3 % [ASHRAE 2013].
Suspect response(const CheckedPlanes& c) {
  Suspect s{"response to turbulence and slant", {}, {}, 0.85, false};
  const Probe& probe = c.survey.probe;
  ShareRange shift;
  std::string text;
  if (probe.response == Response::flat) {
    shift = {0.0, 0.10};
    text =
        "The probe shows the size of the speed, not its part along the axis: up to 4.6 % of "
        "speed in a developed jet, so the ratio may be high by up to 10 %.";
  } else if (probe.kind == ProbeKind::vane) {
    shift = {-0.04, 0.10};
    text =
        "Vanes overspeed in turbulence (5 % of speed at 25 % turbulence, 10 % of momentum) and "
        "read 1 to 2 % low when slanted by 10 degrees.";
  } else if (probe.kind == ProbeKind::pitot) {
    shift = {-0.06, 0.06};
    text =
        "Pitot tubes are off by 1 to 3 % of speed in slanted and turbulent flow, by up to 6 % "
        "of the momentum flux.";
  }
  s.shift.assign(c.planes.size(), shift);
  s.text.assign(c.planes.size(), text);
  return s;
}

Suspect starting_speed(const CheckedPlanes& c) {
  Suspect s{"starting speed of the probe", {}, {}, 0.9, true};
  const double start = c.survey.probe.starting_speed_m_s;
  for (const PlaneResult* plane : c.planes) {
    if (!(start > 0.0) || !(plane->peak_speed_m_s > 0.0)) {
      s.shift.push_back({});
      s.text.emplace_back();
      continue;
    }
    const ShareRange missed = momentum_below_start(start, plane->peak_speed_m_s);
    s.shift.push_back({-missed.high, 0.0});
    s.text.push_back(
        "Below " + format_number(start, 2) + " m/s the probe shows nothing; with a peak of " +
        format_number(plane->peak_speed_m_s, 3) + " m/s up to " + percent_text(missed.high) +
        " of the momentum flux lies there and was inferred only.");
  }
  return s;
}

Suspect outer_region(const CheckedPlanes& c) {
  Suspect s{"extrapolated outer region", {}, {}, 0.9, true};
  for (const PlaneResult* plane : c.planes) {
    const double share = plane->momentum_extrapolated;
    s.shift.push_back({-share, share});
    s.text.push_back(percent_text(share) +
                     " of the momentum flux is extrapolated; there may be "
                     "none of it, or twice as much.");
  }
  return s;
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

Suspect rows(const CheckedPlanes& c) {
  Suspect s{"rows far apart", {}, {}, 0.8, true};
  for (const PlaneResult* plane : c.planes) {
    const double gap = widest_gap_m(*plane);
    const double error =
        plane->half_width_z_m > 0.0 ? row_spacing_error(gap / plane->half_width_z_m) : 0.0;
    s.shift.push_back({-error, error});
    s.text.push_back("Rows stand up to " + format_number(gap, 2) + " m apart, " +
                     format_number(gap / std::max(plane->half_width_z_m, 1e-9), 2) +
                     " half widths: what lies between may move the ratio by " +
                     share_text(s.shift.back()) + ".");
  }
  return s;
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

Suspect lag(const CheckedPlanes& c) {
  Suspect s{"lag of the probe", {}, {}, 0.9, false};
  for (const PlaneResult* plane : c.planes) {
    double largest = 0.0;
    for (const Sweep& sweep : c.survey.sweeps) {
      const std::optional<double> rate =
          std::abs(sweep.distance_m - plane->distance_m) < 1.5e-3 ? rate_of(sweep) : std::nullopt;
      if (rate && c.survey.probe.time_constant_s && plane->half_width_y_m > 0.0) {
        const bool swivel = c.survey.rig.motion == Motion::swivel;
        const double speed_m_s = *rate * (swivel ? plane->distance_m : 1.0);
        const double sd_m = plane->half_width_y_m / std::sqrt(2.0 * std::numbers::ln2);
        largest = std::max(largest, speed_m_s * *c.survey.probe.time_constant_s / sd_m);
      }
    }
    s.shift.push_back({lag_momentum_ratio(largest) - 1.0, 0.0});
    s.text.push_back("The sweep did not stop for its readings; a time constant of " +
                     format_number(c.survey.probe.time_constant_s.value_or(0.0), 2) +
                     " s blunts the profile by up to " + percent_text(-s.shift.back().low) +
                     " of the momentum flux.");
  }
  return s;
}

}  // namespace

std::vector<Suspect> probe_suspects(const CheckedPlanes& checked,
                                    const CrossCheckOptions& options) {
  return {scale(checked),
          offset(checked),
          head(checked, options),
          response(checked),
          starting_speed(checked),
          outer_region(checked),
          rows(checked),
          lag(checked)};
}

}  // namespace sweepflux
