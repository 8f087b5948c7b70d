#include "sweepflux/judge/stream_summary_private.hpp"

#include "sweepflux/base/statistics.hpp"

#include <Eigen/Cholesky>

#include <cmath>

namespace sweepflux {
namespace {

/// Slope of the straight line through points of equal weight, and where it reaches zero.
struct Line {
  double slope = 0.0, zero = 0.0;
};

Line line_through(const std::vector<double>& x, const std::vector<double>& y) {
  double mx = 0.0, my = 0.0, xx = 0.0, xy = 0.0;
  const auto n = static_cast<double>(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    mx += x[i] / n;
    my += y[i] / n;
  }
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mx) * (x[i] - mx);
    xy += (x[i] - mx) * (y[i] - my);
  }
  const double slope = xy / xx;
  return {slope, mx - my / slope};
}

/// Weights that make the mean of correlated values most certain; they sum to 1.
Eigen::VectorXd best_weights(const std::vector<const std::vector<double>*>& values) {
  const auto p = static_cast<Eigen::Index>(values.size());
  const auto n = static_cast<Eigen::Index>(values.front()->size());
  Eigen::MatrixXd off(n, p);
  for (Eigen::Index j = 0; j < p; ++j) {
    off.col(j) = Eigen::Map<const Eigen::VectorXd>(values[static_cast<std::size_t>(j)]->data(), n);
    off.col(j).array() -= off.col(j).mean();
  }
  Eigen::MatrixXd c = off.transpose() * off / static_cast<double>(n);
  c.diagonal().array() += 1e-6 * c.diagonal().maxCoeff();
  const Eigen::VectorXd w = c.ldlt().solve(Eigen::VectorXd::Ones(p));
  return w / w.sum();
}

}  // namespace

StreamSummary summarise_stream(const KnownStream& known,
                               const std::vector<BudgetedPlane>& budgets,
                               double density_kg_m3) {
  std::vector<std::size_t> swept;
  std::vector<const std::vector<double>*> momentum;
  std::vector<double> x;
  for (std::size_t j = 0; j < known.planes.size(); ++j) {
    if (known.swept(j)) {
      swept.push_back(j);
      momentum.push_back(&budgets[j].momentum_flux_n);
      x.push_back(known.planes[j].downstream_m);
    }
  }
  const std::size_t draws = momentum.front()->size();
  const Eigen::VectorXd weight = best_weights(momentum);
  std::vector<double> all(draws, 0.0), change, origin, spread, entrained;
  for (std::size_t d = 0; d < draws; ++d) {
    for (std::size_t j = 0; j < swept.size(); ++j) {
      all[d] += weight[static_cast<Eigen::Index>(j)] * (*momentum[j])[d];
    }
    if (swept.size() < 2) {
      continue;
    }
    std::vector<double> width, flow;
    for (const std::size_t j : swept) {
      const PlaneDraws& p = known.draws[j];
      width.push_back(std::sqrt(p.half_width_y_m[d] * p.half_width_z_m[d]));
      flow.push_back(budgets[j].flow_m3_s[d]);
    }
    const Line growth = line_through(x, width);
    change.push_back((*momentum.back())[d] / (*momentum.front())[d] - 1.0);
    origin.push_back(growth.zero);
    spread.push_back(growth.slope);
    entrained.push_back(line_through(x, flow).slope / std::sqrt(all[d] / density_kg_m3));
  }
  StreamSummary out;
  out.momentum_flux_n = estimate_of(all);
  if (swept.size() >= 2) {
    out.momentum_change = estimate_of(change);
    out.momentum_constant =
        out.momentum_change->low_95 <= 0.0 && out.momentum_change->high_95 >= 0.0;
    out.virtual_origin_m = estimate_of(origin);
    out.spread_rate = estimate_of(spread);
    out.entrainment_rate = estimate_of(entrained);
  }
  return out;
}

}  // namespace sweepflux
