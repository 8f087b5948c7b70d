#include "sweepflux/field/general/bounded_search.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/dense_private.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace sweepflux {
namespace {

using Eigen::Index;
using Eigen::VectorXd;
using Function = std::function<double(std::span<const double>)>;

/// The function with its box.
class Problem {
 public:
  Problem(const Function& function, std::span<const double> low, std::span<const double> high)
      : function_(function),
        low_(Eigen::Map<const VectorXd>(low.data(), static_cast<Index>(low.size()))),
        high_(Eigen::Map<const VectorXd>(high.data(), static_cast<Index>(high.size()))) {}

  double value(const VectorXd& x) const {
    return function_(std::span(x.data(), static_cast<std::size_t>(x.size())));
  }

  /// Central differences; one-sided where the box or an undefined value is in the way.
  VectorXd gradient(const VectorXd& x, double centre) const {
    VectorXd result(x.size());
    for (Index i = 0; i < x.size(); ++i) {
      const double step = 1e-4 * std::max(1.0, std::abs(x[i]));
      VectorXd up = x;
      VectorXd down = x;
      up[i] = std::min(x[i] + step, high_[i]);
      down[i] = std::max(x[i] - step, low_[i]);
      double above = up[i] > x[i] ? value(up) : centre;
      double below = down[i] < x[i] ? value(down) : centre;
      if (!std::isfinite(above)) {
        above = centre;
        up[i] = x[i];
      }
      if (!std::isfinite(below)) {
        below = centre;
        down[i] = x[i];
      }
      result[i] = up[i] > down[i] ? (above - below) / (up[i] - down[i]) : 0.0;
    }
    return result;
  }

  VectorXd into_box(const VectorXd& x) const { return x.cwiseMax(low_).cwiseMin(high_); }

  /// A variable at its bound that wants to go farther out takes no part in the step.
  bool held(const VectorXd& x, const VectorXd& gradient, Index i) const {
    return (x[i] <= low_[i] && gradient[i] > 0.0) || (x[i] >= high_[i] && gradient[i] < 0.0);
  }

 private:
  const Function& function_;
  VectorXd low_;
  VectorXd high_;
};

VectorXd direction(const Problem& problem,
                   const VectorXd& x,
                   const VectorXd& gradient,
                   Eigen::MatrixXd& inverse) {
  VectorXd free_gradient = gradient;
  for (Index i = 0; i < x.size(); ++i) {
    if (problem.held(x, gradient, i)) {
      free_gradient[i] = 0.0;
    }
  }
  VectorXd step = -(inverse * free_gradient);
  for (Index i = 0; i < x.size(); ++i) {
    if (problem.held(x, gradient, i)) {
      step[i] = 0.0;
    }
  }
  if (step.dot(free_gradient) > -1e-12 * step.norm() * free_gradient.norm()) {
    inverse.setIdentity();
    step = -free_gradient;
  }
  const double longest = step.cwiseAbs().maxCoeff();
  return longest > 1.0 ? VectorXd(step / longest) : step;  // logarithms: e-fold at most
}

void learn_curvature(const VectorXd& moved, const VectorXd& change, Eigen::MatrixXd& inverse) {
  const double along = moved.dot(change);
  if (along <= 1e-12 * moved.norm() * change.norm()) {
    return;
  }
  const Eigen::MatrixXd identity = Eigen::MatrixXd::Identity(moved.size(), moved.size());
  const Eigen::MatrixXd left = identity - moved * change.transpose() / along;
  inverse = product(product(left, inverse), left.transpose()) + moved * moved.transpose() / along;
}

void require_sound(std::span<const double> start,
                   std::span<const double> low,
                   std::span<const double> high) {
  bool sound = start.size() == low.size() && start.size() == high.size() && !start.empty();
  for (std::size_t i = 0; sound && i < start.size(); ++i) {
    sound = low[i] <= start[i] && start[i] <= high[i];
  }
  if (!sound) {
    throw InputError("search: the start must lie in the box, and both have one size");
  }
}

}  // namespace

SearchResult search_minimum(const Function& function,
                            std::vector<double> start,
                            std::span<const double> low,
                            std::span<const double> high,
                            double tolerance,
                            int most_steps) {
  require_sound(start, low, high);
  const Problem problem(function, low, high);
  VectorXd x = Eigen::Map<const VectorXd>(start.data(), static_cast<Index>(start.size()));
  double value = problem.value(x);
  if (!std::isfinite(value)) {
    throw InputError("search: the function is not finite at the start");
  }
  VectorXd gradient = problem.gradient(x, value);
  Eigen::MatrixXd inverse =
      Eigen::MatrixXd::Identity(x.size(), x.size()) / std::max(1.0, gradient.norm());
  SearchResult result;
  bool fresh = true;  // the curvature is a first guess
  for (int step = 0; step < most_steps && !result.converged; ++step) {
    const VectorXd way = direction(problem, x, gradient, inverse);
    double share = 1.0;
    VectorXd next = x;
    double next_value = value;
    for (int halving = 0; halving < 30; ++halving, share *= 0.5) {
      const VectorXd trial = problem.into_box(x + share * way);
      const double trial_value = problem.value(trial);
      if (trial_value <= value + 1e-4 * gradient.dot(trial - x)) {
        next = trial;
        next_value = trial_value;
        break;
      }
    }
    const bool still = value - next_value <= tolerance;
    if (still && !fresh) {  // what was learnt of the curvature may be at fault: once more without
      inverse = Eigen::MatrixXd::Identity(x.size(), x.size()) / std::max(1.0, gradient.norm());
      fresh = true;
      continue;
    }
    result.converged = still;
    fresh = false;
    const VectorXd next_gradient = problem.gradient(next, next_value);
    learn_curvature(next - x, next_gradient - gradient, inverse);
    x = next;
    value = next_value;
    gradient = next_gradient;
  }
  result.at.assign(x.data(), x.data() + x.size());
  result.value = value;
  return result;
}

}  // namespace sweepflux
