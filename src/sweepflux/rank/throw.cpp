#include "sweepflux/rank/throw.hpp"

#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double origin_mean_outlets = 1.0;  // see textbook_law
constexpr double origin_sd_outlets = 2.0;
constexpr double developed_outlets = 8.0;  // transition ends at 8 to 10 diameters
constexpr double slot_decay = 2.5;         // [Rajaratnam 1976]
constexpr double slot_flow = 0.60;         // 0.549 to 0.62 in the sources
constexpr double slot_flow_spread = 0.10;  // relative; common practice, no published source
constexpr double slot_ratio = 3.0;         // common practice, no published source
constexpr double room_limit = 0.8;         // times sqrt(section): common practice
constexpr double uneven_outlet = 0.10;     // relative; common practice, no published source
constexpr double room_k = 0.119;           // 4 / B^2 [Hussein 1994]

double relative(const Measured& m) { return m.standard_uncertainty / m.value; }

/// Diameter of the circle with the outlet's area.
double outlet_size_m(const Outlet& outlet) {
  return outlet.shape == OutletShape::round
             ? outlet.diameter_m
             : std::sqrt(4.0 * outlet.width_m * outlet.height_m / std::numbers::pi);
}

double area_of(const Outlet& outlet) {
  const double size = outlet_size_m(outlet);
  return std::numbers::pi / 4.0 * size * size;
}

bool is_long_slot(const Outlet& outlet) {
  return outlet.shape == OutletShape::slot &&
         std::max(outlet.width_m, outlet.height_m) >=
             slot_ratio * std::min(outlet.width_m, outlet.height_m);
}

void check(const StreamSource& source) {
  const double size = outlet_size_m(source.outlet);
  if (!(source.thrust_n.value > 0.0) || !std::isfinite(source.thrust_n.value)) {
    throw InputError("a prediction of the stream needs a thrust above zero");
  }
  if (!(source.density_kg_m3.value > 0.0)) {
    throw InputError("a prediction of the stream needs an air density above zero");
  }
  if (!(size > 0.0) || !std::isfinite(size)) {
    throw InputError("a prediction of the stream needs the outlet's size");
  }
}

std::optional<double> section_m2(const Room& room) {
  if (room.width_m && room.height_m && *room.width_m > 0.0 && *room.height_m > 0.0) {
    return *room.width_m * *room.height_m;
  }
  return std::nullopt;
}

double velocity_scale(const StreamSource& source) {
  return std::sqrt(source.thrust_n.value / source.density_kg_m3.value);
}

double velocity_scale_relative(const StreamSource& source) {
  return 0.5 * std::hypot(relative(source.thrust_n), relative(source.density_kg_m3));
}

StreamZone zone_at(const StreamSource& source, double downstream_m) {
  const auto section = section_m2(source.room);
  if (section && downstream_m > room_limit * std::sqrt(*section)) {
    return StreamZone::beyond_room;
  }
  return downstream_m < developed_outlets * outlet_size_m(source.outlet) ? StreamZone::developing
                                                                         : StreamZone::developed;
}

/// value * (x - origin)^power as an estimate: the relative uncertainty in quadrature with what the
/// origin's uncertainty makes of the power, each side on its own, because near the outlet they differ.
Estimate with_origin(double value, double relative_u, double gap_m, double origin_u_m, int power) {
  const double infinite = std::numeric_limits<double>::infinity();
  const double longer = std::log((gap_m + normal_95 * origin_u_m) / gap_m);
  const double shorter = gap_m > normal_95 * origin_u_m
                             ? std::log(gap_m / (gap_m - normal_95 * origin_u_m))
                             : infinite;
  const double up = std::hypot(normal_95 * relative_u, power > 0 ? longer : shorter);
  const double down = std::hypot(normal_95 * relative_u, power > 0 ? shorter : longer);
  Estimate e;
  e.value = value;
  e.standard_uncertainty = value * std::hypot(relative_u, origin_u_m / gap_m);
  e.low_95 = value * std::exp(-down);
  e.high_95 = std::isinf(up) ? infinite : value * std::exp(up);
  return e;
}

/// Keeps an estimate over a floor that is itself known with a relative uncertainty only.
void lift_to(Estimate& e, double floor, double relative_u) {
  const bool lifted = e.value < floor;
  e.value = std::max(e.value, floor);
  e.low_95 = std::max(e.low_95, floor * std::exp(-normal_95 * relative_u));
  e.high_95 = std::max(e.high_95, floor * std::exp(normal_95 * relative_u));
  if (lifted) {
    e.standard_uncertainty = (e.high_95 - e.low_95) / (2.0 * normal_95);
  }
}

/// Keeps an estimate under a ceiling that is itself known with a relative uncertainty only.
void cap_at(Estimate& e, double ceiling, double relative_u) {
  e.value = std::min(e.value, ceiling);
  e.low_95 = std::min(e.low_95, ceiling * std::exp(-normal_95 * relative_u));
  e.high_95 = std::min(e.high_95, ceiling * std::exp(normal_95 * relative_u));
  e.standard_uncertainty =
      std::min(e.standard_uncertainty, (e.high_95 - e.low_95) / (2.0 * normal_95));
}

/// The distance from the virtual origin; never nearer than half an outlet, where no law holds.
double gap(const StreamSource& source, const StreamLaw& law, double downstream_m) {
  return std::max(downstream_m - law.origin_m.value, 0.5 * outlet_size_m(source.outlet));
}

double speed_at_outlet(const StreamSource& source) {
  return velocity_scale(source) / std::sqrt(area_of(source.outlet));
}

/// What the centre speed cannot exceed: the outlet's own, or what a map has seen nearest by.
double highest_speed(const StreamSource& source, const StreamLaw& law) {
  const double outlet = speed_at_outlet(source);
  if (!law.fitted) {
    return outlet;
  }
  return std::max(
      outlet, law.throw_constant.value * velocity_scale(source) / gap(source, law, law.nearest_m));
}

/// Momentum that the return flow may take out of the stream.
double loss_at(const StreamSource& source, double downstream_m) {
  const auto section = section_m2(source.room);
  if (!section) {
    return 0.0;
  }
  const double term = room_k * downstream_m * downstream_m / *section;
  return term / (1.0 + term);
}

}  // namespace

std::string words_of(StreamZone zone) {
  return zone == StreamZone::developing    ? "so near that the stream is still developing"
         : zone == StreamZone::beyond_room ? "further than this room lets a free stream run"
                                           : "";
}

StreamLaw textbook_law(const Outlet& outlet) {
  const double size = outlet_size_m(outlet);
  StreamLaw law;
  law.spread = {0.095, 0.004};
  law.throw_constant = {6.66, 0.23};
  law.entrainment = {0.282, 0.010};
  law.origin_m = {origin_mean_outlets * size, origin_sd_outlets * size};
  law.origin_words =
      "Spread, decay and growth are those published for a free round jet; no map of this fan was "
      "used.";
  return law;
}

StreamLaw fit_law(std::span<const PlaneForLaw> planes,
                  const Measured& density_kg_m3,
                  const Outlet& outlet) {
  if (planes.empty()) {
    throw InputError("a stream's shape needs at least one plane");
  }
  for (const PlaneForLaw& p : planes) {
    if (!(p.downstream_m > 0.0 && p.peak_speed_m_s > 0.0 && p.half_width_m > 0.0 &&
          p.volume_flow_m3_s.value > 0.0 && p.momentum_flux_n.value > 0.0)) {
      throw InputError(
          "a plane without a stream: its distance, peak, half width, flow and "
          "momentum must all be above zero");
    }
  }
  const StreamLaw book = textbook_law(outlet);
  const double size = outlet_size_m(outlet);
  // r = a + S x, Gaussian priors a = -S0 x0 +- S0 u(x0) and S = 0.095 +- 0.04: the normal
  // equations of two unknowns. The uncertainty of r follows from r ~ Q / sqrt(M).
  const double prior_a = -book.spread.value * book.origin_m.value;
  const double prior_a_u = std::max(book.spread.value * origin_sd_outlets * size, 1e-6);
  const double prior_s_u = 0.04;
  double aa = 1.0 / (prior_a_u * prior_a_u), as = 0.0, ss = 1.0 / (prior_s_u * prior_s_u);
  double ya = prior_a * aa, ys = book.spread.value * ss;
  for (const PlaneForLaw& p : planes) {
    const double u =
        p.half_width_m *
        std::max(0.02, std::hypot(relative(p.volume_flow_m3_s), 0.5 * relative(p.momentum_flux_n)));
    const double w = 1.0 / (u * u);
    aa += w;
    as += w * p.downstream_m;
    ss += w * p.downstream_m * p.downstream_m;
    ya += w * p.half_width_m;
    ys += w * p.half_width_m * p.downstream_m;
  }
  const double det = aa * ss - as * as;
  const double a = (ss * ya - as * ys) / det;
  const double slope = std::max((aa * ys - as * ya) / det, 0.01);
  const double var_a = ss / det, var_s = aa / det, cov = -as / det;

  StreamLaw law;
  law.fitted = true;
  law.spread = {slope, std::sqrt(var_s)};
  const double origin = -a / slope;
  const double origin_var =
      (var_a + 2.0 * origin * cov + origin * origin * var_s) / (slope * slope);
  law.origin_m = {origin, std::sqrt(std::max(0.0, origin_var))};
  law.nearest_m = std::numeric_limits<double>::infinity();
  double k_sum = 0.0, e_sum = 0.0, k_sq = 0.0, e_sq = 0.0, u_q = 0.0, u_m = 0.0, scale_u = 0.0;
  for (const PlaneForLaw& p : planes) {
    const Measured thrust = p.thrust_n ? *p.thrust_n : p.momentum_flux_n;
    const double v = std::sqrt(thrust.value / density_kg_m3.value);
    const double from_origin = std::max(p.downstream_m - origin, 0.5 * size);
    const double k = p.peak_speed_m_s * from_origin / v;
    const double e = p.volume_flow_m3_s.value / (from_origin * v);
    k_sum += k;
    k_sq += k * k;
    e_sum += e;
    e_sq += e * e;
    u_q = std::max(u_q, relative(p.volume_flow_m3_s));
    u_m = std::max(u_m, 0.5 * relative(p.momentum_flux_n));
    scale_u = std::max(scale_u, 0.5 * relative(thrust));
    law.nearest_m = std::min(law.nearest_m, p.downstream_m);
    law.furthest_m = std::max(law.furthest_m, p.downstream_m);
  }
  const double n = static_cast<double>(planes.size());
  const double k = k_sum / n, e = e_sum / n;
  const double k_scatter = std::sqrt(std::max(0.0, k_sq / n - k * k));
  const double e_scatter = std::sqrt(std::max(0.0, e_sq / n - e * e));
  // The errors of the planes are mostly common to all, so their mean is no better than one.
  law.throw_constant = {k, std::hypot(k * std::hypot(u_m, scale_u), k_scatter)};
  law.entrainment = {e, std::hypot(e * std::hypot(u_q, scale_u), e_scatter)};
  law.origin_words = "Spread, decay and growth come from " +
                     (planes.size() == 1 ? std::string("one mapped plane")
                                         : std::to_string(planes.size()) + " mapped planes") +
                     " of this fan, " + format_number(law.nearest_m, 3) + " m to " +
                     format_number(law.furthest_m, 3) + " m from the outlet.";
  return law;
}

StreamPrediction predict_stream(const StreamSource& source,
                                const StreamLaw& law,
                                double downstream_m) {
  check(source);
  if (!(downstream_m > 0.0) || !std::isfinite(downstream_m)) {
    throw InputError("a prediction of the stream needs a distance above zero");
  }
  const double v = velocity_scale(source);
  const double v_u = velocity_scale_relative(source);
  const double d = gap(source, law, downstream_m);
  const double d_u = law.origin_m.standard_uncertainty;

  StreamPrediction p;
  p.downstream_m = downstream_m;
  p.zone = zone_at(source, downstream_m);
  p.room_loss = loss_at(source, downstream_m);
  p.half_width_m = with_origin(law.spread.value * d, relative(law.spread), d, d_u, 1);
  p.centre_speed_m_s = with_origin(
      law.throw_constant.value * v / d, std::hypot(relative(law.throw_constant), v_u), d, d_u, -1);
  p.volume_flow_m3_s = with_origin(
      law.entrainment.value * v * d, std::hypot(relative(law.entrainment), v_u), d, d_u, 1);
  const double outlet_flow = v * std::sqrt(area_of(source.outlet));
  lift_to(p.volume_flow_m3_s, outlet_flow, std::hypot(v_u, uneven_outlet));
  const double cap_u = std::hypot(v_u, uneven_outlet);
  cap_at(p.centre_speed_m_s, highest_speed(source, law), cap_u);
  if (!law.fitted && is_long_slot(source.outlet)) {
    const double thin = std::min(source.outlet.width_m, source.outlet.height_m);
    cap_at(p.centre_speed_m_s,
           slot_decay * std::sqrt(thin / downstream_m) * speed_at_outlet(source),
           cap_u);
    lift_to(p.volume_flow_m3_s,
            slot_flow * std::sqrt(downstream_m / thin) * outlet_flow,
            std::hypot(v_u, slot_flow_spread));
  }
  p.centre_speed_m_s.low_95 *= std::sqrt(1.0 - p.room_loss);
  return p;
}

Throw throw_of(const StreamSource& source, const StreamLaw& law, double wished_speed_m_s) {
  check(source);
  if (!(wished_speed_m_s > 0.0) || !std::isfinite(wished_speed_m_s)) {
    throw InputError("a throw needs a speed above zero");
  }
  Throw thrown;
  thrown.wished_speed_m_s = wished_speed_m_s;
  if (wished_speed_m_s >= highest_speed(source, law)) {
    thrown.words = "the stream is at most about " + format_number(highest_speed(source, law), 2) +
                  " m/s and never is that fast";
    return thrown;
  }
  // The centre speed falls all the way, so each end of the band falls too: bisection is safe.
  const auto where = [&](auto&& speed_of) {
    double near = 1e-3, far = 1e-3;
    while (speed_of(predict_stream(source, law, far)) > wished_speed_m_s && far < 1e4) {
      near = far;
      far *= 2.0;
    }
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (near + far);
      (speed_of(predict_stream(source, law, middle)) > wished_speed_m_s ? near : far) = middle;
    }
    return 0.5 * (near + far);
  };
  Estimate e;
  e.value = where([](const StreamPrediction& p) { return p.centre_speed_m_s.value; });
  e.low_95 = where([](const StreamPrediction& p) { return p.centre_speed_m_s.low_95; });
  e.high_95 = where([](const StreamPrediction& p) { return p.centre_speed_m_s.high_95; });
  e.standard_uncertainty = (e.high_95 - e.low_95) / (2.0 * normal_95);
  thrown.downstream_m = e;
  thrown.zone = zone_at(source, e.value);
  thrown.words = words_of(thrown.zone);
  return thrown;
}

Measured thrust_derived_flow_m3_s(const StreamSource& source, double factor) {
  check(source);
  const double flow = factor * velocity_scale(source) * std::sqrt(area_of(source.outlet));
  return {flow, flow * velocity_scale_relative(source)};
}

std::vector<std::string> prediction_conditions(const StreamSource& source, const StreamLaw& law) {
  std::vector<std::string> said;
  said.emplace_back(
      "A prediction, not a measurement: a free stream in still air, no wall, floor "
      "or obstacle near it.");
  said.push_back(law.origin_words);
  const double from = developed_outlets * outlet_size_m(source.outlet);
  said.push_back("Nearer than " + format_number(from, 2) +
                 " m (8 outlet sizes) the stream is still developing and the band is wide.");
  if (const auto section = section_m2(source.room)) {
    said.push_back("The room's section is " + format_number(*section, 3) + " m2: beyond about " +
                   format_number(room_limit * std::sqrt(*section), 2) +
                   " m the air that flows back slows the stream; the lower end of the band allows "
                   "for it.");
  } else {
    said.emplace_back(
        "The room's section is not known, so nothing was allowed for the air that "
        "must flow back; in a small room expect less.");
  }
  return said;
}

}  // namespace sweepflux
