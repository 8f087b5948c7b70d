#include "sweepflux/base/student.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace sweepflux {
namespace {

TEST(Student, meets_the_quantiles_of_an_independent_program) {
  // scipy 1.10, stats.t.ppf(0.975, freedom)
  EXPECT_NEAR(student_95(1.0), 12.706204736432095, 1e-8);
  EXPECT_NEAR(student_95(1.5), 6.016663107990447, 1e-8);
  EXPECT_NEAR(student_95(2.0), 4.302652729911275, 1e-9);
  EXPECT_NEAR(student_95(9.5), 2.244137461457777, 1e-9);
  EXPECT_NEAR(student_95(16.75), 2.1122169023149744, 1e-9);
  EXPECT_NEAR(student_95(1000.0), 1.9623390808264074, 1e-9);
}

TEST(Student, becomes_the_normal_for_many_degrees_of_freedom) {
  EXPECT_NEAR(student_95(std::numeric_limits<double>::infinity()), 1.959963984540054, 1e-12);
  EXPECT_NEAR(student_95(999999.0), student_95(1000001.0), 1e-5);
}

TEST(Student, needs_one_degree_of_freedom) {
  EXPECT_THROW(static_cast<void>(student_95(0.5)), InputError);
  EXPECT_THROW(static_cast<void>(student_95(std::numeric_limits<double>::quiet_NaN())), InputError);
}

TEST(Student, shares_of_the_normal_are_symmetric) {
  EXPECT_NEAR(normal_share_below(1.959963984540054), 0.975, 1e-12);
  EXPECT_NEAR(normal_share_below(-1.0) + normal_share_below(1.0), 1.0, 1e-15);
}

}  // namespace
}  // namespace sweepflux
