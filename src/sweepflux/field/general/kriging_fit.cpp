#include "sweepflux/field/general/kriging_fit.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/field/general/bounded_search.hpp"
#include "sweepflux/field/general/dense_private.hpp"
#include "sweepflux/field/general/neighbours.hpp"
#include "sweepflux/field/general/scattered.hpp"

#include <Eigen/Core>

#include <array>
#include <cmath>
#include <cstdint>
#include <functional>
#include <limits>
#include <memory>
#include <numbers>
#include <numeric>
#include <utility>

namespace sweepflux {
namespace {

constexpr double stability_nugget = 1e-8;  // of the sill
constexpr std::size_t first_level = 64;    // readings that see every one before them

double square(double x) { return x * x; }

/// The readings' extent and variance: the scales in which the search works.
struct Scales {
  double width_m = 0.0;
  double height_m = 0.0;
  double variance = 0.0;
  bool one_line = false;

  [[nodiscard]] double extent_m() const { return std::max(width_m, height_m); }
};

Scales scales_of(const ScatteredValues& values) {
  Scales s;
  double mean = 0.0;
  for (const double v : values.value) {
    // From the first value, so that equal values have no variance to the last bit.
    mean += (v - values.value[0]) / static_cast<double>(values.at.size());
  }
  for (const double v : values.value) {
    s.variance += square(v - values.value[0] - mean) / static_cast<double>(values.at.size() - 1);
  }
  const Window box = bounds(values.at);
  s.width_m = box.width_m();
  s.height_m = box.height_m();
  s.one_line = in_one_line(values.at);
  return s;
}

/// ln(sill / variance), ln(range_y / extent), ln(range_z / extent), ln(nugget / variance).
using Logs = std::array<double, 4>;

KrigingModel model_from(std::span<const double> logs, const Scales& s, const FitOptions& options) {
  KrigingModel model;
  model.covariance.kernel = options.kernel;
  model.covariance.sill = s.variance * std::exp(logs[0]);
  model.covariance.range_m = s.extent_m() * std::exp(logs[1]);
  model.covariance.ratio = s.one_line ? 1.0 : std::exp(logs[2] - logs[1]);
  model.nugget = options.fit_nugget ? s.variance * std::exp(logs[3])
                                    : stability_nugget * model.covariance.sill;
  return model;
}

/// Minus the logarithm of the weak priors.
double prior(std::span<const double> logs, const Scales& s) {
  const double along = s.width_m > 0.0 ? s.width_m : s.height_m;
  const double usual_range = std::log(0.25 * along / s.extent_m());
  return 0.5 * (square((logs[1] - usual_range) / 1.2) + square((logs[2] - logs[1]) / 0.7));
}

std::string describe(const KrigingModel& model, const std::string& likelihood) {
  const double range = model.covariance.range_m;
  return "ranges " + format_number(range, 3) + " m across and " +
         format_number(range * model.covariance.ratio, 3) + " m up, sd " +
         format_number(std::sqrt(model.covariance.sill), 3) + " m/s, sd of the nugget " +
         format_number(std::sqrt(model.nugget), 3) + " m/s; " + likelihood;
}

/// Few readings: the restricted likelihood itself.
double exact_objective(const ScatteredValues& values, const KrigingModel& model) {
  try {
    return -OrdinaryKriging(values, model, 1).restricted_log_likelihood();
  } catch (const NumericalError&) {
    return std::numeric_limits<double>::infinity();  // singular: the search turns away
  }
}

void check(const FitOptions& options, std::size_t count) {
  if (options.exact_limit < 3 || options.neighbours < 3 || options.terms < 50) {
    throw InputError("kriging fit: exact_limit and neighbours must be >= 3, terms >= 50");
  }
  if (count < 3) {
    throw NumericalError("kriging fit: " + std::to_string(count) +
                         " places hold no covariance; three are the least");
  }
}

/// The best of a coarse sweep over both ranges, as places to start from.
std::vector<Logs> starts(const std::function<double(std::span<const double>)>& objective,
                         double nugget) {
  struct Start {
    double value;
    Logs at;
  };
  std::vector<Start> tried;
  for (const double range : {0.07, 0.18, 0.45}) {
    for (const double ratio : {0.5, 1.0, 2.0}) {
      const Logs at{0.0, std::log(range), std::log(range * ratio), nugget};
      tried.push_back({objective(at), at});
    }
  }
  std::stable_sort(
      tried.begin(), tried.end(), [](const Start& a, const Start& b) { return a.value < b.value; });
  std::vector<Logs> best;
  for (const Start& start : tried) {
    if (std::isfinite(start.value) && best.size() < 2) {
      best.push_back(start.at);
    }
  }
  return best;
}

/// A shuffle that is the same with any standard library [Knuth 1997, algorithm 3.4.2P; the
/// numbers: Steele 2014, splitmix].
std::vector<std::size_t> shuffled(std::size_t count) {
  std::vector<std::size_t> order(count);
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::uint64_t state = 20240607;
  for (std::size_t i = count; i > 1; --i) {
    state += 0x9e3779b97f4a7c15U;
    std::uint64_t mixed = (state ^ (state >> 30U)) * 0xbf58476d1ce4e5b9U;
    mixed = (mixed ^ (mixed >> 27U)) * 0x94d049bb133111ebU;
    std::swap(order[i - 1], order[(mixed ^ (mixed >> 31U)) % i]);
  }
  return order;
}

ScatteredValues reordered(const ScatteredValues& values, const std::vector<std::size_t>& order) {
  ScatteredValues result;
  for (const std::size_t i : order) {
    result.at.push_back(values.at[i]);
    result.value.push_back(values.value[i]);
    if (!values.noise_sd.empty()) {
      result.noise_sd.push_back(values.noise_sd[i]);
    }
  }
  return result;
}

/// One term: residual, loading of the mean, variance.
struct Term {
  double value = 0.0;
  double constant = 0.0;
  double variance = 0.0;
};

}  // namespace

FittedModel fit_kriging(const ScatteredValues& values, const FitOptions& options) {
  check(options, values.at.size());
  const Scales scales = scales_of(values);
  if (!(scales.variance > 0.0)) {
    throw NumericalError("kriging fit: all values are equal, a covariance cannot be learnt");
  }
  std::unique_ptr<const VecchiaLikelihood> approximate;
  if (values.at.size() > options.exact_limit) {
    approximate = std::make_unique<const VecchiaLikelihood>(
        values, options.neighbours, options.terms, options.threads);
  }
  const auto objective = [&](std::span<const double> logs) {
    const KrigingModel model = model_from(logs, scales, options);
    const double misfit = approximate ? -approximate->restricted_log_likelihood(model)
                                      : exact_objective(values, model);
    return misfit + prior(logs, scales);
  };
  const double first_nugget = std::log(values.noise_sd.empty() ? 1e-2 : 1e-3);
  // A box of one point holds a value fast: nugget not wanted, or nothing known of one direction.
  Logs low{std::log(1e-4), std::log(0.01), std::log(0.01), std::log(1e-9)};
  Logs high{std::log(1e3), std::log(5.0), std::log(5.0), std::log(2.0)};
  if (!options.fit_nugget) {
    low[3] = high[3] = first_nugget;
  }
  FittedModel best;
  best.objective = std::numeric_limits<double>::infinity();
  for (const Logs& start : starts(objective, first_nugget)) {
    const SearchResult found =
        search_minimum(objective, {start.begin(), start.end()}, low, high, 1e-4);
    if (found.value < best.objective) {
      best.objective = found.value;
      best.converged = found.converged;
      best.model = model_from(found.at, scales, options);
    }
  }
  if (!std::isfinite(best.objective)) {
    throw NumericalError("kriging fit: no covariance fits these readings");
  }
  best.how = describe(best.model,
                      approximate ? "likelihood from nearest neighbours, " +
                                        std::to_string(approximate->terms()) + " of " +
                                        std::to_string(values.at.size()) + " readings"
                                  : std::string("restricted likelihood"));
  return best;
}

VecchiaLikelihood::VecchiaLikelihood(const ScatteredValues& values,
                                     std::size_t neighbours,
                                     std::size_t terms,
                                     int threads)
    : values_(reordered(values, shuffled(values.at.size()))), threads_(threads) {
  const std::size_t n = values_.at.size();
  first_.push_back(0);
  const auto add = [&](std::size_t target, const Neighbours& before) {
    targets_.push_back(target);
    const std::vector<std::size_t> found = before.nearest(values_.at[target], neighbours);
    given_.insert(given_.end(), found.begin(), found.end());
    first_.push_back(given_.size());
  };
  for (std::size_t i = 0; i < std::min(first_level, n); ++i) {
    add(i,
        Neighbours({values_.at.begin(), values_.at.begin() + static_cast<std::ptrdiff_t>(i)},
                   Search::brute_force));
  }
  std::size_t levels = 0;
  for (std::size_t size = first_level; size < n; size *= 2) {
    ++levels;
  }
  const std::size_t share = levels > 0 ? std::max<std::size_t>(1, terms / levels) : 0;
  for (std::size_t size = first_level; size < n; size *= 2) {
    const std::size_t end = std::min(n, 2 * size);
    const std::size_t stride = std::max<std::size_t>(1, (end - size) / share);
    const Neighbours before(
        {values_.at.begin(), values_.at.begin() + static_cast<std::ptrdiff_t>(size)});
    for (std::size_t i = size; i < end; i += stride) {
      add(i, before);
    }
  }
}

double VecchiaLikelihood::restricted_log_likelihood(const KrigingModel& model) const {
  const Eigen::Matrix2Xd at = scaled_places(model.covariance, values_.at);
  const auto noise_of = [&](std::size_t i) { return noise_variance(values_, model, i); };
  std::vector<Term> term(targets_.size());
  in_parts(term.size(), 64, threads_, [&](std::size_t from, std::size_t to) {
    LocalSolver solver(model.covariance);
    for (std::size_t t = from; t < to; ++t) {
      solver.clear();
      for (const std::size_t g : std::span(given_).subspan(first_[t], first_[t + 1] - first_[t])) {
        const Eigen::Index i = static_cast<Eigen::Index>(g);
        solver.add(at(0, i), at(1, i), values_.value[g], noise_of(g));
      }
      const bool sound = solver.factor();
      const Eigen::Index i = static_cast<Eigen::Index>(targets_[t]);
      LocalSolver::Answer answer;
      if (sound) {
        solver.ask(std::span(&at(0, i), 1), std::span(&at(1, i), 1), std::span(&answer, 1));
      }
      const double variance =
          sound ? model.covariance.sill + noise_of(targets_[t]) - answer.explained : -1.0;
      term[t] = {values_.value[targets_[t]] - answer.value, 1.0 - answer.constant, variance};
    }
  });
  double logs = 0.0;
  double cross = 0.0;
  double ones = 0.0;
  double values = 0.0;
  for (const Term& t : term) {
    if (!(t.variance > 0.0)) {
      return -std::numeric_limits<double>::infinity();
    }
    logs += std::log(t.variance);
    cross += t.value * t.constant / t.variance;
    ones += t.constant * t.constant / t.variance;
    values += t.value * t.value / t.variance;
  }
  const double mean = model.known_mean.value_or(cross / ones);
  const double misfit = values - 2.0 * mean * cross + mean * mean * ones;
  const double count = static_cast<double>(term.size());
  const double restriction = model.known_mean ? 0.0 : std::log(ones / (2.0 * std::numbers::pi));
  return -0.5 * (logs + misfit + count * std::log(2.0 * std::numbers::pi) + restriction);
}

}  // namespace sweepflux
