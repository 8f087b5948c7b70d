#include "tests/bench/support/strategies.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sweepflux::bench {
namespace {

WantedSweep at_height(const Situation& situation, double height_m) {
  WantedSweep wanted;
  wanted.distance_m = situation.survey->plan.distances_m.front();
  wanted.height_m = std::clamp(height_m, situation.height_low_m, situation.height_high_m);
  wanted.seen_rad = situation.even_angles_rad;
  return wanted;
}

/// A fixed order about the outlet's axis, in guessed half widths: the middle first, one far below,
/// then the gaps. What a tester could keep in mind; no look at the readings.
NamedStrategy fixed_order() {
  return {
      "fixed-order", true, [](const Situation& situation) -> std::optional<WantedSweep> {
        constexpr std::array<double, 9> order{0.0, -1.6, 0.53, -0.8, 1.33, -0.4, 2.0, 0.8, 0.27};
        const Survey& survey = *situation.survey;
        const std::size_t taken = survey.sweeps.size();
        if (taken >= order.size()) {
          return std::nullopt;
        }
        const double half =
            std::max(survey.outlet.extent_z_m() / 2, 0.1 * survey.plan.distances_m.front());
        return at_height(situation, survey.outlet.centre_height_m + order[taken] * half);
      }};
}

std::vector<NamedStrategy> all_strategies() {
  return {even_heights(), random_heights(), fixed_order()};
}

}  // namespace

NamedStrategy even_heights() {
  return {"even", false, [](const Situation& situation) -> std::optional<WantedSweep> {
            // From the middle outwards, so that a day cut short still has the core.
            const int taken = static_cast<int>(situation.survey->sweeps.size());
            const int n = situation.total;
            if (taken >= n) {
              return std::nullopt;
            }
            const int middle = (n - 1) / 2;
            const int step = (taken + 1) / 2;
            const int cell = taken % 2 == 1 ? middle + step : middle - step;
            const double range = situation.height_high_m - situation.height_low_m;
            return at_height(situation, situation.height_low_m + range * (cell + 0.5) / n);
          }};
}

NamedStrategy random_heights() {
  return {"random", true, [](const Situation& situation) -> std::optional<WantedSweep> {
            return at_height(
                situation,
                situation.dice->uniform(situation.height_low_m, situation.height_high_m));
          }};
}

NamedStrategy strategy_from(const std::string& name) {
  std::string known;
  for (NamedStrategy& strategy : all_strategies()) {
    if (strategy.name == name) {
      return strategy;
    }
    known += (known.empty() ? "" : ", ") + strategy.name;
  }
  throw InputError("no strategy \"" + name + "\"; there are " + known);
}

}  // namespace sweepflux::bench
