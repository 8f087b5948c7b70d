#include "sweepflux/field/stream/bounded_fit_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <vector>

namespace sweepflux {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

VectorXd clip(const VectorXd& t, const VectorXd& lower, const VectorXd& upper) {
  return t.cwiseMax(lower).cwiseMin(upper);
}

MatrixXd differences(const std::function<VectorXd(const VectorXd&)>& residuals,
                     const VectorXd& t,
                     const VectorXd& r0,
                     const VectorXd& upper,
                     const VectorXd& step) {
  MatrixXd jacobian(r0.size(), t.size());
  for (Eigen::Index k = 0; k < t.size(); ++k) {
    VectorXd moved = t;
    const double h = 1e-5 * step[k];
    moved[k] += t[k] + h > upper[k] ? -h : h;
    jacobian.col(k) = (residuals(moved) - r0) / (moved[k] - t[k]);
  }
  return jacobian;
}

/// Parameters on a bound whose descent direction leads outside.
std::vector<Eigen::Index> free_parameters(const VectorXd& t,
                                          const VectorXd& gradient,
                                          const VectorXd& lower,
                                          const VectorXd& upper) {
  std::vector<Eigen::Index> free;
  for (Eigen::Index k = 0; k < t.size(); ++k) {
    const double margin = 1e-9 * (upper[k] - lower[k]);
    const bool at_low = t[k] <= lower[k] + margin && gradient[k] > 0.0;
    const bool at_high = t[k] >= upper[k] - margin && gradient[k] < 0.0;
    if (!at_low && !at_high) {
      free.push_back(k);
    }
  }
  return free;
}

}  // namespace

BoundedFit fit_least_squares(const std::function<VectorXd(const VectorXd&)>& residuals,
                             const VectorXd& start,
                             const VectorXd& lower,
                             const VectorXd& upper,
                             const VectorXd& step,
                             int most_iterations) {
  const VectorXd inside = 1e-6 * (upper - lower);
  BoundedFit best;
  best.at = clip(start, lower + inside, upper - inside);
  VectorXd r = residuals(best.at);
  best.cost = 0.5 * r.squaredNorm();
  double damping = 1e-3;
  int idle = 0;
  for (; best.iterations < most_iterations; ++best.iterations) {
    const MatrixXd jacobian = differences(residuals, best.at, r, upper, step);
    const VectorXd gradient = jacobian.transpose() * r;
    const auto free = free_parameters(best.at, gradient, lower, upper);
    if (free.empty()) {
      break;
    }
    const auto n = static_cast<Eigen::Index>(free.size());
    MatrixXd j(r.size(), n);
    VectorXd g(n), scale(n);
    for (Eigen::Index i = 0; i < n; ++i) {
      const Eigen::Index k = free[static_cast<std::size_t>(i)];
      j.col(i) = jacobian.col(k) * step[k];
      g[i] = gradient[k] * step[k];
      scale[i] = step[k];
    }
    const MatrixXd normal = j.transpose() * j;
    bool better = false;
    double gain = 0.0;
    for (int attempt = 0; attempt < 12 && !better; ++attempt) {
      MatrixXd damped = normal;
      damped.diagonal() += damping * (normal.diagonal().array() + 1e-6).matrix();
      const VectorXd move = -damped.ldlt().solve(g);
      VectorXd candidate = best.at;
      for (Eigen::Index i = 0; i < n; ++i) {
        candidate[free[static_cast<std::size_t>(i)]] += move[i] * scale[i];
      }
      candidate = clip(candidate, lower, upper);
      const VectorXd r_new = residuals(candidate);
      const double cost = 0.5 * r_new.squaredNorm();
      if (std::isfinite(cost) && cost < best.cost) {
        gain = best.cost - cost;
        best.at = candidate;
        best.cost = cost;
        r = r_new;
        damping = std::max(1e-9, damping * 0.3);
        better = true;
      } else {
        damping *= 4.0;
      }
    }
    // One small gain may only be a step that the damping kept short.
    idle = gain < 1e-6 * (best.cost + 1e-12) ? idle + 1 : 0;
    if (!better || idle == 3) {
      break;
    }
  }
  return best;
}

BoundedFit minimise(const std::function<double(const VectorXd&, VectorXd&)>& objective,
                    const VectorXd& start,
                    const VectorXd& lower,
                    const VectorXd& upper,
                    int most_iterations) {
  BoundedFit best;
  best.at = clip(start, lower, upper);
  const Eigen::Index size = best.at.size();
  VectorXd gradient(size);
  best.cost = objective(best.at, gradient);
  MatrixXd inverse = 0.1 * MatrixXd::Identity(size, size);
  bool fresh = true;
  for (; best.iterations < most_iterations; ++best.iterations) {
    const auto free = free_parameters(best.at, gradient, lower, upper);
    VectorXd direction = VectorXd::Zero(size);
    for (const Eigen::Index i : free) {
      for (const Eigen::Index k : free) {
        direction[i] -= inverse(i, k) * gradient[k];
      }
    }
    double slope = direction.dot(gradient);
    if (free.empty() || slope > -1e-7) {
      break;
    }
    const double longest = direction.cwiseAbs().maxCoeff();
    if (longest > 1.0) {
      direction /= longest;
      slope /= longest;
    }
    double length = 1.0;
    bool better = false;
    VectorXd next, next_gradient(size);
    double cost = 0.0;
    for (int attempt = 0; attempt < 10 && !better; ++attempt) {
      next = clip(best.at + length * direction, lower, upper);
      cost = objective(next, next_gradient);
      better = std::isfinite(cost) && cost <= best.cost + 1e-4 * (next - best.at).dot(gradient);
      length *= 0.4;
    }
    if (!better) {
      if (fresh) {
        break;
      }
      inverse = 0.1 * MatrixXd::Identity(size, size);
      fresh = true;
      continue;
    }
    const VectorXd s = next - best.at;
    const VectorXd y = next_gradient - gradient;
    const double sy = s.dot(y);
    if (sy > 1e-10) {
      if (fresh) {
        inverse = (sy / y.squaredNorm()) * MatrixXd::Identity(size, size);
      }
      const MatrixXd left = MatrixXd::Identity(size, size) - s * y.transpose() / sy;
      inverse = left * inverse * left.transpose() + s * s.transpose() / sy;
      fresh = false;
    }
    const double gain = best.cost - cost;
    best.at = next;
    best.cost = cost;
    gradient = next_gradient;
    if (gain < 1e-3) {
      break;
    }
  }
  return best;
}

}  // namespace sweepflux
