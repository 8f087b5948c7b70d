#include "sweepflux/field/general/vecchia.hpp"

#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/general/kernel_private.hpp"
#include "sweepflux/field/general/local_solver_private.hpp"
#include "sweepflux/field/general/neighbours.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <numeric>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t first_level = 64;  // readings that see every one before them

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

/// Scaled places and variances of the readings, and room for one term's share of them.
struct Workspace {
  std::vector<double> y, z, value, noise;

  void clear() {
    y.clear();
    z.clear();
    value.clear();
    noise.clear();
  }
};

}  // namespace

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
  const auto noise_of = [&](std::size_t i) {
    const double sd = values_.noise_sd.empty() ? 0.0 : values_.noise_sd[i];
    return model.nugget + sd * sd;
  };
  std::vector<Term> term(targets_.size());
  constexpr std::size_t chunk = 64;
  parallel_for((term.size() + chunk - 1) / chunk, threads_, [&](std::size_t c) {
    LocalSolver solver(model.covariance);
    Workspace w;
    for (std::size_t t = c * chunk; t < std::min(term.size(), (c + 1) * chunk); ++t) {
      w.clear();
      for (std::size_t g = first_[t]; g < first_[t + 1]; ++g) {
        const Eigen::Index i = static_cast<Eigen::Index>(given_[g]);
        w.y.push_back(at(0, i));
        w.z.push_back(at(1, i));
        w.value.push_back(values_.value[given_[g]]);
        w.noise.push_back(noise_of(given_[g]));
      }
      const bool sound = solver.set(w.y, w.z, w.value, w.noise);
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
