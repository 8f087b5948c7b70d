#include "sweepflux/field/general/condense.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/dense_private.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numeric>
#include <span>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t most_members = 12;

/// Readings by cell: `order` holds indices, cell c those from first[c] to first[c + 1].
struct Cells {
  std::vector<std::size_t> order;
  std::vector<std::size_t> first{0};

  [[nodiscard]] std::size_t count() const { return first.size() - 1; }
  [[nodiscard]] std::span<const std::size_t> members(std::size_t c) const {
    return std::span(order).subspan(first[c], first[c + 1] - first[c]);
  }
};

/// Sorts indices by whole numbers >= 0 in as many passes as these have digits; equal ones keep
/// their order. A million readings over and over: a comparing sort took a third of all time.
void sort_stably(std::vector<std::size_t>& order, const std::vector<std::uint64_t>& key) {
  constexpr unsigned digit_bits = 11;
  constexpr std::uint64_t mask = (1U << digit_bits) - 1;
  const std::uint64_t most = *std::max_element(key.begin(), key.end());
  std::vector<std::size_t> next(order.size());
  for (unsigned shift = 0; shift < 64 && (most >> shift) > 0; shift += digit_bits) {
    std::array<std::size_t, mask + 1> start{};
    for (const std::uint64_t k : key) {
      ++start[(k >> shift) & mask];
    }
    std::exclusive_scan(start.begin(), start.end(), start.begin(), std::size_t{0});
    for (const std::size_t i : order) {
      next[start[(key[i] >> shift) & mask]++] = i;
    }
    order.swap(next);
  }
}

Cells cells_of(const Eigen::Matrix2Xd& scaled, double share) {
  const Eigen::Vector2d low = scaled.rowwise().minCoeff();
  const std::size_t n = static_cast<std::size_t>(scaled.cols());
  std::vector<std::uint64_t> column(n);
  std::vector<std::uint64_t> row(n);
  for (std::size_t i = 0; i < n; ++i) {
    const Eigen::Index place = static_cast<Eigen::Index>(i);
    column[i] = static_cast<std::uint64_t>((scaled(0, place) - low[0]) / share);
    row[i] = static_cast<std::uint64_t>((scaled(1, place) - low[1]) / share);
  }
  Cells cells;
  cells.order.resize(n);
  std::iota(cells.order.begin(), cells.order.end(), std::size_t{0});
  sort_stably(cells.order, row);
  sort_stably(cells.order, column);
  for (std::size_t i = 1; i < n; ++i) {
    const std::size_t here = cells.order[i];
    const std::size_t before = cells.order[i - 1];
    if (column[here] != column[before] || row[here] != row[before]) {
      cells.first.push_back(i);
    }
  }
  cells.first.push_back(n);
  return cells;
}

/// Mean of one cell's readings: value, place, noise variance of the mean, spread of places.
struct CellMean {
  double value = 0.0;
  PlanePoint at;
  double noise = 0.0;
  std::array<PlanePoint, 2> spread;
};

/// Principal axes of a cell's second moments, each as long as the standard deviation along it.
std::array<PlanePoint, 2> principal(double yy, double yz, double zz) {
  const double half_gap = std::hypot(0.5 * (yy - zz), yz);
  const double centre = 0.5 * (yy + zz);
  const double angle = half_gap > 0.0 ? 0.5 * std::atan2(yz, 0.5 * (yy - zz)) : 0.0;
  const double longer = std::sqrt(std::max(0.0, centre + half_gap));
  const double shorter = std::sqrt(std::max(0.0, centre - half_gap));
  return {PlanePoint{longer * std::cos(angle), longer * std::sin(angle)},
          PlanePoint{-shorter * std::sin(angle), shorter * std::cos(angle)}};
}

CellMean mean_of(const ScatteredValues& values,
                 const KrigingModel& model,
                 std::span<const std::size_t> members) {
  CellMean mean;
  if (members.size() == 1) {
    return {values.value[members[0]],
            values.at[members[0]],
            noise_variance(values, model, members[0]),
            {}};
  }
  const auto weight_of = [&](std::size_t i) {
    const double noise = noise_variance(values, model, i);
    return noise > 0.0 ? 1.0 / noise : 1.0;
  };
  double total = 0.0;
  for (const std::size_t i : members) {
    const double weight = weight_of(i);
    total += weight;
    mean.value += weight * values.value[i];
    mean.at.y_m += weight * values.at[i].y_m;
    mean.at.z_m += weight * values.at[i].z_m;
    mean.noise += weight * weight * noise_variance(values, model, i);
  }
  mean.value /= total;
  mean.at = {mean.at.y_m / total, mean.at.z_m / total};
  mean.noise /= total * total;
  double yy = 0.0;
  double yz = 0.0;
  double zz = 0.0;
  for (const std::size_t i : members) {
    const double weight = weight_of(i) / total;
    const double dy = values.at[i].y_m - mean.at.y_m;
    const double dz = values.at[i].z_m - mean.at.z_m;
    yy += weight * dy * dy;
    yz += weight * dy * dz;
    zz += weight * dz * dz;
  }
  mean.spread = principal(yy, yz, zz);
  return mean;
}

/// Variance of (mean of the field over the readings) - (field at their mean place).
double variance_inside(const ScatteredValues& values,
                       const KrigingModel& model,
                       std::span<const std::size_t> members) {
  if (members.size() < 2) {
    return 0.0;
  }
  const std::size_t count = std::min(members.size(), most_members);
  std::array<PlanePoint, most_members> part;
  PlanePoint centre;
  for (std::size_t i = 0; i < count; ++i) {
    part[i] = values.at[members[i * (members.size() - 1) / (count - 1)]];
    centre.y_m += part[i].y_m / static_cast<double>(count);
    centre.z_m += part[i].z_m / static_cast<double>(count);
  }
  const std::span<const PlanePoint> places(part.data(), count);
  const Eigen::Matrix2Xd scaled = scaled_places(model.covariance, places);
  const Eigen::Matrix2Xd middle = scaled_places(model.covariance, std::span(&centre, 1));
  const double among = cross_covariance(model.covariance, scaled, scaled).mean();
  const double toward = cross_covariance(model.covariance, scaled, middle).mean();
  return std::max(0.0, among - 2.0 * toward + model.covariance.sill);
}

Condensed averaged(const ScatteredValues& values,
                   const KrigingModel& model,
                   const Cells& cells,
                   double share) {
  Condensed result;
  result.cell_share = share;
  for (std::size_t c = 0; c < cells.count(); ++c) {
    const CellMean mean = mean_of(values, model, cells.members(c));
    const double inside = variance_inside(values, model, cells.members(c));
    result.values.at.push_back(mean.at);
    result.values.value.push_back(mean.value);
    result.values.noise_sd.push_back(std::sqrt(mean.noise + inside));
    result.spread.push_back(mean.spread);
  }
  return result;
}

Condensed as_they_are(const ScatteredValues& values, const KrigingModel& model) {
  Condensed result;
  result.values = values;
  result.values.noise_sd.resize(values.at.size());
  for (std::size_t i = 0; i < values.at.size(); ++i) {
    result.values.noise_sd[i] = std::sqrt(noise_variance(values, model, i));
  }
  return result;
}

/// Median over (a sample of) the cells with several readings of the noise that averaging adds,
/// relative to the noise of their means. Infinite without noise.
double added_noise(const ScatteredValues& values, const KrigingModel& model, const Cells& cells) {
  std::vector<double> added;
  const std::size_t stride = std::max<std::size_t>(1, cells.count() / 500);
  for (std::size_t c = 0; c < cells.count(); c += stride) {
    if (cells.members(c).size() > 1) {
      added.push_back(variance_inside(values, model, cells.members(c)) /
                      mean_of(values, model, cells.members(c)).noise);
    }
  }
  if (added.empty()) {
    return std::numeric_limits<double>::infinity();
  }
  const auto middle = added.begin() + static_cast<std::ptrdiff_t>(added.size() / 2);
  std::nth_element(added.begin(), middle, added.end());
  return *middle;
}

}  // namespace

Condensed condense(const ScatteredValues& values, const KrigingModel& model, double share) {
  if (!(share > 0.0)) {
    throw InputError("condensing: the cells' side must be > 0 ranges");
  }
  return averaged(
      values, model, cells_of(scaled_places(model.covariance, values.at), share), share);
}

Condensed condense_harmlessly(const ScatteredValues& values,
                              const KrigingModel& model,
                              double most_added) {
  const Eigen::Matrix2Xd scaled = scaled_places(model.covariance, values.at);
  for (double share = 0.25; share > 0.02; share /= 1.4) {
    const Cells cells = cells_of(scaled, share);
    if (10 * cells.count() > 9 * values.at.size()) {
      break;  // nothing to gain, and finer cells gain less
    }
    if (added_noise(values, model, cells) <= most_added) {
      return averaged(values, model, cells, share);
    }
  }
  return as_they_are(values, model);
}

Condensed condense_to(const ScatteredValues& values, const KrigingModel& model, std::size_t most) {
  if (values.at.size() <= std::max<std::size_t>(most, 1)) {
    return as_they_are(values, model);
  }
  const Eigen::Matrix2Xd scaled = scaled_places(model.covariance, values.at);
  const std::size_t enough = std::max<std::size_t>(most, 1);
  double share = 0.02;
  Cells cells = cells_of(scaled, share);
  while (cells.count() > enough) {
    share *= 1.25;
    cells = cells_of(scaled, share);
  }
  return averaged(values, model, cells, share);
}

}  // namespace sweepflux
