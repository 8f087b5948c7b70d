#include "sweepflux/field/general/inverse_distance.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/general/scattered.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string>

namespace sweepflux {
namespace {

double mean_seen_from(const ScatteredValues& values, PlanePoint p, double power) {
  double least = std::numeric_limits<double>::infinity();  // distances are taken relative to the
                                                           // least: no overflow, no 0/0
  std::size_t nearest = 0;
  for (std::size_t i = 0; i < values.at.size(); ++i) {
    const double dy = values.at[i].y_m - p.y_m;
    const double dz = values.at[i].z_m - p.z_m;
    const double squared = dy * dy + dz * dz;
    if (squared < least) {
      least = squared;
      nearest = i;
    }
  }
  if (least == 0.0) {
    return values.value[nearest];
  }
  double total = 0.0;
  double sum = 0.0;
  for (std::size_t i = 0; i < values.at.size(); ++i) {
    const double dy = values.at[i].y_m - p.y_m;
    const double dz = values.at[i].z_m - p.z_m;
    const double ratio = least / (dy * dy + dz * dz);
    const double weight = power == 2.0 ? ratio : std::pow(ratio, 0.5 * power);
    total += weight;
    // Differences from one value: constant data give the constant to the last bit.
    sum += weight * (values.value[i] - values.value[nearest]);
  }
  return values.value[nearest] + sum / total;
}

}  // namespace

std::vector<double> inverse_distance(const ScatteredValues& values,
                                     std::span<const PlanePoint> wanted,
                                     double power) {
  if (!(power > 0.0)) {
    throw InputError("inverse distance: power is " + std::to_string(power) + ", must be > 0");
  }
  if (values.at.empty() || values.at.size() != values.value.size()) {
    throw InputError("inverse distance: as many values as places, at least one");
  }
  require_finite(wanted, "wanted place");
  std::vector<double> result(wanted.size());
  constexpr std::size_t chunk = 512;
  parallel_for((wanted.size() + chunk - 1) / chunk, 0, [&](std::size_t c) {
    for (std::size_t i = c * chunk; i < std::min(wanted.size(), (c + 1) * chunk); ++i) {
      result[i] = mean_seen_from(values, wanted[i], power);
    }
  });
  return result;
}

}  // namespace sweepflux
