#include "sweepflux/field/stream/plane_readings_private.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

/// A mean of several readings is above the limit by so many standard deviations of one of them, or
/// else each is a row of its own.
constexpr double clear_of_limit = 3.0;

/// From so many sweeps in one plane on, gains and heights' errors of single sweeps average out:
/// they are noise then, and neighbours of all sweeps share a row.
constexpr std::size_t many_sweeps = 25;

struct Place {
  double y, z, value, noise, sideways;
  bool censored;
  int sweep;
};

std::vector<Place> places_of(const PlaneSamples& plane, const ReadingFrame& f) {
  std::vector<Place> places;
  const double side = f.mirrored ? -1.0 : 1.0;
  for (const Sample& s : plane.samples) {
    places.push_back({side * (s.at.y_m - plane.outlet_centre.y_m) / f.length_m,
                      (s.at.z_m - plane.outlet_centre.z_m) / f.length_m,
                      s.speed_m_s / f.speed_m_s,
                      s.noise_m_s / f.speed_m_s,
                      side * s.sideways,
                      s.censored,
                      s.sweep});
  }
  if (plane.sweeps.size() >= many_sweeps) {
    for (Place& p : places) {
      p.noise = std::hypot(p.noise, plane.sweep_gain_sd * p.value);
      p.sweep = static_cast<int>(std::floor(p.z * f.length_m / f.finest_m));
    }
  }
  std::stable_sort(places.begin(), places.end(), [](const Place& a, const Place& b) {
    return a.sweep != b.sweep ? a.sweep < b.sweep : a.y < b.y;
  });
  return places;
}

/// End of the readings that are so near each other as to be one row with `from`. Of a swivel's arc,
/// z changes by less than y does.
std::size_t end_of_group(const std::vector<Place>& p, std::size_t from, double finest) {
  std::size_t to = from + 1;
  while (to < p.size() && p[to].sweep == p[from].sweep && std::abs(p[to].y - p[from].y) <= finest) {
    ++to;
  }
  return to;
}

bool is_clear(const std::vector<Place>& p, std::size_t from, std::size_t to, double limit) {
  double mean = 0.0, noise = 0.0;
  for (std::size_t i = from; i < to; ++i) {
    if (p[i].censored) {
      return false;
    }
    mean += p[i].value / static_cast<double>(to - from);
    noise = std::max(noise, p[i].noise);
  }
  return mean > limit + clear_of_limit * noise;
}

}  // namespace

double nine_digits(double v) {
  int exponent = 0;
  const double mantissa = std::frexp(v, &exponent);
  return std::ldexp(std::nearbyint(std::ldexp(mantissa, 30)), exponent - 30);
}

PlaneReadings plane_readings(const PlaneSamples& plane, const ReadingFrame& frame) {
  PlaneReadings out;
  out.downstream = plane.downstream_m / frame.length_m;
  out.sweeps = plane.sweeps.size() < many_sweeps ? plane.sweeps.size() : 0;
  out.gain_sd = nine_digits(plane.sweep_gain_sd);
  out.height_sd = nine_digits(plane.common.height_m / frame.length_m);
  const std::vector<Place> places = places_of(plane, frame);
  std::vector<std::array<std::size_t, 2>> of_censored;
  const auto add = [&](std::size_t from, std::size_t to) {
    const auto n = static_cast<double>(to - from);
    double y = 0.0, z = 0.0, value = 0.0, noise_2 = 0.0, sideways = 0.0;
    for (std::size_t i = from; i < to; ++i) {
      y += places[i].y / n;
      z += places[i].z / n;
      value += places[i].value / n;
      noise_2 += places[i].noise * places[i].noise / n;
      sideways += places[i].sideways / n;
    }
    double yy = 0.0, zz = 0.0, yz = 0.0;
    for (std::size_t i = from; i < to; ++i) {
      const double dy = places[i].y - y, dz = places[i].z - z;
      yy += dy * dy / n;
      zz += dz * dz / n;
      yz += dy * dz / n;
    }
    const bool censored = places[from].censored;
    const double dy = std::sqrt(yy), dz = std::copysign(std::sqrt(zz), yz);
    const bool alone = to - from == 1;
    for (const double side : alone ? std::vector{0.0} : std::vector{-1.0, 1.0}) {
      out.y.push_back(static_cast<float>(y + side * dy));
      out.z.push_back(static_cast<float>(z + side * dz));
    }
    (censored ? of_censored : out.places)
        .push_back({out.y.size() - (alone ? 1 : 2), out.y.size() - 1});
    const int sweep = places[from].sweep;
    if (censored) {
      out.censored.push_back({nine_digits(value),
                              nine_digits(noise_2),
                              static_cast<int>(to - from),
                              nine_digits(sideways),
                              sweep});
    } else {
      out.rows.push_back(
          {nine_digits(value), nine_digits(noise_2 / n), n, nine_digits(sideways), sweep});
    }
  };
  // A probe without a starting speed has no limit that noise could select by.
  const double limit = plane.starting_speed_m_s > 0.0 ? plane.starting_speed_m_s / frame.speed_m_s
                                                      : -std::numeric_limits<double>::infinity();
  for (std::size_t from = 0; from < places.size();) {
    const std::size_t to = end_of_group(places, from, frame.finest_m / frame.length_m);
    if (is_clear(places, from, to, limit)) {
      add(from, to);
      from = to;
    }
    while (from < to) {
      const bool pair = from + 1 < to && places[from].censored && places[from + 1].censored;
      add(from, from + (pair ? 2 : 1));
      from += pair ? 2 : 1;
    }
  }
  out.places.insert(out.places.end(), of_censored.begin(), of_censored.end());
  return out;
}

}  // namespace sweepflux
