#include "sweepflux/field/general/interpolants.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/inverse_distance.hpp"
#include "sweepflux/field/general/kriging_fit.hpp"
#include "sweepflux/field/general/linear_cells.hpp"
#include "sweepflux/field/general/nearest_kriging.hpp"
#include "sweepflux/field/general/ordinary_kriging.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "sweepflux/field/general/thin_plate.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t most_for_exact_kriging = 3000;

Interpolated constant(double value, std::size_t count) {
  Interpolated result;
  result.value.assign(count, value);
  result.notes.emplace_back("all values are equal: their uncertainty is not estimable");
  return result;
}

Interpolated by_kriging(const ScatteredValues& values, std::span<const PlanePoint> wanted) {
  if (values.at.size() < 3) {
    throw NumericalError("kriging: " + std::to_string(values.at.size()) +
                         " places hold no covariance; three are the least");
  }
  FitOptions options;
  options.fit_nugget = !values.noise_sd.empty();
  const FittedModel fitted = fit_kriging(values, options);
  const bool many = values.at.size() > most_for_exact_kriging;
  Interpolated result = many ? NearestKriging(values, fitted.model).predict(wanted)
                             : OrdinaryKriging(values, fitted.model).predict(wanted);
  if (many) {
    result.notes.emplace_back("too many readings for one exact solve: each place sees its nearest");
  }
  result.notes.push_back(fitted.how);
  if (!fitted.converged) {
    result.notes.emplace_back("the search for the covariance stopped early");
  }
  return result;
}

Interpolated by_cells(const ScatteredValues& values, std::span<const PlanePoint> wanted) {
  require_two_directions(values.at, "linear");
  const LinearCells cells(values);
  Interpolated result;
  std::size_t outside = 0;
  for (const PlanePoint& p : wanted) {
    result.value.push_back(cells.at(p));
    outside += std::isnan(result.value.back()) ? 1U : 0U;
  }
  if (outside > 0) {
    result.notes.push_back(std::to_string(outside) + " of " + std::to_string(wanted.size()) +
                           " wanted places lie outside the readings' hull: no value there");
  }
  return result;
}

Interpolated by_thin_plate(const ScatteredValues& values, std::span<const PlanePoint> wanted) {
  Interpolated result;
  result.value = ThinPlate(values).at(wanted);
  if (wanted.empty()) {
    return result;
  }
  const auto [least, most] = std::minmax_element(values.value.begin(), values.value.end());
  const auto [low, high] = std::minmax_element(result.value.begin(), result.value.end());
  if (*low < 0.0 && *least >= 0.0) {
    result.notes.emplace_back("the thin plate swings below zero where no reading does");
  }
  if (*high > *most + 0.01 * (*most - *least)) {
    result.notes.emplace_back("the thin plate swings above the largest reading");
  }
  return result;
}

}  // namespace

Interpolated interpolate(const ScatteredValues& given,
                         std::span<const PlanePoint> wanted,
                         Method method) {
  const ScatteredValues values = merged(given);
  require_finite(wanted, "wanted place");
  const bool all_equal = std::all_of(
      values.value.begin(), values.value.end(), [&](double v) { return v == values.value[0]; });
  switch (method) {
    case Method::kriging:
      return all_equal ? constant(values.value[0], wanted.size()) : by_kriging(values, wanted);
    case Method::linear:
      return by_cells(values, wanted);
    case Method::thin_plate:
      return by_thin_plate(values, wanted);
    case Method::inverse_distance: {
      Interpolated result;
      result.value = inverse_distance(values, wanted);
      return result;
    }
    case Method::automatic:
      break;
  }
  throw InputError(
      "interpolation: name a method (kriging, linear, thin plate, inverse distance); "
      "the default recipe is not among these");
}

}  // namespace sweepflux
