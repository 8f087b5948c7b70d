#include "sweepflux/field/general/kriging_fit.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/field/general/bounded_search.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "sweepflux/field/general/vecchia.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <memory>
#include <span>
#include <vector>

namespace sweepflux {
namespace {

constexpr double stability_nugget = 1e-8;  // of the sill

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
  Window box{values.at[0].y_m, values.at[0].y_m, values.at[0].z_m, values.at[0].z_m};
  for (std::size_t i = 0; i < values.at.size(); ++i) {
    const PlanePoint p = values.at[i];
    box = {std::min(box.y_min_m, p.y_m),
           std::max(box.y_max_m, p.y_m),
           std::min(box.z_min_m, p.z_m),
           std::max(box.z_max_m, p.z_m)};
    // From the first value, so that equal values have no variance to the last bit.
    mean += (values.value[i] - values.value[0]) / static_cast<double>(values.at.size());
  }
  for (const double v : values.value) {
    s.variance += square(v - values.value[0] - mean) / static_cast<double>(values.at.size() - 1);
  }
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
    best.evaluations += found.evaluations;
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

}  // namespace sweepflux
