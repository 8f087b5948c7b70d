#include "sweepflux/rank/seat.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/draught_rating.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double zero_celsius_k = 273.15;
// How far a stream's centre may lie from where it points: a fan set by hand, a room that bends the
// stream. Common practice, no published source.
constexpr double centre_u_rad = 0.03;
constexpr double outside_half_widths = 2.0;

/// Bilinear between the cells of a map; empty outside it.
std::optional<Measured> read_map(const PlaneMap& map, PlanePoint at) {
  if (map.ny < 2 || map.nz < 2 || !(map.step_m > 0.0) ||
      map.speed_m_s.size() != map.ny * map.nz || map.uncertainty_m_s.size() != map.ny * map.nz) {
    return std::nullopt;
  }
  const double fy = (at.y_m - map.y_min_m) / map.step_m;
  const double fz = (at.z_m - map.z_min_m) / map.step_m;
  if (!(fy >= 0.0 && fz >= 0.0 && fy <= static_cast<double>(map.ny - 1) &&
        fz <= static_cast<double>(map.nz - 1))) {
    return std::nullopt;
  }
  const auto iy = std::min(static_cast<std::size_t>(fy), map.ny - 2);
  const auto iz = std::min(static_cast<std::size_t>(fz), map.nz - 2);
  const double wy = fy - static_cast<double>(iy), wz = fz - static_cast<double>(iz);
  const auto mix = [&](const std::vector<double>& values) {
    const std::size_t k = iz * map.ny + iy;
    return (1.0 - wz) * ((1.0 - wy) * values[k] + wy * values[k + 1]) +
           wz * ((1.0 - wy) * values[k + map.ny] + wy * values[k + map.ny + 1]);
  };
  return Measured{mix(map.speed_m_s), mix(map.uncertainty_m_s)};
}

/// Where the stream's centre passes: from the nearest plane, else straight from the outlet.
std::optional<PlanePoint> centre_at(std::span<const FanAtSetting> entries,
                                    const FanAtSetting& fan,
                                    double downstream_m) {
  const auto nearest_plane_of = [&](const FanAtSetting& e) {
    return nearest_of(e.planes, [&](const PlaneFacts& p) {
      return std::optional(std::abs(p.downstream_m - downstream_m));
    });
  };
  if (const PlaneFacts* plane = nearest_plane_of(fan)) {
    return plane->centre;
  }
  for (const FanAtSetting& e : entries) {
    if (e.fan == fan.fan && !e.planes.empty()) {
      return nearest_plane_of(e)->centre;
    }
  }
  for (const FanAtSetting& e : entries) {
    if (e.fan == fan.fan && e.outlet && e.outlet->centre_height_m > 0.0) {
      return PlanePoint{0.0, e.outlet->centre_height_m};
    }
  }
  return std::nullopt;
}

/// From the prediction: centre speed times a Gaussian of the distance from the centre.
Estimate predicted_speed(const StreamPrediction& p, double off_axis_m, double centre_u_m) {
  const Estimate& u = p.centre_speed_m_s;
  const double ratio = off_axis_m / p.half_width_m.value;
  const double steep = 2.0 * std::numbers::ln2 * ratio * ratio;  // d ln u / d ln half-width
  if (ratio > outside_half_widths) {
    const double edge =
        std::exp(-std::numbers::ln2 * outside_half_widths * outside_half_widths) * u.high_95;
    return {0.5 * edge, 0.5 * edge / std::sqrt(3.0), 0.0, edge};
  }
  const double shape = std::exp(-0.5 * steep);
  const double place = steep / std::max(off_axis_m, 1e-6) * centre_u_m;
  const double wide = std::log(p.half_width_m.high_95 / p.half_width_m.value);
  const double narrow = std::log(p.half_width_m.value / p.half_width_m.low_95);
  // In pairs: of three numbers, one infinite, the library's hypot may be not a number.
  const double aside = normal_95 * place;
  const double up = std::hypot(std::log(u.high_95 / u.value), std::hypot(steep * wide, aside));
  const double down = std::hypot(std::log(u.value / u.low_95), std::hypot(steep * narrow, aside));
  Estimate e;
  e.value = u.value * shape;
  e.low_95 = e.value * std::exp(-down);
  e.high_95 = std::min(e.value * std::exp(up), u.high_95);
  e.standard_uncertainty = (e.high_95 - e.low_95) / (2.0 * normal_95);
  return e;
}

void add_draught(SeatSpeed& row, const FanAtSetting& fan) {
  row.turbulence_measured = fan.turbulence.has_value();
  row.turbulence = fan.turbulence ? fan.turbulence->value : usual_turbulence;
  if (!row.turbulence_measured) {
    row.remarks.emplace_back(
        "turbulence intensity is not known: 40 % is taken, as in the standard's own table");
  }
  if (!fan.air_temperature_k) {
    row.remarks.emplace_back("no air temperature is stated, so there is no draught rating");
    return;
  }
  const double celsius = fan.air_temperature_k->value - zero_celsius_k;
  row.air_temperature_c = celsius;
  const auto rate = [&](double speed) {
    return draught_rating_percent(celsius, std::max(speed, 0.0), row.turbulence);
  };
  Estimate dr;
  dr.value = rate(row.speed_m_s.value);
  dr.low_95 = rate(row.speed_m_s.low_95);
  dr.high_95 = rate(row.speed_m_s.high_95);
  dr.standard_uncertainty = (dr.high_95 - dr.low_95) / (2.0 * normal_95);
  row.draught_rating_percent = dr;
  if (!draught_rating_holds(celsius, row.speed_m_s.value, row.turbulence)) {
    row.remarks.emplace_back(
        "outside the range of the draught rating (20 to 26 degC, below 0.5 m/s, turbulence "
        "intensity 10 to 60 %)");
  }
}

}  // namespace

std::optional<SeatSpeed> speed_at_seat(std::span<const FanAtSetting> entries,
                                       std::size_t entry,
                                       std::span<const PredictedStream> predicted,
                                       const Seat& seat) {
  const FanAtSetting& fan = entries[entry];
  SeatSpeed row;
  row.entry = entry;
  row.seat = seat;
  if (const PlaneFacts* plane = plane_at(fan, seat.distance_m)) {
    if (const auto read = read_map(plane->map, {seat.across_m, seat.height_m})) {
      const double carry = plane->downstream_m / seat.distance_m;
      row.speed_m_s = symmetric_estimate(read->value * carry, read->standard_uncertainty * carry);
      row.speed_m_s.low_95 = std::max(0.0, row.speed_m_s.low_95);
      row.mapped = true;
      add_draught(row, fan);
      return row;
    }
  }
  const PredictedStream* f = predicted_of(predicted, entry);
  if (!f) {
    return std::nullopt;
  }
  const StreamPrediction p = predict_stream(f->source, f->shape, seat.distance_m);
  const auto centre = centre_at(entries, fan, seat.distance_m);
  if (!centre) {
    row.remarks.emplace_back("the outlet's height is not known: the seat is taken level with it");
  }
  const double off_axis_m =
      centre ? std::hypot(seat.across_m - centre->y_m, seat.height_m - centre->z_m)
             : std::abs(seat.across_m);
  row.speed_m_s = predicted_speed(p, off_axis_m, centre_u_rad * seat.distance_m);
  if (off_axis_m > outside_half_widths * p.half_width_m.value) {
    row.remarks.emplace_back("outside the stream: only an upper bound, its eddies come and go");
  }
  if (p.zone != StreamZone::developed) {
    row.remarks.push_back(words_of(p.zone));
  }
  add_draught(row, fan);
  return row;
}

std::vector<SeatChoice> choose_for_seat(std::span<const FanAtSetting> entries,
                                        std::span<const SeatSpeed> speeds) {
  std::vector<SeatChoice> choices;
  std::vector<std::string> done;
  for (const SeatSpeed& first : speeds) {
    const std::string series = entries[first.entry].series();
    if (!first.seat.speed_m_s || std::find(done.begin(), done.end(), series) != done.end()) {
      continue;
    }
    done.push_back(series);
    SeatChoice choice{series, *first.seat.speed_m_s, std::nullopt, std::nullopt, {}};
    const SeatSpeed* best = nullptr;
    const SeatSpeed* perhaps = nullptr;
    for (const SeatSpeed& s : speeds) {
      if (entries[s.entry].series() != series) {
        continue;
      }
      const auto faster = [&](const SeatSpeed* than) {
        return !than || s.speed_m_s.value > than->speed_m_s.value;
      };
      if (s.speed_m_s.high_95 <= choice.wished_m_s && faster(best)) {
        best = &s;
      }
      if (s.speed_m_s.value <= choice.wished_m_s && faster(perhaps)) {
        perhaps = &s;
      }
    }
    const std::string wished = format_number(choice.wished_m_s, 3) + " m/s";
    const auto speed = [](const SeatSpeed& s) {
      return " (" + std::string(s.mapped ? "mapped " : "predicted ") +
             format_number(s.speed_m_s.value, 2) + " m/s, 95 % interval " +
             format_number(s.speed_m_s.low_95, 2) + " to " +
             format_number(s.speed_m_s.high_95, 2) + ")";
    };
    if (best) {
      choice.entry = best->entry;
      choice.words = "At the seat " + entries[best->entry].name() + " stays below " + wished +
                     " at 95 %" + speed(*best);
    } else {
      choice.words = "At the seat no setting of " + series + " stays below " + wished + " at 95 %";
    }
    if (perhaps && perhaps != best) {
      choice.perhaps = perhaps->entry;
      choice.words += "; " + entries[perhaps->entry].name() + " may" + speed(*perhaps);
    }
    choice.words += ".";
    choices.push_back(std::move(choice));
  }
  return choices;
}

std::vector<std::string> seat_conditions() {
  return {"What is predicted holds for a free stream in still air with nothing near it, the fan "
          "pointing level and straight; furniture, walls and a person change it.",
          "The draught rating (ISO 7730) was made for people at light, mainly sedentary work and a "
          "comfortable temperature, for cool air at the neck: where moving air is wanted, as in "
          "heat, it says little.",
          "Turbulence is that of the stream's core where its logs show it; at the edge of a stream "
          "it is higher."};
}

}  // namespace sweepflux
