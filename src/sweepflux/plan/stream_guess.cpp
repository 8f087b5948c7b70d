#include "sweepflux/plan/stream_guess.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/derive/sample/probe.hpp"
#include "sweepflux/field/stream/stream_prior_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double round_spread = 0.094, round_decay = 5.8;  // [Hussein 1994]
constexpr double room_share = 0.8;  // farthest plane over sqrt(section): 5 % of the momentum flux lost to
                                    // the room's return flow at 0.282^2 x^2 / section, entrainment
                                    // by [Ricou 1961]

double outlet_width(const Outlet& o) {
  return o.shape == OutletShape::round ? o.diameter_m : std::sqrt(o.width_m * o.height_m);
}

double momentum_flux_n(const Survey& survey, double half_y, double half_z) {
  const double rho = air_density_kg_m3(survey.air).value;
  if (survey.plan.expected_thrust_n) {
    return *survey.plan.expected_thrust_n;
  }
  if (survey.balance && !survey.balance->readings_n.empty()) {
    double sum = 0.0;
    for (const double r : survey.balance->readings_n) {
      sum += r;
    }
    const double zero = 0.5 * (survey.balance->zero_before_n + survey.balance->zero_after_n);
    return std::max(1e-3,
                    (sum / static_cast<double>(survey.balance->readings_n.size()) - zero) /
                        survey.balance->lever_ratio);
  }
  // Gaussian ellipse: M = rho U^2 a b pi / (2 ln 2).
  const double u = survey.plan.expected_speed_m_s.value_or(3.0);
  return rho * u * u * half_y * half_z * std::numbers::pi / (2.0 * std::log(2.0));
}

struct HalfWidths {
  double y, z;
};

HalfWidths half_widths(const Outlet& o, double x) {
  const double grown = expected_half_width_m(o, x);
  if (o.shape == OutletShape::round) {
    return {grown, grown};
  }
  return {std::max(0.5 * o.extent_y_m(), grown), std::max(0.5 * o.extent_z_m(), grown)};
}

double first_distance(const Survey& survey, double distance_m) {
  double first = distance_m;
  for (const double d : survey.plan.distances_m) {
    first = std::min(first, d);
  }
  for (const Sweep& s : survey.sweeps) {
    first = std::min(first, s.distance_m);
  }
  return first;
}

}  // namespace

StreamGuess guess_stream(const Survey& survey, double distance_m) {
  StreamGuess g;
  g.distance_m = distance_m;
  g.downstream_m = downstream_of_outlet_m(survey.rig, survey.outlet, distance_m);
  if (!(g.downstream_m > 0.0)) {
    throw InputError("the distance " + metres_text(distance_m) +
                     " lies behind the outlet: it must be more than ahead_of_axis");
  }
  const HalfWidths h = half_widths(survey.outlet, g.downstream_m);
  g.half_width_y_m = h.y;
  g.half_width_z_m = h.z;
  g.centre_height_m = survey.outlet.centre_height_m;
  const double rho = air_density_kg_m3(survey.air).value;
  const double near =
      downstream_of_outlet_m(survey.rig, survey.outlet, first_distance(survey, distance_m));
  const HalfWidths at_near = half_widths(survey.outlet, near);
  const double m = momentum_flux_n(survey, at_near.y, at_near.z);
  const double by_width = std::sqrt(m * 2.0 * std::log(2.0) / (rho * std::numbers::pi * h.y * h.z));
  const double far = round_decay * std::sqrt(4.0 * m / (std::numbers::pi * rho)) / g.downstream_m;
  g.peak_m_s = std::min(by_width, far);
  return g;
}

ProposedDistances propose_distances(const Survey& survey, std::size_t count) {
  const double width = outlet_width(survey.outlet);
  if (!(width > 0.0)) {
    throw InputError("[outlet] needs its diameter, or width and height for a slot, to plan from");
  }
  const double ahead = survey.rig.motion == Motion::swivel ? survey.outlet.ahead_of_axis_m : 0.0;
  ProposedDistances out;
  double x = 5.0 * width;
  out.reasons.push_back(metres_text(x) +
                        " from the outlet is five outlet widths: behind the zone of "
                        "reverse flow, pressure and swirl (one to three widths), before the room "
                        "takes much");
  if (survey.probe.head_diameter_m > 0.0) {
    const double wanted = survey.probe.head_diameter_m / round_spread;
    if (wanted > x) {
      x = wanted;
      out.reasons.push_back("moved out to " + metres_text(x) +
                            ", where the half width is that of the "
                            "probe's head: nearer, the head would blur the profile");
    }
  }
  double farthest = 1e300;
  if (const std::optional<double> section_m2 = survey.room.section_m2()) {
    farthest = room_share * std::sqrt(*section_m2);
  }
  if (survey.room.length_m) {
    farthest = std::min(farthest, *survey.room.length_m - 1.0);
  }
  const double nearest = 2.0 * width;
  if (farthest < nearest) {
    throw NumericalError(
        "the room is too small for this outlet: planes beyond " +
        metres_text(std::max(farthest, 0.0)) +
        " lose more than 5 % of the momentum flux to the room's return flow, and nearer "
        "than " +
        metres_text(nearest) + " the outlet's own pressure and swirl count");
  }
  if (x > farthest) {
    x = farthest;
    out.reasons.push_back("kept to " + metres_text(x) +
                          ", where the room's return flow still takes "
                          "less than 5 % of the momentum flux");
  }
  const double step =
      count > 1 ? std::min(1.5, std::pow(farthest / x, 1.0 / static_cast<double>(count))) : 1.0;
  for (std::size_t i = 0; i < count; ++i) {
    const double place = x * std::pow(step, static_cast<double>(i));
    out.distances_m.push_back(std::round((place + ahead) * 20.0) / 20.0);
  }
  out.distances_m.erase(std::unique(out.distances_m.begin(), out.distances_m.end()),
                        out.distances_m.end());
  return out;
}

ProposedDistances planned_distances(const Survey& survey, std::optional<double> budget_s) {
  if (!survey.plan.distances_m.empty()) {
    return {survey.plan.distances_m, {}};
  }
  return propose_distances(survey, budget_s.value_or(3600.0) > 2.6 * 3600.0 ? 2 : 1);
}

std::vector<std::string> distance_caveats(const Survey& survey, const StreamGuess& g) {
  std::vector<std::string> out;
  const std::string at = "at " + metres_text(g.distance_m) + ": ";
  const double width = outlet_width(survey.outlet);
  if (g.downstream_m < width) {
    out.push_back(at +
                  "nearer than one outlet width; reverse flow, pressure and swirl count, and "
                  "the momentum flux need not match the thrust");
  }
  const double a = std::min(g.half_width_y_m, g.half_width_z_m);
  if (survey.probe.head_diameter_m > a) {
    out.push_back(at + "the probe's head (" + metres_text(survey.probe.head_diameter_m) +
                  ") is wider than the expected half width (" + metres_text(a) + ")");
  }
  if (const std::optional<double> section_m2 = survey.room.section_m2()) {
    const double loss = 0.0795 * g.downstream_m * g.downstream_m / *section_m2;
    if (loss > 0.05) {
      out.push_back(at + "the room's return flow may take about " +
                    format_number(100.0 * loss / (1.0 + loss), 2) + " % of the momentum flux");
    }
    const double margin = *survey.room.height_m - g.centre_height_m - 2.5 * g.half_width_z_m;
    if (margin < 0.0) {
      out.push_back(at + "the stream probably touches the ceiling");
    }
  }
  if (!survey.room.floor_m && g.centre_height_m - 2.5 * g.half_width_z_m < 0.0) {
    out.push_back(at + "the stream probably touches the floor; name it as [room] floor");
  }
  if (survey.room.length_m && g.downstream_m > *survey.room.length_m - 1.0) {
    out.push_back(at + "less than a metre from the facing wall");
  }
  return out;
}

HeightRange possible_heights(const Survey& survey, const StreamGuess& g, double reach) {
  HeightRange r{g.centre_height_m - reach * g.half_width_z_m,
                g.centre_height_m + reach * g.half_width_z_m};
  const double clear = 0.5 * survey.probe.head_diameter_m + 0.02;
  r.low_m = std::max(r.low_m, survey.room.floor_m.value_or(0.0) + clear);
  if (survey.room.height_m) {
    r.high_m = std::min(r.high_m, *survey.room.height_m - clear);
  }
  if (survey.plan.height_limits_m) {
    r.low_m = std::max(r.low_m, survey.plan.height_limits_m->first);
    r.high_m = std::min(r.high_m, survey.plan.height_limits_m->second);
  }
  if (!(r.high_m > r.low_m)) {
    throw NumericalError("at " + metres_text(g.distance_m) +
                         " no height is left between floor, ceiling and the limits of the plan");
  }
  return r;
}

}  // namespace sweepflux
