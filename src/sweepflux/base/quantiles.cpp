#include "sweepflux/base/quantiles.hpp"

#include "sweepflux/base/error.hpp"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

using Policy = boost::math::policies::policy<boost::math::policies::promote_double<false>>;
using Normal = boost::math::normal_distribution<double, Policy>;
// Far below a large mean the gamma function overflows on the way to a zero, which is the answer.
using Lenient = boost::math::policies::policy<
    boost::math::policies::promote_double<false>,
    boost::math::policies::overflow_error<boost::math::policies::ignore_error>>;
using ChiSquare = boost::math::chi_squared_distribution<double, Lenient>;
using Student = boost::math::students_t_distribution<double, Policy>;

void check_share(double p) {
  if (!(p > 0.0 && p < 1.0)) {
    throw InputError("quantile: the share must lie between 0 and 1");
  }
}

Student student(double degrees) {
  if (!(degrees > 0.0)) {
    throw InputError("Student's t: the degrees of freedom must be > 0");
  }
  return Student(degrees);
}

}  // namespace

double normal_probability(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

double normal_quantile(double p) {
  check_share(p);
  return boost::math::quantile(Normal(), p);
}

double student_t_probability(double t, double degrees) {
  return boost::math::cdf(student(degrees), t);
}

double student_t_quantile(double p, double degrees) {
  check_share(p);
  return boost::math::quantile(student(degrees), p);
}

double chi_square_probability(double chi_square, double degrees) {
  if (!(degrees > 0.0) || !(chi_square >= 0.0)) {
    throw InputError("chi square: it must be >= 0 and its degrees of freedom > 0");
  }
  return boost::math::cdf(ChiSquare(degrees), chi_square);
}

double student_95(double degrees) {
  if (!(degrees >= 1.0)) {
    throw InputError("degrees of freedom must be 1 or more");
  }
  return degrees > 1e6 ? normal_95 : student_t_quantile(0.975, degrees);
}

}  // namespace sweepflux
