#include "sweepflux/base/combination.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/quantiles.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>

namespace sweepflux {

void Covariance::add(std::size_t i, std::size_t j, double value) {
  values_[i * n_ + j] += value;
  if (i != j) {
    values_[j * n_ + i] += value;
  }
}

double propagated_covariance(std::span<const double> a,
                             std::span<const double> b,
                             const Covariance& inputs) {
  if (a.size() != inputs.size() || b.size() != inputs.size()) {
    throw InputError("propagated_covariance: one sensitivity an input is needed");
  }
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t j = 0; j < b.size(); ++j) {
      sum += a[i] * inputs.at(i, j) * b[j];
    }
  }
  return sum;
}

WeightedMean weighted_mean(std::span<const double> values, const Covariance& covariance) {
  const auto n = static_cast<Eigen::Index>(values.size());
  if (n == 0 || covariance.size() != values.size()) {
    throw InputError("weighted_mean: one value or more, each with its row of covariances");
  }
  Eigen::MatrixXd v(n, n);
  Eigen::VectorXd x(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    x(i) = values[static_cast<std::size_t>(i)];
    for (Eigen::Index j = 0; j < n; ++j) {
      v(i, j) = covariance.at(static_cast<std::size_t>(i), static_cast<std::size_t>(j));
    }
  }
  const Eigen::LLT<Eigen::MatrixXd> factor(v);
  if (factor.info() != Eigen::Success || !v.allFinite() || !x.allFinite()) {
    throw InputError("weighted_mean: values must be finite and their covariance positive definite");
  }
  const Eigen::VectorXd w = factor.solve(Eigen::VectorXd::Ones(n));
  WeightedMean mean;
  mean.value = w.dot(x) / w.sum();
  mean.standard_uncertainty = 1.0 / std::sqrt(w.sum());
  for (Eigen::Index i = 0; i < n; ++i) {
    mean.weights.push_back(w(i) / w.sum());
  }
  if (n > 1) {
    const Eigen::VectorXd off = x.array() - mean.value;
    mean.chi_square = off.dot(factor.solve(off));
    mean.degrees = static_cast<double>(n - 1);
    mean.chance = 1.0 - chi_square_probability(mean.chi_square, mean.degrees);
    mean.birge_ratio = std::sqrt(mean.chi_square / mean.degrees);
  }
  return mean;
}

std::string outside_parts_words(double combined, std::span<const double> parts) {
  if (parts.size() < 2) {
    return {};
  }
  const auto [low, high] = std::minmax_element(parts.begin(), parts.end());
  if (combined >= *low && combined <= *high) {
    return {};
  }
  std::string words =
      "the combined value lies above each of its parts: shared errors act on the parts unequally, so "
      "the differences between the parts show these errors, and the combination corrects for them";
  if (combined < *low) {
    words.replace(words.find("above"), 5, "below");
  }
  return words;
}

Combination combine(std::span<const Contribution> contributions) {
  if (contributions.empty()) {
    throw InputError("combine: one measurement at least is needed");
  }
  std::vector<double> values;
  std::vector<std::string> causes;
  for (const Contribution& c : contributions) {
    if (!(c.own_uncertainty > 0.0)) {
      throw InputError("combine: every measurement needs an uncertainty of its own above zero");
    }
    values.push_back(c.value);
    for (const Contribution::Shared& s : c.shared) {
      if (std::find(causes.begin(), causes.end(), s.cause) == causes.end()) {
        causes.push_back(s.cause);
      }
    }
  }
  const auto share = [&](const Contribution& c, const std::string& cause) {
    double square = 0.0;
    for (const Contribution::Shared& s : c.shared) {
      square += s.cause == cause ? s.relative * s.relative : 0.0;
    }
    return std::sqrt(square);
  };
  Combination result;
  // The common value scales the shared errors; two rounds settle it far below its uncertainty.
  double scale = 0.0;
  for (const double v : values) {
    scale += v / static_cast<double>(values.size());
  }
  for (int round = 0; round < 3; ++round) {
    Covariance covariance(values.size());
    for (std::size_t i = 0; i < values.size(); ++i) {
      covariance.add(i, i, contributions[i].own_uncertainty * contributions[i].own_uncertainty);
      for (std::size_t j = i; j < values.size(); ++j) {
        for (const std::string& cause : causes) {
          covariance.add(i,
                         j,
                         scale * scale * share(contributions[i], cause) *
                             share(contributions[j], cause));
        }
      }
    }
    result.mean = weighted_mean(values, covariance);
    scale = result.mean.value;
  }
  double own = 0.0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    own = std::hypot(own, result.mean.weights[i] * contributions[i].own_uncertainty);
  }
  result.enlarged = !result.mean.consistent();
  result.own_uncertainty = own * (result.enlarged ? result.mean.birge_ratio : 1.0);
  double whole = result.own_uncertainty;
  for (const std::string& cause : causes) {
    double left = 0.0;
    for (std::size_t i = 0; i < values.size(); ++i) {
      left += result.mean.weights[i] * share(contributions[i], cause);
    }
    result.shared.push_back({cause, std::abs(left)});
    whole = std::hypot(whole, left * result.mean.value);
  }
  result.value = {result.mean.value, whole};
  return result;
}

}  // namespace sweepflux
