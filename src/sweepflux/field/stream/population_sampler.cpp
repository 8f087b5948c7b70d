#include "sweepflux/field/stream/population_sampler.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/stream/active_normal_private.hpp"
#include "sweepflux/field/stream/response_surface_private.hpp"
#include "sweepflux/field/stream/sampler_start_private.hpp"
#include "sweepflux/field/stream/tempering_private.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>
#include <optional>

namespace sweepflux {
namespace {

using Vector = std::vector<double>;

constexpr std::array<double, 4> keeps = {0.3, 0.7, 0.9, 0.97};
constexpr int rounds_a_state = 8;
constexpr std::size_t fewest_states = 5;  // a population that still widens seems to forget
constexpr std::size_t steps_aside = 2;    // on the surface, a coordinate, for one evaluation
constexpr double aside_power = 0.9;       // of the surface there: tails fatter than its own
constexpr double surface_depth = 25.0;    // of log likelihoods below the particles' median

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
      : t_(target), o_(options), dice_(options.seed), surface_(target.active.size()) {}

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
    surface_floor_ = median_log_likelihood() - surface_depth;
    for (int r = 1; r <= most; ++r) {
      round(1.0);
      if (r % rounds_a_state == 0) {
        states.push_back(z_);
        fit(states);
        if (std::has_single_bit(states.size() - 1)) {
          surface_floor_ = median_log_likelihood() - surface_depth;
          surface_.fit(surface_floor_);
        }
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
    const double l = t_.log_likelihood(z, std::min(least, surface_floor_));
    if (l > surface_floor_) {
      surface_.add(straight(z), l);
    }
    return l;
  }

  [[nodiscard]] std::vector<float> straight(const Vector& z) const {
    if (t_.straight) {
      return t_.straight(z);
    }
    std::vector<float> out;
    for (const std::size_t j : t_.active) {
      out.push_back(static_cast<float>(z[j]));
    }
    return out;
  }

  [[nodiscard]] double median_log_likelihood() const {
    Vector sorted = log_likelihood_;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    return *middle;
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

  double step_power(double power) {
    Vector log_ratio;
    for (std::size_t i = 0; i < z_.size(); ++i) {
      log_ratio.push_back(log_likelihood_[i] - start_[i]);
    }
    const TemperingStep step = temper(log_ratio, 1.0 - power, o_.keep, dice_);
    log_evidence_ += step.log_mean_weight;
    std::vector<Vector> z;
    Vector l, start;
    for (const std::size_t i : step.parents) {
      z.push_back(z_[i]);
      l.push_back(log_likelihood_[i]);
      start.push_back(start_[i]);
    }
    z_.swap(z);
    start_.swap(start);
    log_likelihood_.swap(l);
    return step.rise >= 1.0 - power ? 1.0 : power + step.rise;
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
      } else if (choice < (surface_.is_fitted() ? 0.1 : 0.6) && normal) {
        keep = choose_keep();
        normal->towards(next, keeps[keep], dice_);
        log_ratio = half_norm(now, t_.active) - half_norm(next, t_.active) +
                    normal->half_square(next) - normal->half_square(now);
        tried_[keep] += 1.0;
      } else if (surface_.is_fitted()) {
        log_ratio = step_aside(*normal, others, next);
        if (next == now) {
          continue;
        }
      } else if (choice < 0.8 && others.size() > 2) {
        difference = true;
        add_difference(others, next, 0.01);
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

  /// A chain that leaves the surface's posterior as it is; its end is a proposal that evens out
  /// where the two differ [Liu 2001, 9.4.3; Christen 2005].
  ///
  /// @param z  where it starts, then where it ends
  /// @return logarithm of the surface's likelihood (to its power) at the start over that at the end
  double step_aside(const ActiveNormal& normal,
                    const std::vector<const Vector*>& others,
                    Vector& z) {
    const auto likelihood = [&](const Vector& at) {
      return aside_power * surface_.at(straight(at));
    };
    const double first = likelihood(z);
    double here = first;
    for (std::size_t k = 0; k < steps_aside * t_.active.size(); ++k) {
      Vector next = z;
      const double choice = dice_.uniform();
      double log_ratio = 0.0;
      if (choice < 0.3) {
        refresh(next);
      } else {
        choice < 0.8 ? add_difference(others, next, 0.0)
                     : normal.towards(next, choice < 0.9 ? 0.7 : 0.9, dice_);
        log_ratio = half_norm(z, t_.active) - half_norm(next, t_.active);
        log_ratio += choice < 0.8 ? 0.0 : normal.half_square(next) - normal.half_square(z);
      }
      const double there = likelihood(next);
      const bool accepted = std::log(dice_.uniform()) < log_ratio + there - here;
      if (choice >= 0.3 && choice < 0.8) {
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

  void add_difference(const std::vector<const Vector*>& others, Vector& z, double jitter) {
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
      z[j] += scale * (a[j] - b[j]) + (jitter > 0.0 ? jitter * dice_.normal() : 0.0);
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
  Vector log_likelihood_, start_;
  ResponseSurface surface_;
  double surface_floor_ = std::numeric_limits<double>::infinity();  ///< of what it is fitted to
  double log_evidence_ = 0.0, effective_draws_ = 0.0;
  std::size_t evaluations_ = 0;
  double stride_ = 1.0;
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
