#include "sweepflux/field/stream/population_sampler.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/stream/active_normal_private.hpp"
#include "sweepflux/field/stream/sampler_start_private.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

namespace sweepflux {
namespace {

using Vector = std::vector<double>;

constexpr std::array<double, 4> keeps = {0.3, 0.7, 0.9, 0.97};
constexpr int rounds_a_state = 8;
constexpr std::size_t fewest_states = 5;  // a population that still widens seems to forget
constexpr int steps_aside = 8;            // of the fitted normal's chain, for one evaluation
constexpr double aside_power = 0.8;       // of its likelihood there: tails fatter than its own

/// Mean correlation of the active coordinates between two states of some particles.
double mean_correlation(const std::vector<Vector>& from,
                        const std::vector<Vector>& to,
                        const std::vector<std::size_t>& active) {
  const auto n = static_cast<double>(to.size());
  double sum = 0.0;
  for (const std::size_t j : active) {
    double a = 0.0, b = 0.0, aa = 0.0, bb = 0.0, ab = 0.0;
    for (std::size_t i = 0; i < to.size(); ++i) {
      const double x = from[i][j], y = to[i][j];
      a += x / n;
      b += y / n;
      aa += x * x / n;
      bb += y * y / n;
      ab += x * y / n;
    }
    const double spread = (aa - a * a) * (bb - b * b);
    sum += spread > 0.0 ? (ab - a * b) / std::sqrt(spread) : 1.0;
  }
  return sum / static_cast<double>(active.size());
}

}  // namespace

class PopulationSampler::Population {
 public:
  Population(const SamplerTarget& target, const SamplerOptions& options)
      : t_(target), o_(options), dice_(options.seed) {}

  void rise() {
    const std::size_t n = o_.particles;
    for (std::size_t i = 0; i < n; ++i) {
      z_.push_back(draw_start(t_, dice_));
      log_likelihood_.push_back(evaluate(z_[i], -std::numeric_limits<double>::infinity()));
      start_.push_back(log_start_ratio(t_, z_[i]));
    }
    for (double power = 0.0; power < 1.0;) {
      power = step_power(power);
      double moved = 0.0;
      for (int r = 0; r < o_.most_rounds && moved < o_.moves * static_cast<double>(n); ++r) {
        moved += round(power);
      }
    }
  }

  std::vector<Vector> draws(std::size_t count) {
    if (count == 0) {
      return {};
    }
    const std::size_t n = z_.size();
    std::vector<std::vector<Vector>> states = {z_};
    // Few draws of an unlikely kind are not worth as many rounds.
    const double worth = std::min(1.0, static_cast<double>(count) / static_cast<double>(n));
    const int most = static_cast<int>(std::ceil(o_.most_last_rounds * worth));
    for (int r = 1; r <= most; ++r) {
      round(1.0);
      if (r % rounds_a_state == 0) {
        states.push_back(z_);
        fit(states);
        if (states.size() >= fewest_states &&
            mean_correlation(states[states.size() / 2], z_, t_.active) < o_.left) {
          break;
        }
      }
    }
    // Where the particles are too few, from earlier states of the latter half too.
    const std::size_t taken = (count + n - 1) / n, last = states.size() - 1;
    const auto state = [&](std::size_t k) -> const std::vector<Vector>& {
      return states[last - (taken > 1 ? k * (last / 2) / (taken - 1) : 0)];
    };
    std::vector<Vector> out;
    for (std::size_t i = 0; i < count; ++i) {
      out.push_back(state(i % taken)[i * n / count]);
    }
    double repeated = 0.0;
    for (std::size_t k = 1; k < taken; ++k) {
      const double share = 1.0 - static_cast<double>(k) / static_cast<double>(taken);
      repeated += 2.0 * share * std::max(0.0, mean_correlation(state(k), z_, t_.active));
    }
    effective_draws_ = static_cast<double>(count) / (1.0 + repeated);
    return out;
  }

  [[nodiscard]] double log_evidence() const { return log_evidence_; }
  [[nodiscard]] double effective_draws() const { return effective_draws_; }
  [[nodiscard]] std::size_t evaluations() const { return evaluations_; }

 private:
  double evaluate(const Vector& z, double least) {
    ++evaluations_;
    return t_.log_likelihood(z, least);
  }

  /// Normals for later moves, each to one half of the particles over the latter half of the states.
  void fit(const std::vector<std::vector<Vector>>& states) {
    const std::size_t n = z_.size();
    for (std::size_t half = 0; half < 2; ++half) {
      std::vector<const Vector*> members;
      for (std::size_t s = states.size() / 2; s < states.size(); ++s) {
        for (std::size_t i = half == 0 ? 0 : n / 2; i < (half == 0 ? n / 2 : n); ++i) {
          members.push_back(&states[s][i]);
        }
      }
      fitted_[half] = ActiveNormal::fitting(members, t_.active);
    }
  }

  double round(double power) {
    if (t_.stop && t_.stop()) {
      throw Interrupted("stopped; nothing was written");
    }
    return move_half(power, 0) + move_half(power, 1);
  }

  /// Weights of a rise of the power; returns their effective number.
  double weigh(double rise) {
    const std::size_t n = start_.size();
    top_ = -1e300;
    weight_.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
      weight_[i] = rise * (log_likelihood_[i] - start_[i]);
      top_ = std::max(top_, weight_[i]);
    }
    double one = 0.0, two = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      weight_[i] = std::exp(weight_[i] - top_);
      one += weight_[i];
      two += weight_[i] * weight_[i];
    }
    sum_ = one;
    return one * one / two;
  }

  /// Raises the power as far as enough effective particles stay, and resamples.
  double step_power(double power) {
    const std::size_t n = z_.size();
    const double wanted = o_.keep * static_cast<double>(n);
    double low = 0.0, high = 1.0 - power;
    if (weigh(high) < wanted) {
      for (int k = 0; k < 50; ++k) {
        const double middle = 0.5 * (low + high);
        (weigh(middle) > wanted ? low : high) = middle;
      }
      high = low;
      weigh(high);
    }
    log_evidence_ += top_ + std::log(sum_ / static_cast<double>(n));
    // Systematic resampling [Kitagawa 1996], then a shuffle: the halves must be alike.
    std::vector<std::size_t> from;
    const double u = dice_.uniform();
    double reached = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      reached += weight_[i] / sum_ * static_cast<double>(n);
      while (from.size() < n && u + static_cast<double>(from.size()) < reached) {
        from.push_back(i);
      }
    }
    from.resize(n, n - 1);
    for (std::size_t i = n - 1; i > 0; --i) {
      std::swap(from[i], from[dice_.below(i + 1)]);
    }
    std::vector<Vector> z;
    std::vector<double> l, start;
    for (const std::size_t i : from) {
      z.push_back(z_[i]);
      l.push_back(log_likelihood_[i]);
      start.push_back(start_[i]);
    }
    z_.swap(z);
    start_.swap(start);
    log_likelihood_.swap(l);
    return high >= 1.0 - power ? 1.0 : power + high;
  }

  /// Moves one half of the particles with the help of the other; returns how many moved.
  double move_half(double power, int half) {
    const std::size_t n = z_.size(), middle = n / 2;
    const std::size_t begin = half == 0 ? 0 : middle, end = half == 0 ? middle : n;
    std::vector<const Vector*> others;
    for (std::size_t i = 0; i < n; ++i) {
      if (i < begin || i >= end) {
        others.push_back(&z_[i]);
      }
    }
    std::optional<ActiveNormal> own;
    const std::optional<ActiveNormal>& normal = fitted_[0] ? fitted_[half == 0 ? 1 : 0] : own;
    if (!normal && others.size() > t_.active.size()) {
      own = ActiveNormal::fitting(others, t_.active);
    }
    for (std::size_t k = 0; k < keeps.size(); ++k) {
      taken_[k] *= 0.7;
      tried_[k] *= 0.7;
    }
    stride_tries_ = stride_successes_ = 0.0;
    double moved = 0.0;
    for (std::size_t i = begin; i < end; ++i) {
      Vector& now = z_[i];
      Vector next = now;
      double log_ratio = 0.0;
      std::size_t keep = keeps.size();
      bool difference = false, jump = false;
      const double choice = dice_.uniform(), jumps = fitted_[0] ? 0.01 : 0.08;
      if (choice < jumps && !t_.start.empty()) {
        jump = true;
        next = draw_start(t_, dice_);
      } else if (choice < jumps + 0.05 && !t_.blocks.empty()) {
        for (const std::size_t j : t_.blocks[dice_.below(t_.blocks.size())]) {
          next[j] = dice_.normal();
        }
      } else if (choice < 0.6 && normal) {
        keep = choose_keep();
        normal->towards(next, keeps[keep], dice_);
        log_ratio = half_norm(now, t_.active) - half_norm(next, t_.active) +
                    normal->half_square(next) - normal->half_square(now);
        tried_[keep] += 1.0;
      } else if (fitted_[0]) {
        log_ratio = step_aside(*normal, others, next);
        if (next == now) {
          continue;
        }
      } else if (choice < 0.8 && others.size() > 2) {
        difference = true;
        add_difference(others, next);
        log_ratio = half_norm(now, t_.active) - half_norm(next, t_.active);
      } else {
        refresh(next);
      }
      const double start = log_start_ratio(t_, next), started = start - start_[i];
      log_ratio += jump ? -power * started : (1.0 - power) * started;
      const double least = log_likelihood_[i] + (std::log(dice_.uniform()) - log_ratio) / power;
      const double l = evaluate(next, least);
      const bool accepted = l > least;
      if (difference) {
        count_stride(accepted);
      }
      if (accepted) {
        if (keep < keeps.size()) {
          taken_[keep] += 1.0;
        }
        now = std::move(next);
        log_likelihood_[i] = l;
        start_[i] = start;
        moved += 1.0;
      }
    }
    if (stride_tries_ > 0.0) {
      const double off = stride_successes_ / stride_tries_ - 0.25;
      stride_ = std::clamp(stride_ * std::exp(0.5 * off), 0.15, 2.0);
    }
    return moved;
  }

  void count_stride(bool accepted) {
    stride_tries_ += 1.0;
    stride_successes_ += accepted ? 1.0 : 0.0;
  }

  /// A short chain that leaves the fitted normal as it is; its end is a proposal that evens out
  /// where the two differ [Liu 2001, 9.4.3; Christen 2005].
  ///
  /// @param z  where it starts, then where it ends
  /// @return logarithm of the normal's likelihood (to its power) at the start over that at the end
  double step_aside(const ActiveNormal& normal,
                    const std::vector<const Vector*>& others,
                    Vector& z) {
    const auto likelihood = [&](const Vector& at) {
      return aside_power * (half_norm(at, t_.active) - normal.half_square(at));
    };
    const double first = likelihood(z);
    double here = first;
    for (int k = 0; k < steps_aside; ++k) {
      Vector next = z;
      double log_ratio = 0.0;
      const bool difference = dice_.uniform() < 0.5;
      if (difference) {
        add_difference(others, next);
        log_ratio = half_norm(z, t_.active) - half_norm(next, t_.active);
      } else {
        refresh(next);
      }
      const double there = likelihood(next);
      const bool accepted = std::log(dice_.uniform()) < log_ratio + there - here;
      if (difference) {
        count_stride(accepted);
      }
      if (accepted) {
        z = std::move(next);
        here = there;
      }
    }
    return first - here;
  }

  /// By how often each was taken, times how far it goes.
  std::size_t choose_keep() {
    std::array<double, keeps.size()> worth{};
    double sum = 0.0;
    for (std::size_t k = 0; k < keeps.size(); ++k) {
      worth[k] = (taken_[k] + 0.05) / (tried_[k] + 1.0) * (1.0 - keeps[k] * keeps[k]) + 0.01;
      sum += worth[k];
    }
    double u = dice_.uniform() * sum;
    std::size_t k = 0;
    while (k + 1 < keeps.size() && u > worth[k]) {
      u -= worth[k++];
    }
    return k;
  }

  void add_difference(const std::vector<const Vector*>& others, Vector& z) {
    const std::vector<std::size_t>& active = t_.active;
    const Vector& a = *others[dice_.below(others.size())];
    const Vector& b = *others[dice_.below(others.size())];
    const double part = dice_.uniform();
    const double share = part < 0.33 ? 1.0 : (part < 0.66 ? 0.5 : 0.2);
    std::vector<std::size_t> in;
    for (const std::size_t j : active) {
      if (dice_.uniform() < share) {
        in.push_back(j);
      }
    }
    if (in.empty()) {
      in.push_back(active[dice_.below(active.size())]);
    }
    const double scale = dice_.uniform() < 0.1
                             ? 1.0
                             : stride_ * 2.38 / std::sqrt(2.0 * static_cast<double>(in.size())) *
                                   std::exp(0.4 * dice_.normal());
    for (const std::size_t j : in) {
      z[j] += scale * (a[j] - b[j]) + 0.01 * dice_.normal();
    }
  }

  /// One to three coordinates anew from the prior, or a little towards it.
  void refresh(Vector& z) {
    const std::size_t count = 1 + dice_.below(3);
    const double keep = dice_.uniform() < 0.4 ? 0.0 : 0.9, fresh = std::sqrt(1.0 - keep * keep);
    for (std::size_t c = 0; c < count; ++c) {
      double& v = z[t_.active[dice_.below(t_.active.size())]];
      v = keep * v + fresh * dice_.normal();
    }
  }

  const SamplerTarget& t_;
  const SamplerOptions o_;
  Dice dice_;
  std::vector<Vector> z_;
  std::array<std::optional<ActiveNormal>, 2> fitted_;  ///< to each half, of its last states
  std::vector<double> log_likelihood_, weight_, start_;
  double log_evidence_ = 0.0, effective_draws_ = 0.0;
  std::size_t evaluations_ = 0;
  double top_ = 0.0, sum_ = 0.0, stride_ = 1.0;
  double stride_tries_ = 0.0, stride_successes_ = 0.0;  ///< of this half
  std::array<double, keeps.size()> taken_{1.0, 1.0, 1.0, 1.0}, tried_{2.0, 2.0, 2.0, 2.0};
};

PopulationSampler::PopulationSampler(const SamplerTarget& target, const SamplerOptions& options)
    : population_(std::make_unique<Population>(target, options)) {}
PopulationSampler::~PopulationSampler() = default;
PopulationSampler::PopulationSampler(PopulationSampler&&) noexcept = default;
PopulationSampler& PopulationSampler::operator=(PopulationSampler&&) noexcept = default;

void PopulationSampler::rise() { population_->rise(); }
double PopulationSampler::log_evidence() const { return population_->log_evidence(); }
std::vector<std::vector<double>> PopulationSampler::draws(std::size_t count) {
  return population_->draws(count);
}
double PopulationSampler::effective_draws() const { return population_->effective_draws(); }
std::size_t PopulationSampler::evaluations() const { return population_->evaluations(); }

}  // namespace sweepflux
