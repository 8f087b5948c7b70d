#include "sweepflux/field/general/scattered.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <string>
#include <tuple>

namespace sweepflux {
namespace {

void require_sound(const ScatteredValues& values) {
  const std::size_t n = values.at.size();
  if (n == 0) {
    throw InputError("interpolation: no places, at least one is needed");
  }
  if (values.value.size() != n || (!values.noise_sd.empty() && values.noise_sd.size() != n)) {
    throw InputError("interpolation: " + std::to_string(n) + " places, " +
                     std::to_string(values.value.size()) + " values, " +
                     std::to_string(values.noise_sd.size()) +
                     " standard deviations; the counts must agree (no deviations: exact values)");
  }
  require_finite(values.at, "place");
  for (std::size_t i = 0; i < n; ++i) {
    if (!std::isfinite(values.value[i])) {
      throw InputError("interpolation: value " + std::to_string(i) + " is not a finite number");
    }
    if (!values.noise_sd.empty() &&
        !(std::isfinite(values.noise_sd[i]) && values.noise_sd[i] >= 0.0)) {
      throw InputError("interpolation: noise_sd " + std::to_string(i) + " must be finite and >= 0");
    }
  }
}

/// Mean of rows `order[first, last)`, appended to `out`.
void append_mean(const ScatteredValues& in,
                 std::span<const std::size_t> rows,
                 ScatteredValues& out) {
  if (rows.size() == 1) {
    out.at.push_back(in.at[rows[0]]);
    out.value.push_back(in.value[rows[0]]);
    if (!in.noise_sd.empty()) {
      out.noise_sd.push_back(in.noise_sd[rows[0]]);
    }
    return;
  }
  bool exact = in.noise_sd.empty();
  for (const std::size_t row : rows) {
    exact = exact || in.noise_sd[row] == 0.0;
  }
  double total = 0.0;
  double value = 0.0;
  PlanePoint place;
  for (const std::size_t row : rows) {
    // An exact value among noisy ones outweighs them all.
    const double weight = in.noise_sd.empty() ? 1.0
                          : exact             ? (in.noise_sd[row] == 0.0 ? 1.0 : 0.0)
                                              : 1.0 / (in.noise_sd[row] * in.noise_sd[row]);
    total += weight;
    value += weight * in.value[row];
    place.y_m += in.at[row].y_m / static_cast<double>(rows.size());
    place.z_m += in.at[row].z_m / static_cast<double>(rows.size());
  }
  const bool one_place = std::all_of(
      rows.begin(), rows.end(), [&](std::size_t row) { return in.at[row] == in.at[rows[0]]; });
  out.at.push_back(one_place ? in.at[rows[0]] : place);
  out.value.push_back(value / total);
  if (!in.noise_sd.empty()) {
    out.noise_sd.push_back(exact ? 0.0 : 1.0 / std::sqrt(total));
  }
}

}  // namespace

Window bounds(std::span<const PlanePoint> at) {
  Window box{at[0].y_m, at[0].y_m, at[0].z_m, at[0].z_m};
  for (const PlanePoint& p : at) {
    box.y_min_m = std::min(box.y_min_m, p.y_m);
    box.y_max_m = std::max(box.y_max_m, p.y_m);
    box.z_min_m = std::min(box.z_min_m, p.z_m);
    box.z_max_m = std::max(box.z_max_m, p.z_m);
  }
  return box;
}

Lattice::Lattice(std::span<const PlanePoint> at) {
  if (at.empty()) {
    return;
  }
  const Window box = bounds(at);
  const double span = std::max(box.width_m(), box.height_m());
  const double size = std::max(
      {std::abs(box.y_min_m), std::abs(box.y_max_m), std::abs(box.z_min_m), std::abs(box.z_max_m)});
  // Room for a margin around the span, and for numbers far from the origin.
  const double finest = std::max(1.25 * span / std::ldexp(1.0, bits), size * 1e-15);
  step_m_ = finest > 0.0 ? std::pow(10.0, std::ceil(std::log10(finest))) : 1.0;
  y_low_ = std::llround(box.y_min_m / step_m_);
  z_low_ = std::llround(box.z_min_m / step_m_);
}

LatticePoint Lattice::snap(PlanePoint p) const {
  const auto limited = [this](double value, std::int64_t low) {
    const double room = std::ldexp(1.0, bits);
    const double number = value / step_m_ - static_cast<double>(low);
    // Beyond the margin only the side matters; rounding first keeps decimals on the lattice.
    if (number < -0.1 * room) {
      return static_cast<std::int64_t>(-0.1 * room);
    }
    if (number > 0.9 * room) {
      return static_cast<std::int64_t>(0.9 * room);
    }
    return static_cast<std::int64_t>(std::llround(value / step_m_)) - low;
  };
  return {limited(p.y_m, y_low_), limited(p.z_m, z_low_)};
}

ScatteredValues merged(const ScatteredValues& values) {
  require_sound(values);
  const std::size_t n = values.at.size();
  const Lattice lattice(values.at);
  std::vector<LatticePoint> key(n);
  std::transform(values.at.begin(), values.at.end(), key.begin(), [&](PlanePoint p) {
    return lattice.snap(p);
  });
  std::vector<std::size_t> order(n);
  std::iota(order.begin(), order.end(), std::size_t{0});
  // The values take part in the order so that sums of equal places do not depend on rows either.
  const auto rank = [&](std::size_t i) {
    return std::tuple(key[i].y,
                      key[i].z,
                      values.at[i].y_m,
                      values.at[i].z_m,
                      values.value[i],
                      values.noise_sd.empty() ? 0.0 : values.noise_sd[i]);
  };
  std::sort(
      order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return rank(a) < rank(b); });
  ScatteredValues out;
  for (std::size_t first = 0; first < n;) {
    std::size_t last = first + 1;
    while (last < n && key[order[last]] == key[order[first]]) {
      ++last;
    }
    append_mean(values, std::span(order).subspan(first, last - first), out);
    first = last;
  }
  return out;
}

bool in_one_line(std::span<const PlanePoint> at) {
  if (at.size() < 3) {
    return true;
  }
  // Farthest place from the first, then the farthest from the line through both.
  const auto distance = [](PlanePoint a, PlanePoint b) {
    return std::hypot(a.y_m - b.y_m, a.z_m - b.z_m);
  };
  const PlanePoint a = at[0];
  const PlanePoint b = *std::max_element(at.begin(), at.end(), [&](PlanePoint p, PlanePoint q) {
    return distance(a, p) < distance(a, q);
  });
  const double length = distance(a, b);
  double width = 0.0;
  for (const PlanePoint& p : at) {
    const double twice_area = (b.y_m - a.y_m) * (p.z_m - a.z_m) - (b.z_m - a.z_m) * (p.y_m - a.y_m);
    width = std::max(width, length > 0.0 ? std::abs(twice_area) / length : 0.0);
  }
  return width <= 1e-7 * length;
}

void require_two_directions(std::span<const PlanePoint> at, std::string_view method) {
  if (!in_one_line(at)) {
    return;
  }
  const std::string head =
      std::string(method) + ": all " + std::to_string(at.size()) + " places lie ";
  if (at.size() < 2) {
    throw NumericalError(std::string(method) + ": there " +
                         (at.empty() ? "is no place" : "is one place only") +
                         ": three are needed, not in one line");
  }
  const Window box = bounds(at);
  const double tolerance = 1e-7 * std::max(box.width_m(), box.height_m());
  if (box.height_m() <= tolerance) {
    throw NumericalError(head + "at z = " + metres_text(box.z_min_m) + ": two heights are needed");
  }
  if (box.width_m() <= tolerance) {
    throw NumericalError(head + "at y = " + metres_text(box.y_min_m) +
                         ": readings to both sides are needed");
  }
  throw NumericalError(head + "in one slanting line: places beside it are needed");
}

void require_finite(std::span<const PlanePoint> at, std::string_view what) {
  for (std::size_t i = 0; i < at.size(); ++i) {
    if (!std::isfinite(at[i].y_m) || !std::isfinite(at[i].z_m)) {
      throw InputError("interpolation: " + std::string(what) + " " + std::to_string(i) +
                       " is not finite");
    }
  }
}

}  // namespace sweepflux
