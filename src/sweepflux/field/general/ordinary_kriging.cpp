#include "sweepflux/field/general/ordinary_kriging.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/dense_private.hpp"
#include "sweepflux/field/general/scattered.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <numbers>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t places_at_once = 128;  // wanted places in one go

using PlaceIndex = std::map<std::pair<double, double>, Eigen::Index>;

/// Where each reading stands, and that no two share a place.
PlaceIndex index_places(std::span<const PlanePoint> at) {
  PlaceIndex index;
  for (std::size_t i = 0; i < at.size(); ++i) {
    if (!index.emplace(std::pair(at[i].y_m, at[i].z_m), static_cast<Eigen::Index>(i)).second) {
      throw InputError("kriging: two readings share one place; merge them first");
    }
  }
  return index;
}

void require_sound(const ScatteredValues& values, const KrigingModel& model) {
  check(model.covariance);
  if (!(std::isfinite(model.nugget) && model.nugget >= 0.0)) {
    throw InputError("kriging: nugget must be finite and >= 0");
  }
  const std::size_t n = values.at.size();
  if (n == 0 || values.value.size() != n ||
      (!values.noise_sd.empty() && values.noise_sd.size() != n)) {
    throw InputError("kriging: as many values (and noise_sd, if any) as places, at least one");
  }
  require_finite(values.at, "place");
}

}  // namespace

struct OrdinaryKriging::Solved {
  KrigingModel model;
  int threads = 0;
  PlaceIndex places;
  Eigen::Matrix2Xd at;       // scaled
  Eigen::VectorXd given;     // values
  Eigen::MatrixXd lower;     // Cholesky factor
  Eigen::VectorXd ones;      // factor^-1 1
  Eigen::VectorXd rest;      // factor^-1 (value - mean)
  double ones_square = 0.0;  // 1' K^-1 1
  double mean = 0.0;
  double mean_variance = 0.0;

  /// Covariances of the readings (rows) with wanted places.
  Eigen::MatrixXd toward(std::span<const PlanePoint> wanted, Nugget nugget_is) const {
    Eigen::MatrixXd k =
        cross_covariance(model.covariance, at, scaled_places(model.covariance, wanted));
    if (nugget_is == Nugget::structure) {
      for (std::size_t j = 0; j < wanted.size(); ++j) {
        const auto found = places.find({wanted[j].y_m, wanted[j].z_m});
        if (found != places.end()) {
          k(found->second, static_cast<Eigen::Index>(j)) += model.nugget;
        }
      }
    }
    return k;
  }

  double prior_variance(Nugget nugget_is) const {
    return model.covariance.sill + (nugget_is == Nugget::structure ? model.nugget : 0.0);
  }

  Interpolated predict(std::span<const PlanePoint> wanted, bool variance, Nugget nugget_is) const;
};

Interpolated OrdinaryKriging::Solved::predict(std::span<const PlanePoint> wanted,
                                              bool variance,
                                              Nugget nugget_is) const {
  require_finite(wanted, "wanted place");
  Interpolated result;
  result.value.resize(wanted.size());
  result.variance.resize(variance ? wanted.size() : 0);
  // Without variances one back-substitution serves all places.
  Eigen::MatrixXd weights = rest;
  if (!variance) {
    solve_upper_in_place(lower, weights, 1);
  }
  in_parts(wanted.size(), places_at_once, threads, [&](std::size_t first, std::size_t last) {
    const auto part = wanted.subspan(first, last - first);
    Eigen::MatrixXd k = toward(part, nugget_is);
    if (variance) {
      solve_lower_in_place(lower, k, 1);
    }
    const Eigen::VectorXd value = transposed_product(k, weights);
    for (std::size_t j = 0; j < part.size(); ++j) {
      const Eigen::Index column = static_cast<Eigen::Index>(j);
      result.value[first + j] = mean + value[column];
      if (variance) {
        const double left = 1.0 - ones.dot(k.col(column));
        // Rounding alone can make it negative, at a reading without noise.
        result.variance[first + j] = std::max(
            0.0,
            prior_variance(nugget_is) - k.col(column).squaredNorm() + left * left * mean_variance);
      }
    }
  });
  return result;
}

OrdinaryKriging::OrdinaryKriging(const ScatteredValues& values,
                                 const KrigingModel& model,
                                 int threads) {
  require_sound(values, model);
  require_dense_fits(values.at.size(), "kriging");
  auto solved = std::make_shared<Solved>();
  Solved& s = *solved;
  s.model = model;
  s.threads = threads;
  s.places = index_places(values.at);
  const Eigen::Index n = static_cast<Eigen::Index>(values.at.size());
  s.at = scaled_places(model.covariance, values.at);
  s.given = Eigen::Map<const Eigen::VectorXd>(values.value.data(), n);
  fill_lower_covariance(model.covariance, s.at, s.lower);
  s.lower.diagonal().array() += model.nugget;
  if (!values.noise_sd.empty()) {
    s.lower.diagonal().array() +=
        Eigen::Map<const Eigen::ArrayXd>(values.noise_sd.data(), n).square();
  }
  if (!cholesky_in_place(s.lower, threads)) {
    throw NumericalError(
        "kriging: the covariance matrix is singular to rounding; readings too close for their "
        "noise, a range too long, or a kernel too smooth: state a noise or a nugget");
  }
  Eigen::MatrixXd right(n, 2);
  right.col(0) = s.given;
  right.col(1).setOnes();
  solve_lower_in_place(s.lower, right, threads);
  s.ones = right.col(1);
  s.ones_square = s.ones.squaredNorm();
  s.mean = model.known_mean ? *model.known_mean : s.ones.dot(right.col(0)) / s.ones_square;
  s.mean_variance = model.known_mean ? 0.0 : 1.0 / s.ones_square;
  s.rest = right.col(0) - s.mean * s.ones;
  solved_ = std::move(solved);
}

double OrdinaryKriging::mean() const { return solved_->mean; }

Interpolated OrdinaryKriging::predict(std::span<const PlanePoint> wanted, bool variance) const {
  return solved_->predict(wanted, variance, solved_->model.nugget_is);
}

std::vector<LeftOutPrediction> OrdinaryKriging::leave_one_out() const {
  const Solved& s = *solved_;
  const Eigen::Index n = s.given.size();
  if (n < 2 && !s.model.known_mean) {
    throw NumericalError("kriging: one reading alone cannot be predicted from the others");
  }
  Eigen::MatrixXd inverse = Eigen::MatrixXd::Identity(n, n);
  solve_lower_in_place(s.lower, inverse, s.threads);
  const Eigen::VectorXd precision_diagonal = inverse.colwise().squaredNorm();
  const Eigen::VectorXd precision_ones = transposed_product(inverse, s.ones);
  const Eigen::VectorXd precision_rest = transposed_product(inverse, s.rest);
  std::vector<LeftOutPrediction> result(static_cast<std::size_t>(n));
  for (Eigen::Index i = 0; i < n; ++i) {
    const double information =
        precision_diagonal[i] - precision_ones[i] * precision_ones[i] * s.mean_variance;
    result[static_cast<std::size_t>(i)] = {s.given[i] - precision_rest[i] / information,
                                           1.0 / information};
  }
  return result;
}

double OrdinaryKriging::log_likelihood() const {
  const Solved& s = *solved_;
  return -0.5 * s.rest.squaredNorm() - s.lower.diagonal().array().log().sum() -
         0.5 * static_cast<double>(s.given.size()) * std::log(2.0 * std::numbers::pi);
}

double OrdinaryKriging::restricted_log_likelihood() const {
  const Solved& s = *solved_;
  if (s.model.known_mean) {
    return log_likelihood();
  }
  return log_likelihood() - 0.5 * std::log(s.ones_square) + 0.5 * std::log(2.0 * std::numbers::pi);
}

void OrdinaryKriging::add_covariance(std::span<const PlanePoint> nodes,
                                     std::span<const double> flow,
                                     std::span<const double> square,
                                     FieldIntegrals& to) const {
  if (nodes.empty() || nodes.size() != flow.size() || nodes.size() != square.size()) {
    throw InputError("kriging: sums need as many weights as nodes, at least one");
  }
  const Solved& s = *solved_;
  const Eigen::Index g = static_cast<Eigen::Index>(nodes.size());
  Eigen::MatrixXd load(g, 2);
  load.col(0) = Eigen::Map<const Eigen::VectorXd>(flow.data(), g);
  load.col(1) = Eigen::Map<const Eigen::VectorXd>(square.data(), g);
  const Eigen::Matrix2Xd places = scaled_places(s.model.covariance, nodes);
  const std::size_t chunks = (nodes.size() + places_at_once - 1) / places_at_once;
  // Parts are summed in their order afterwards: the same bits for any number of threads.
  std::vector<Eigen::MatrixXd> priors(chunks);
  std::vector<Eigen::MatrixXd> towards(chunks);
  in_parts(nodes.size(), places_at_once, s.threads, [&](std::size_t first, std::size_t last) {
    const std::size_t c = first / places_at_once;
    const Eigen::Index start = static_cast<Eigen::Index>(first);
    const Eigen::Index count = static_cast<Eigen::Index>(last - first);
    const Eigen::Matrix2Xd part = places.middleCols(start, count);
    const Eigen::MatrixXd part_load = load.middleRows(start, count);
    priors[c] = transposed_product(
        load, product(cross_covariance(s.model.covariance, places, part), part_load));
    towards[c] = product(cross_covariance(s.model.covariance, s.at, part), part_load);
  });
  Eigen::MatrixXd prior = Eigen::MatrixXd::Zero(2, 2);
  Eigen::MatrixXd toward = Eigen::MatrixXd::Zero(s.given.size(), 2);
  for (std::size_t c = 0; c < chunks; ++c) {
    prior += priors[c];
    toward += towards[c];
  }
  solve_lower_in_place(s.lower, toward, 1);
  const Eigen::Vector2d left =
      load.colwise().sum().transpose() - transposed_product(toward, s.ones);
  const Eigen::Matrix2d posterior =
      prior - transposed_product(toward, toward) + s.mean_variance * left * left.transpose();
  to.flow_variance = std::max(0.0, posterior(0, 0));
  to.square_variance = std::max(0.0, posterior(1, 1));
  to.covariance = posterior(0, 1);
}

FieldIntegrals OrdinaryKriging::integrate(std::span<const PlanePoint> nodes,
                                          std::span<const double> weights) const {
  // Structure that no reading resolves averages out over a plane.
  const Interpolated field = solved_->predict(nodes, true, Nugget::noise);
  FieldIntegrals result;
  std::vector<double> square_load(nodes.size());
  for (std::size_t i = 0; i < std::min(nodes.size(), weights.size()); ++i) {
    const double u = field.value[i];
    result.flow += weights[i] * u;
    result.square += weights[i] * (u * u + field.variance[i]);
    square_load[i] = 2.0 * weights[i] * u;
  }
  add_covariance(nodes, weights, square_load, result);
  return result;
}

}  // namespace sweepflux
