#include "render/charts/grid_field.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace sweepflux::render {

void check(const GridField& field) {
  const std::size_t cells = field.columns * field.rows;
  if (cells == 0 || field.values.size() != cells) {
    throw InputError("a field of " + std::to_string(field.columns) + " x " +
                     std::to_string(field.rows) + " cells has " +
                     std::to_string(field.values.size()) + " values");
  }
  if (!field.support.empty() && field.support.size() != cells) {
    throw InputError("a field of " + std::to_string(cells) + " cells has " +
                     std::to_string(field.support.size()) + " values of support");
  }
  if (!(field.across_step > 0.0 && field.up_step > 0.0)) {
    throw InputError("the steps of a field must be > 0");
  }
}

FieldValue look_up(const GridField& field, double across, double up) {
  const double last_column = static_cast<double>(field.columns - 1);
  const double last_row = static_cast<double>(field.rows - 1);
  const double c = std::clamp((across - field.across_min) / field.across_step, 0.0, last_column);
  const double r = std::clamp((up - field.up_min) / field.up_step, 0.0, last_row);
  const auto c0 = static_cast<std::size_t>(c);
  const auto r0 = static_cast<std::size_t>(r);
  const std::size_t c1 = std::min(c0 + 1, field.columns - 1);
  const std::size_t r1 = std::min(r0 + 1, field.rows - 1);
  const double fc = c - static_cast<double>(c0);
  const double fr = r - static_cast<double>(r0);
  const auto mix = [fc, fr](double a, double b, double d, double e) {
    return (a * (1.0 - fc) + b * fc) * (1.0 - fr) + (d * (1.0 - fc) + e * fc) * fr;
  };
  FieldValue found;
  found.value =
      mix(field.value(c0, r0), field.value(c1, r0), field.value(c0, r1), field.value(c1, r1));
  found.support = mix(field.support_at(c0, r0),
                      field.support_at(c1, r0),
                      field.support_at(c0, r1),
                      field.support_at(c1, r1));
  if (!std::isfinite(found.value)) {
    const std::size_t column = fc < 0.5 ? c0 : c1;
    const std::size_t row = fr < 0.5 ? r0 : r1;
    found.value = field.value(column, row);
    found.support = std::isnan(found.value) ? 0.0 : field.support_at(column, row);
  }
  return found;
}

}  // namespace sweepflux::render
