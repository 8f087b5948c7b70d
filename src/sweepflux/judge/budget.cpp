#include "sweepflux/judge/budget_private.hpp"

#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/statistics.hpp"
#include "sweepflux/field/stream/population_sampler.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace sweepflux {
namespace {

std::vector<double> normal_scores(std::size_t count, std::uint64_t seed) {
  std::vector<double> scores(count);
  for (std::size_t i = 0; i < count; ++i) {
    scores[i] = normal_quantile((static_cast<double>(i) + 0.5) / static_cast<double>(count));
  }
  Dice dice(seed);
  for (std::size_t i = count; i-- > 1;) {
    std::swap(scores[i], scores[dice.below(i + 1)]);
  }
  return scores;
}

double mean_of(const std::vector<double>& x) {
  return std::accumulate(x.begin(), x.end(), 0.0) / static_cast<double>(x.size());
}

double mean_square(const std::vector<double>& x) {
  return std::inner_product(x.begin(), x.end(), x.begin(), 0.0) / static_cast<double>(x.size());
}

std::vector<double> about_mean(std::vector<double> x) {
  const double middle = mean_of(x);
  for (double& v : x) {
    v -= middle;
  }
  return x;
}

/// Takes the mean of each class away; returns the variance that goes with it.
double take_classes(std::vector<double>& x, const std::vector<int>& of) {
  std::array<double, 8> sum{}, count{};
  for (std::size_t i = 0; i < x.size(); ++i) {
    sum[static_cast<std::size_t>(of[i])] += x[i];
    count[static_cast<std::size_t>(of[i])] += 1.0;
  }
  const double before = mean_square(x);
  for (std::size_t i = 0; i < x.size(); ++i) {
    x[i] -= sum[static_cast<std::size_t>(of[i])] / count[static_cast<std::size_t>(of[i])];
  }
  return before - mean_square(x);
}

/// Takes what is proportional to `by` away; returns the variance that goes with it.
double take_slope(std::vector<double>& x, const std::vector<double>& by_raw) {
  const std::vector<double> by = about_mean(by_raw);
  const double cross = std::inner_product(by.begin(), by.end(), x.begin(), 0.0);
  const double square = std::inner_product(by.begin(), by.end(), by.begin(), 0.0);
  if (square <= 0.0) {
    return 0.0;
  }
  const double before = mean_square(x);
  for (std::size_t i = 0; i < x.size(); ++i) {
    x[i] -= cross / square * by[i];
  }
  return before - mean_square(x);
}

/// Variances of the stream's own draws: number of cores, offset, drift, the rest.
std::array<double, 4> split(const std::vector<double>& values, const StreamPosterior& posterior) {
  std::vector<double> x = about_mean(values);
  std::vector<int> cores;
  std::vector<double> offset, drift;
  for (std::size_t d = 0; d < x.size(); ++d) {
    const StreamPosterior::Extras e = posterior.extras(d);
    cores.push_back(e.cores);
    offset.push_back(e.offset_m_s);
    drift.push_back(e.drift_m_s);
  }
  std::array<double, 4> out{};
  out[0] = take_classes(x, cores);
  out[1] = take_slope(x, offset);
  out[2] = take_slope(x, drift);
  out[3] = mean_square(x);
  return out;
}

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

CommonDraws common_draws(std::size_t count) {
  return {normal_scores(count, 11), normal_scores(count, 12), normal_scores(count, 13)};
}

BudgetedPlane make_budget(const StreamPosterior& posterior,
                          const PlaneDraws& draws,
                          const CommonDraws& common,
                          const PlaneSamples& samples,
                          bool swivel,
                          const Measured& density) {
  const std::size_t n = draws.whole.size();
  const double scale = samples.common.scale;
  const double stretch = swivel ? samples.common.distance_m / samples.distance_m : 0.0;
  const double relative_density = density.standard_uncertainty / density.value;
  const std::vector<double> distance =
      normal_scores(n, 1000 + static_cast<std::uint64_t>(std::lround(samples.distance_m * 1e4)));
  BudgetedPlane out;
  std::vector<double> own_flow, own_momentum;
  for (std::size_t d = 0; d < n; ++d) {
    const double s = std::exp(scale * common.scale[d]), w = 1.0 + stretch * distance[d];
    const double rho = density.value * (1.0 + relative_density * common.density[d]);
    const double head = 1.0 + head_uncertainty * common.head[d];
    const Triple& v = draws.whole[d];
    const Triple& h = draws.head[d];
    out.flow_m3_s.push_back(s * w * v[0]);
    out.momentum_flux_n.push_back(rho * s * s * w * (v[1] + head * h[1]));
    out.power_w.push_back(rho * s * s * s * w * (v[2] + head * h[2]));
    own_flow.push_back(v[0]);
    own_momentum.push_back(density.value * (v[1] + h[1]));
    if (!draws.inside.empty()) {
      out.inside_flow_m3_s.push_back(s * w * draws.inside[d][0]);
      out.inside_momentum_flux_n.push_back(rho * s * s * w * draws.inside[d][1]);
    }
  }
  const double q = mean_of(out.flow_m3_s), m = mean_of(out.momentum_flux_n);
  double head_n = 0.0;
  for (const Triple& h : draws.head) {
    head_n += density.value * h[1] / static_cast<double>(n);
  }
  out.rows = {{"probe scale", scale * q, 2.0 * scale * m},
              {"distance of the probe", stretch * q, stretch * m},
              {"air density", 0.0, relative_density * m},
              {"size of the probe head", 0.0, head_uncertainty * head_n}};
  // What the stream's own draws add is what is left, split in the proportions that they show.
  double left_q = mean_square(about_mean(out.flow_m3_s));
  double left_m = mean_square(about_mean(out.momentum_flux_n));
  for (const BudgetRow& row : out.rows) {
    left_q -= row.volume_flow_m3_s * row.volume_flow_m3_s;
    left_m -= row.momentum_flux_n * row.momentum_flux_n;
  }
  const auto of_q = split(own_flow, posterior), of_m = split(own_momentum, posterior);
  const std::array<const char*, 4> names = {"number of cores", "probe offset",
                                            "ambient air speed not measured",
                                            "readings, interpolation and extrapolation"};
  const auto sum = [](const std::array<double, 4>& v) { return v[0] + v[1] + v[2] + v[3]; };
  for (std::size_t k = 0; k < names.size(); ++k) {
    const auto part = [&](double left, const std::array<double, 4>& of) {
      return std::sqrt(std::max(left, 0.0) * std::max(of[k], 0.0) / std::max(sum(of), 1e-300));
    };
    out.rows.push_back({names[k], part(left_q, of_q), part(left_m, of_m)});
  }
  std::erase_if(out.rows, [](const BudgetRow& row) {
    return !(row.volume_flow_m3_s > 0.0) && !(row.momentum_flux_n > 0.0);
  });
  std::stable_sort(out.rows.begin(), out.rows.end(), [](const BudgetRow& a, const BudgetRow& b) {
    return a.momentum_flux_n > b.momentum_flux_n;
  });
  return out;
}

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
