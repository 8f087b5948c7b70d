#include "sweepflux/field/general/kernel.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/dense_private.hpp"

#include <cmath>
#include <string>

namespace sweepflux {
namespace {

void require(bool holds, const char* field, double value, const char* allowed) {
  if (!holds) {
    throw InputError(std::string("covariance: ") + field + " is " + std::to_string(value) +
                     ", must be " + allowed);
  }
}

}  // namespace

double range_from_practical(Kernel kernel, double practical_range_m) {
  require(practical_range_m > 0.0, "practical range", practical_range_m, "> 0 m");
  switch (kernel) {
    case Kernel::exponential:
      return practical_range_m / 3.0;
    case Kernel::gaussian:
      return practical_range_m / std::sqrt(3.0);
    case Kernel::spherical:
      return practical_range_m;
    case Kernel::matern32:
    case Kernel::matern52:
      break;
  }
  double low = 0.0;  // bisection: correlation falls steadily
  double high = 10.0;
  Eigen::ArrayXd correlation(1);
  for (int i = 0; i < 80; ++i) {
    const double middle = 0.5 * (low + high);
    correlation[0] = middle * middle;
    correlate(kernel, correlation);
    (correlation[0] > 0.05 ? low : high) = middle;
  }
  return practical_range_m / (0.5 * (low + high));
}

void check(const Covariance& model) {
  require(std::isfinite(model.sill) && model.sill >= 0.0, "sill", model.sill, ">= 0");
  require(std::isfinite(model.range_m) && model.range_m > 0.0, "range", model.range_m, "> 0 m");
  require(std::isfinite(model.ratio) && model.ratio > 0.0, "ratio", model.ratio, "> 0");
  require(std::isfinite(model.angle_rad), "angle", model.angle_rad, "a finite angle in rad");
}

void correlate(Kernel kernel, Eigen::Ref<Eigen::ArrayXd> squared) {
  switch (kernel) {
    case Kernel::exponential:
      squared = (-squared.sqrt()).exp();
      return;
    case Kernel::matern32:
      squared = (3.0 * squared).sqrt();
      squared = (1.0 + squared) * (-squared).exp();
      return;
    case Kernel::matern52:
      squared = (5.0 * squared).sqrt();
      squared = (1.0 + squared + squared.square() / 3.0) * (-squared).exp();
      return;
    case Kernel::gaussian:
      squared = (-squared).exp();
      return;
    case Kernel::spherical:
      squared = squared.sqrt().min(1.0);
      squared = 1.0 - squared * (1.5 - 0.5 * squared.square());
      return;
  }
}

Eigen::Matrix2Xd scaled_places(const Covariance& model, std::span<const PlanePoint> at) {
  const double c = std::cos(model.angle_rad);
  const double s = std::sin(model.angle_rad);
  const double first = 1.0 / model.range_m;
  const double second = 1.0 / (model.range_m * model.ratio);
  Eigen::Matrix2Xd scaled(2, static_cast<Eigen::Index>(at.size()));
  Eigen::Index column = 0;
  for (const PlanePoint& p : at) {
    scaled(0, column) = (c * p.y_m + s * p.z_m) * first;
    scaled(1, column) = (c * p.z_m - s * p.y_m) * second;
    ++column;
  }
  return scaled;
}

Eigen::MatrixXd cross_covariance(const Covariance& model,
                                 const Eigen::Matrix2Xd& a,
                                 const Eigen::Matrix2Xd& b) {
  Eigen::MatrixXd result(a.cols(), b.cols());
  const Eigen::ArrayXd first = a.row(0).transpose().array();
  const Eigen::ArrayXd second = a.row(1).transpose().array();
  Eigen::ArrayXd column(a.cols());
  for (Eigen::Index j = 0; j < b.cols(); ++j) {
    column = (first - b(0, j)).square() + (second - b(1, j)).square();
    correlate(model.kernel, column);
    result.col(j) = model.sill * column.matrix();
  }
  return result;
}

void fill_lower_covariance(const Covariance& model,
                           const Eigen::Matrix2Xd& at,
                           Eigen::MatrixXd& lower) {
  const Eigen::Index n = at.cols();
  lower.resize(n, n);
  const Eigen::ArrayXd first = at.row(0).transpose().array();
  const Eigen::ArrayXd second = at.row(1).transpose().array();
  Eigen::ArrayXd column(n);
  for (Eigen::Index j = 0; j < n; ++j) {
    auto tail = column.tail(n - j);
    tail = (first.tail(n - j) - at(0, j)).square() + (second.tail(n - j) - at(1, j)).square();
    correlate(model.kernel, tail);
    lower.col(j).tail(n - j) = model.sill * tail.matrix();
  }
}

}  // namespace sweepflux
