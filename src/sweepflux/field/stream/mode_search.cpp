#include "sweepflux/base/error.hpp"
#include "sweepflux/field/stream/active_normal_private.hpp"
#include "sweepflux/field/stream/mode_search_private.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

using Vector = std::vector<double>;

constexpr int first_steps = 8, more_steps = 24;  // the first ones twice: loose, then tight
constexpr std::size_t climbed_on = 5, modes_kept = 3;
constexpr double longest_step = 1.5;  // in any coordinate: standard deviations of the prior
constexpr double nearest_step = 0.02;
constexpr double least_rise = 0.02;      // a step; less ends a climb
constexpr double nearest_modes_2 = 4.0;  // squared standard deviations
constexpr double least_found = 0.1;      // of the curvature expected along a move, for an update
constexpr double loose = 2.0;            // spreads while far from a mode: standard deviations
constexpr double impossible = -1e29;     // log density
constexpr double share_of_prior = 0.1, share_of_simpler = 0.25;
constexpr double least_weight = 2e-3;  // of a mode, to start from

struct Climber {
  Vector z;
  double log_density = -1e300;  ///< log likelihood, and prior without its constant
  double damping = 0.01;
  Vector curvature = {};  ///< of the active entries: negative Hessian, row by row
};

class Search {
 public:
  Search(const SamplerTarget& target, const ModeSearch& search, Dice& dice)
      : t_(target), s_(search), dice_(dice) {}

  std::vector<Mode> run() {
    std::vector<Climber> found;
    for (Vector& z : s_.starts(dice_)) {
      for (const std::size_t j : s_.spreads) {
        z[j] = loose;
      }
      found.push_back(at(std::move(z)));
    }
    climb_all(found, first_steps, found.size(), false);
    for (Climber& p : found) {
      tighten(p);
    }
    climb_all(found, first_steps, climbed_on, false);
    climb_all(found, more_steps, modes_kept, true);
    std::vector<Mode> out;
    for (const Climber& p : found) {
      const Mode m = mode_at(p);
      if (p.log_density > impossible && std::isfinite(m.log_evidence)) {
        out.push_back(m);
      }
    }
    return out;
  }

 private:
  Climber at(Vector z) const {
    Climber p;
    p.z = std::move(z);
    p.log_density = t_.log_likelihood(p.z, impossible) - half_norm(p.z, t_.active);
    return p;
  }

  /// The best, none so near a better one as to be on its mode.
  void keep_best(std::vector<Climber>& climbers, std::size_t count) const {
    std::stable_sort(climbers.begin(), climbers.end(), [](const Climber& a, const Climber& b) {
      return a.log_density > b.log_density;
    });
    std::vector<Climber> kept;
    for (Climber& p : climbers) {
      const bool alike = std::any_of(kept.begin(), kept.end(), [&](const Climber& better) {
        return square_apart(better, p) < nearest_modes_2;
      });
      if (!alike && kept.size() < count) {
        kept.push_back(std::move(p));
      }
    }
    climbers = std::move(kept);
  }

  /// In standard deviations, by the curvature at the first.
  double square_apart(const Climber& a, const Climber& b) const {
    const std::size_t d = t_.active.size();
    double sum = 0.0;
    for (std::size_t j = 0; j < d; ++j) {
      for (std::size_t k = 0; k < d; ++k) {
        sum += a.curvature[j * d + k] * (a.z[t_.active[j]] - b.z[t_.active[j]]) *
               (a.z[t_.active[k]] - b.z[t_.active[k]]);
      }
    }
    return sum;
  }

  void tighten(Climber& p) const {
    for (const std::size_t j : s_.spreads) {
      p.z[j] = 0.0;
    }
    p = at(std::move(p.z));
  }

  void climb_all(std::vector<Climber>& climbers, int steps, std::size_t keep, bool with_spreads) {
    for (Climber& p : climbers) {
      if (t_.stop && t_.stop()) {
        throw Interrupted("stopped; nothing was written");
      }
      climb(p, steps, with_spreads);
    }
    keep_best(climbers, keep);
  }

  /// Curvature (negative Hessian) and gradient of the log density.
  void equations(const Climber& p,
                 bool with_spreads,
                 const Vector& steps,
                 Vector& curvature,
                 Vector& gradient) const {
    const std::size_t d = t_.active.size();
    curvature.assign(d * d, 0.0);
    gradient.assign(d, 0.0);
    s_.normal_equations(p.z, t_.active, steps, curvature, gradient);
    const double here = p.log_density + half_norm(p.z, t_.active);
    for (std::size_t j = 0; j < d; ++j) {
      const std::size_t entry = t_.active[j];
      if (is_spread(entry)) {
        if (!with_spreads) {
          curvature[j * d + j] = 1.0;
          continue;
        }
        constexpr double h = 0.15;
        Vector z = p.z;
        z[entry] = p.z[entry] + h;
        const double above = t_.log_likelihood(z, impossible);
        z[entry] = p.z[entry] - h;
        const double below = t_.log_likelihood(z, impossible);
        if (std::min(above, below) > impossible) {
          gradient[j] += (above - below) / (2.0 * h);
          curvature[j * d + j] += std::max(0.0, (2.0 * here - above - below) / (h * h));
        }
      }
      gradient[j] -= p.z[entry];
      curvature[j * d + j] += 1.0;
    }
  }

  [[nodiscard]] bool is_spread(std::size_t entry) const {
    return std::find(s_.spreads.begin(), s_.spreads.end(), entry) != s_.spreads.end();
  }

  /// Gradient by differences of the log density itself, corrected for the curvature along the step:
  /// the normal equations leave out how the covariance changes, and stop short of the mode.
  void difference(const Climber& p, bool with_spreads, Vector& gradient) const {
    constexpr double h = 3e-3;
    const std::size_t d = t_.active.size();
    gradient.assign(d, 0.0);
    for (std::size_t j = 0; j < d; ++j) {
      const std::size_t entry = t_.active[j];
      if (with_spreads || !is_spread(entry)) {
        Vector z = p.z;
        z[entry] += h;
        gradient[j] =
            (at(std::move(z)).log_density - p.log_density) / h + 0.5 * h * p.curvature[j * d + j];
      }
    }
  }

  /// One step, as damped as it takes to be a rise; returns that.
  double advance(Climber& p, const Vector& gradient) const {
    const std::size_t d = t_.active.size();
    const double before = p.log_density;
    for (int tries = 0; tries < 6 && p.log_density <= before; ++tries) {
      Vector factor = p.curvature, move = gradient;
      for (std::size_t j = 0; j < d; ++j) {
        factor[j * d + j] *= 1.0 + p.damping;
      }
      factorise_lower(factor, d, 1.0);  // the prior's curvature
      solve_factored(factor, d, move);
      double longest = longest_step;
      for (const double m : move) {
        longest = std::max(longest, std::abs(m));
      }
      Vector z = p.z;
      for (std::size_t j = 0; j < d; ++j) {
        z[t_.active[j]] += move[j] * longest_step / longest;
      }
      Climber next = at(std::move(z));
      if (next.log_density > p.log_density) {
        p.z = std::move(next.z);
        p.log_density = next.log_density;
        p.damping = std::max(0.2 * p.damping, 1e-4);
      } else {
        p.damping = std::max(5.0 * p.damping, 0.01);
      }
    }
    return p.log_density - before;
  }

  /// Has the curvature map the last move to the change of the gradient
  /// [Broyden, Fletcher, Goldfarb & Shanno 1970].
  void update(Climber& p, const Vector& from, const Vector& before, const Vector& after) const {
    const std::size_t d = t_.active.size();
    Vector seen(d, 0.0), move(d), change(d);
    for (std::size_t j = 0; j < d; ++j) {
      move[j] = p.z[t_.active[j]] - from[t_.active[j]];
      change[j] = before[j] - after[j];
    }
    double expected = 0.0, found = 0.0;
    for (std::size_t j = 0; j < d; ++j) {
      for (std::size_t k = 0; k < d; ++k) {
        seen[j] += p.curvature[j * d + k] * move[k];
      }
      expected += move[j] * seen[j];
      found += move[j] * change[j];
    }
    if (found < least_found * expected) {
      return;
    }
    for (std::size_t j = 0; j < d; ++j) {
      for (std::size_t k = 0; k < d; ++k) {
        p.curvature[j * d + k] += change[j] * change[k] / found - seen[j] * seen[k] / expected;
      }
    }
  }

  /// By the normal equations as far as they lead, then by differences.
  void climb(Climber& p, int steps, bool with_spreads) const {
    const Vector near(t_.active.size(), nearest_step);
    Vector gradient;
    double rise = least_rise;
    for (; steps > 0 && rise >= least_rise; --steps) {
      equations(p, with_spreads, near, p.curvature, gradient);
      const double damping = p.damping;
      rise = advance(p, gradient);
      if (rise < least_rise) {
        p.damping = damping;
      }
    }
    Vector from, before;
    for (rise = least_rise; steps > 0 && rise >= least_rise; --steps) {
      difference(p, with_spreads, gradient);
      if (!from.empty()) {
        update(p, from, before, gradient);
      }
      from = p.z;
      before = gradient;
      rise = advance(p, gradient);
    }
  }

  static Vector factored(Vector curvature, std::size_t d) {
    factorise_lower(curvature, d, 1.0);  // the prior's curvature
    return curvature;
  }

  static Vector inverse(const Vector& factor, std::size_t d) {
    Vector out;
    for (std::size_t j = 0; j < d; ++j) {
      Vector column(d, 0.0);
      column[j] = 1.0;
      solve_factored(factor, d, column);
      out.insert(out.end(), column.begin(), column.end());
    }
    return out;
  }

  /// The curvature over one standard deviation to either side: priors of two parts bend there.
  Mode mode_at(const Climber& p) const {
    const std::size_t d = t_.active.size();
    Vector curvature, gradient, mean(d), steps(d, nearest_step);
    equations(p, true, steps, curvature, gradient);
    const Vector covariance = inverse(factored(curvature, d), d);
    Vector both(d * d, 0.0);
    for (const double side : {1.0, -1.0}) {
      for (std::size_t j = 0; j < d; ++j) {
        mean[j] = p.z[t_.active[j]];
        steps[j] = side * std::clamp(std::sqrt(covariance[j * d + j]), nearest_step, 1.0);
      }
      equations(p, true, steps, curvature, gradient);
      for (std::size_t j = 0; j < d * d; ++j) {
        both[j] += 0.5 * curvature[j];
      }
    }
    const Vector factor = factored(both, d);
    double log_evidence = p.log_density;
    for (std::size_t j = 0; j < d; ++j) {
      log_evidence -= std::log(factor[j * d + j]);
    }
    for (std::size_t j = 0; j < d * d; ++j) {
      const double of_prior = j % (d + 1) == 0 ? 1.0 : 0.0;
      both[j] = of_prior + s_.start_power * (both[j] - of_prior);
    }
    Vector tempered = inverse(factored(std::move(both), d), d);
    return {p.z,
            log_evidence,
            std::make_shared<ActiveNormal>(t_.active, std::move(mean), std::move(tempered))};
  }

  const SamplerTarget& t_;
  const ModeSearch& s_;
  Dice& dice_;
};

}  // namespace

std::vector<Mode> find_modes(const SamplerTarget& target, const ModeSearch& search, Dice& dice) {
  return Search(target, search, dice).run();
}

std::vector<StartingNormal> start_from(const std::vector<Mode>& modes,
                                       const std::vector<StartingNormal>& simpler) {
  std::vector<StartingNormal> out;
  double best = -1e300, sum = 0.0;
  for (const Mode& m : modes) {
    best = std::max(best, m.log_evidence);
  }
  for (const Mode& m : modes) {
    const double weight = std::exp(0.5 * (m.log_evidence - best));
    if (weight > least_weight) {
      out.push_back({weight, m.tempered});
      sum += weight;
    }
  }
  const double own = 1.0 - share_of_prior - (simpler.empty() ? 0.0 : share_of_simpler);
  for (StartingNormal& s : out) {
    s.weight *= own / sum;
  }
  double of_simpler = 0.0;
  for (const StartingNormal& s : simpler) {
    of_simpler += s.weight;
  }
  for (const StartingNormal& s : simpler) {
    out.push_back({s.weight * share_of_simpler / of_simpler, s.normal});
  }
  return out;
}

}  // namespace sweepflux
