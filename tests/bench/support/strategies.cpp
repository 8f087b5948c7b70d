#include "tests/bench/support/strategies.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/plan/schedule.hpp"
#include "sweepflux/plan/stops.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sweepflux::bench {
namespace {

WantedSweep at_height(const Situation& situation, double height_m) {
  WantedSweep wanted;
  wanted.distance_m = situation.survey->plan.distances_m.front();
  wanted.height_m = std::clamp(height_m, situation.height_low_m, situation.height_high_m);
  wanted.stops = situation.even_stops;
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

/// Even heights with the planner's stops about a guessed stream: tells what the choice of heights
/// is worth by itself.
NamedStrategy even_with_plan_stops() {
  return {"even-plan-stops",
          false,
          [even = even_heights().next](const Situation& situation) -> std::optional<WantedSweep> {
            std::optional<WantedSweep> wanted = even(situation);
            if (wanted) {
              const Survey& survey = *situation.survey;
              const double spread = 0.1 * wanted->distance_m;
              const ExpectedStream guess{0.0,
                                         survey.outlet.centre_height_m,
                                         std::max(survey.outlet.extent_y_m() / 2, spread),
                                         std::max(survey.outlet.extent_z_m() / 2, spread)};
              wanted->stops = lay_out_stops(survey, wanted->distance_m, wanted->height_m, guess);
            }
            return wanted;
          }};
}

/// The program's own planner, asked again after every sweep with all readings so far.
NamedStrategy planned() {
  return {"planned", true, [](const Situation& situation) -> std::optional<WantedSweep> {
            PlanOptions options;
            options.count = 1;
            options.threads = 1;
            const Schedule schedule = plan_sweeps(*situation.survey, options);
            if (schedule.sweeps.empty()) {
              return std::nullopt;
            }
            const PlannedSweep& first = schedule.sweeps.front();
            return WantedSweep{
                first.distance_m, first.height_m, first.stops, first.momentum_uncertainty_after_n};
          }};
}

/// The planner asked once, before any reading: what a tester gets who prints the plan at breakfast.
NamedStrategy planned_once() {
  return {"planned-once", false, [](const Situation& situation) -> std::optional<WantedSweep> {
            Survey before = *situation.survey;
            before.sweeps.clear();
            PlanOptions options;
            options.count = static_cast<std::size_t>(situation.total);
            options.threads = 1;
            const Schedule schedule = plan_sweeps(before, options);
            const std::size_t taken = situation.survey->sweeps.size();
            if (taken >= schedule.sweeps.size()) {
              return std::nullopt;
            }
            const PlannedSweep& next = schedule.sweeps[taken];
            return WantedSweep{
                next.distance_m, next.height_m, next.stops, next.momentum_uncertainty_after_n};
          }};
}

std::vector<NamedStrategy> all_strategies() {
  return {even_heights(),
          even_with_plan_stops(),
          random_heights(),
          fixed_order(),
          planned(),
          planned_once()};
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
