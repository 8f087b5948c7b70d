#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <random>
#include <span>
#include <vector>

namespace sweepflux {

/// Independent standard normal variables and fair choices from a seed; the same on any machine.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed * 0x9E3779B97F4A7C15ULL + 1) {}
  [[nodiscard]] double uniform() {
    return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1.0p-53;
  }
  [[nodiscard]] double normal();
  [[nodiscard]] std::size_t below(std::size_t n) { return engine_() % n; }

 private:
  std::mt19937_64 engine_;
  bool spare_ready_ = false;
  double spare_ = 0.0;
};

struct SamplerOptions {
  std::size_t particles = 128;
  double keep = 0.5;    ///< a step of the power leaves this share of effective particles
  double moves = 1.0;   ///< accepted moves a particle and step
  int most_rounds = 5;  ///< a step
  /// Rounds at the full power end when where the particles stand and where they stood after half
  /// of these rounds correlate less, in the mean over the active coordinates.
  double left = 0.2;
  int most_last_rounds = 100;
  std::uint64_t seed = 1;
};

class ActiveNormal;

/// Part of the distribution that a population starts from.
struct StartingNormal {
  double weight = 0.0;  ///< in all below 1; the rest is the prior
  std::shared_ptr<const ActiveNormal> normal;
};

/// What is sampled: log likelihood of a vector whose prior is independent standard normal.
struct SamplerTarget {
  std::size_t dimension = 0;
  /// What is not more than `least` may be any value as small.
  std::function<double(std::span<const double> z, double least)> log_likelihood;
  std::vector<std::size_t> active;  ///< coordinates that it depends on, rising
  /// The active coordinates bent so that the log likelihood is nearest to a quadratic form in them;
  /// none: as they are.
  std::function<std::vector<float>(std::span<const double> z)> straight = {};
  /// Coordinates that are drawn anew together, as those of a core that no sweep shows.
  std::vector<std::vector<std::size_t>> blocks = {};
  std::vector<StartingNormal> start;  ///< none: the prior alone
  std::function<bool()> stop;         ///< asked once a round; true: give up
};

/// Tempered sequential Monte Carlo [Del Moral, Doucet & Jasra 2006] from the start to the
/// posterior, then Markov chains there. Moves leave the tempered posterior as it is: draws from the
/// start, some coordinates towards the prior [Neal 1999], autoregressive towards the normal that
/// fits the other half of the particles, and differences of two of the other half [ter Braak 2006].
/// At the full power most moves are the ends of long chains on a response surface of what was
/// computed so far. Now and then a block is drawn anew.
class PopulationSampler {
 public:
  /// @param target  must outlive this
  PopulationSampler(const SamplerTarget& target, const SamplerOptions& options);
  ~PopulationSampler();
  PopulationSampler(PopulationSampler&&) noexcept;
  PopulationSampler& operator=(PopulationSampler&&) noexcept;

  /// To the full power. Once, and first.
  void rise();
  [[nodiscard]] double log_evidence() const;  ///< of the rise

  /// Equally weighted draws, by chains that forget where the rise left them.
  [[nodiscard]] std::vector<std::vector<double>> draws(std::size_t count);
  /// How many independent draws tell as much as these, by the correlation between the states that
  /// they come from [Geyer 1992]; after draws().
  [[nodiscard]] double effective_draws() const;
  [[nodiscard]] std::size_t evaluations() const;

 private:
  class Population;
  std::unique_ptr<Population> population_;
};

}  // namespace sweepflux
