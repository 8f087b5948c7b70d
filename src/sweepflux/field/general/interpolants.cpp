#include "sweepflux/field/general/interpolants.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/dense_private.hpp"
#include "sweepflux/field/general/kriging_fit.hpp"
#include "sweepflux/field/general/linear_cells.hpp"
#include "sweepflux/field/general/nearest_kriging.hpp"
#include "sweepflux/field/general/ordinary_kriging.hpp"
#include "sweepflux/field/general/scattered.hpp"

#include <Eigen/Core>
#include <Eigen/QR>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string>

namespace sweepflux {
namespace {

constexpr std::size_t most_for_exact_kriging = 3000;

Interpolated constant(double value, std::size_t count) {
  Interpolated result;
  result.value.assign(count, value);
  result.notes.emplace_back("all values are equal: their uncertainty is not estimable");
  return result;
}

/// One value a wanted place, on all threads.
template <typename Value>
Interpolated at_each(std::span<const PlanePoint> wanted, const Value& value) {
  Interpolated result;
  result.value.resize(wanted.size());
  in_parts(wanted.size(), 512, 0, [&](std::size_t first, std::size_t last) {
    for (std::size_t i = first; i < last; ++i) {
      result.value[i] = value(wanted[i]);
    }
  });
  return result;
}

Interpolated by_kriging(const ScatteredValues& values, std::span<const PlanePoint> wanted) {
  if (values.at.size() < 3) {
    throw NumericalError("kriging: " + std::to_string(values.at.size()) +
                         " places hold no covariance; three are the least");
  }
  FitOptions options;
  options.fit_nugget = !values.noise_sd.empty();
  const FittedModel fitted = fit_kriging(values, options);
  const bool many = values.at.size() > most_for_exact_kriging;
  Interpolated result = many ? NearestKriging(values, fitted.model).predict(wanted)
                             : OrdinaryKriging(values, fitted.model).predict(wanted);
  if (many) {
    result.notes.emplace_back("too many readings for one exact solve: each place sees its nearest");
  }
  result.notes.push_back(fitted.how);
  if (!fitted.converged) {
    result.notes.emplace_back("the search for the covariance stopped early");
  }
  return result;
}

/// Mean of all values with weights 1 / distance^2 [Shepard 1968]. Flat at every reading, and drawn
/// to the mean of all far away: kept for comparison. A place at a reading gives that reading.
double mean_seen_from(const ScatteredValues& values, PlanePoint p) {
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
    const double weight = least / (dy * dy + dz * dz);
    total += weight;
    // Differences from one value: constant data give the constant to the last bit.
    sum += weight * (values.value[i] - values.value[nearest]);
  }
  return values.value[nearest] + sum / total;
}

Interpolated by_cells(const ScatteredValues& values, std::span<const PlanePoint> wanted) {
  require_two_directions(values.at, "linear");
  const LinearCells cells(values);
  Interpolated result;
  std::size_t outside = 0;
  for (const PlanePoint& p : wanted) {
    result.value.push_back(cells.at(p));
    outside += std::isnan(result.value.back()) ? 1U : 0U;
  }
  if (outside > 0) {
    result.notes.push_back(std::to_string(outside) + " of " + std::to_string(wanted.size()) +
                           " wanted places lie outside the readings' hull: no value there");
  }
  return result;
}

/// Thin-plate spline with a linear tail [Duchon 1977]: of all surfaces through the values the one
/// with least bending energy. Plane fields are met exactly. It may swing beyond the values on
/// both sides of a sharp edge: speeds can come out negative, and the map must say so.
///
/// The spline's weights lie in the space orthogonal to plane fields, where the matrix is positive
/// definite; so a Cholesky factor of N - 3 does, at half the work of a general solve. Cost: N^3/3
/// once, then N per value.
class ThinPlate {
 public:
  explicit ThinPlate(const ScatteredValues& values);

  [[nodiscard]] double at(PlanePoint p) const {
    const double y = (p.y_m - centre_.y_m) / size_;
    const double z = (p.z_m - centre_.z_m) / size_;
    return bending_toward(y, z).matrix().dot(weight_) + plane_[0] + plane_[1] * y + plane_[2] * z;
  }

 private:
  /// r^2 ln r^2, twice Duchon's r^2 ln r; a factor does not matter. 0 at 0.
  Eigen::ArrayXd bending_toward(double y_wanted, double z_wanted) const {
    const Eigen::ArrayXd squared = (y_ - y_wanted).square() + (z_ - z_wanted).square();
    return squared * squared.max(1e-300).log();
  }

  PlanePoint centre_;
  double size_ = 1.0;
  Eigen::ArrayXd y_;  // of the places, centred and divided by the size: well-conditioned
  Eigen::ArrayXd z_;
  Eigen::VectorXd weight_;
  Eigen::Vector3d plane_;  // constant, along y, along z
};

ThinPlate::ThinPlate(const ScatteredValues& values) {
  require_two_directions(values.at, "thin plate");
  require_dense_fits(values.at.size(), "thin plate");
  const Eigen::Index n = static_cast<Eigen::Index>(values.at.size());
  y_.resize(n);
  z_.resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    y_[i] = values.at[static_cast<std::size_t>(i)].y_m;
    z_[i] = values.at[static_cast<std::size_t>(i)].z_m;
  }
  centre_ = {y_.mean(), z_.mean()};
  y_ -= centre_.y_m;
  z_ -= centre_.z_m;
  size_ = std::max(y_.abs().maxCoeff(), z_.abs().maxCoeff());
  y_ /= size_;
  z_ /= size_;
  // A copy: the order of a mapped list's sum would change with its address.
  const Eigen::VectorXd value = Eigen::Map<const Eigen::VectorXd>(values.value.data(), n);
  const double mean = value.mean();

  Eigen::MatrixX3d planes(n, 3);
  planes << Eigen::VectorXd::Ones(n), y_.matrix(), z_.matrix();
  // Three reflections [Golub 2013, section 5.1].
  const Eigen::HouseholderQR<Eigen::MatrixX3d> planes_qr(planes);
  const auto turn = planes_qr.householderQ();
  Eigen::MatrixXd turned = value.array() - mean;
  turned.applyOnTheLeft(turn.adjoint());
  weight_ = Eigen::VectorXd::Zero(n);
  Eigen::MatrixXd bent = Eigen::VectorXd::Zero(n);  // what the weights give at the places
  if (n > 3) {
    Eigen::MatrixXd matrix(n, n);
    for (Eigen::Index j = 0; j < n; ++j) {
      matrix.col(j) = bending_toward(y_[j], z_[j]).matrix();
    }
    matrix.applyOnTheLeft(turn.adjoint());
    matrix.transposeInPlace();
    matrix.applyOnTheLeft(turn.adjoint());
    Eigen::MatrixXd lower = matrix.bottomRightCorner(n - 3, n - 3);
    if (!cholesky_in_place(lower)) {
      throw NumericalError("thin plate: the places are too close together for a stable solution");
    }
    Eigen::MatrixXd right = turned.bottomRows(n - 3);
    solve_lower_in_place(lower, right, 1);
    solve_upper_in_place(lower, right, 1);
    weight_.tail(n - 3) = right;
    bent = product(matrix, weight_);
    weight_.applyOnTheLeft(turn);
  }
  const Eigen::Vector3d right = turned.topRows<3>() - bent.topRows<3>();
  plane_ = planes_qr.matrixQR().topRows<3>().triangularView<Eigen::Upper>().solve(right);
  plane_[0] += mean;
}

Interpolated by_thin_plate(const ScatteredValues& values, std::span<const PlanePoint> wanted) {
  const ThinPlate plate(values);
  Interpolated result = at_each(wanted, [&](PlanePoint at) { return plate.at(at); });
  if (wanted.empty()) {
    return result;
  }
  const auto [least, most] = std::minmax_element(values.value.begin(), values.value.end());
  const auto [low, high] = std::minmax_element(result.value.begin(), result.value.end());
  if (*low < 0.0 && *least >= 0.0) {
    result.notes.emplace_back("the thin plate swings below zero where no reading does");
  }
  if (*high > *most + 0.01 * (*most - *least)) {
    result.notes.emplace_back("the thin plate swings above the largest reading");
  }
  return result;
}

}  // namespace

Interpolated interpolate(const ScatteredValues& given,
                         std::span<const PlanePoint> wanted,
                         Method method) {
  const ScatteredValues values = merged(given);
  require_finite(wanted, "wanted place");
  const bool all_equal = std::all_of(
      values.value.begin(), values.value.end(), [&](double v) { return v == values.value[0]; });
  switch (method) {
    case Method::kriging:
      return all_equal ? constant(values.value[0], wanted.size()) : by_kriging(values, wanted);
    case Method::linear:
      return by_cells(values, wanted);
    case Method::thin_plate:
      return by_thin_plate(values, wanted);
    case Method::inverse_distance:
      return at_each(wanted, [&](PlanePoint at) { return mean_seen_from(values, at); });
    case Method::automatic:
      break;
  }
  throw InputError(
      "interpolation: name a method (kriging, linear, thin plate, inverse distance); "
      "the default recipe is not among these");
}

}  // namespace sweepflux
