// The kriging core against values that numpy and scipy give by other formulas: kriging-core/.

#include "sweepflux/field/general/ordinary_kriging.hpp"
#include "tests/support/plain_table.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <map>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

// Both ways solve in double precision; condition numbers stay below 1e5 (source.toml).
constexpr double tolerance = 1e-8;

test::PlainTable read_table(const std::string& name) {
  return test::read_plain_table(test::source_folder() / "tests/published/kriging-core" / name);
}

ScatteredValues places() {
  const test::PlainTable table = read_table("places.csv");
  ScatteredValues v;
  v.value = table.numbers("value");
  v.noise_sd = table.numbers("noise_sd");
  const std::vector<double> y = table.numbers("y_m");
  const std::vector<double> z = table.numbers("z_m");
  for (std::size_t i = 0; i < y.size(); ++i) {
    v.at.push_back({y[i], z[i]});
  }
  return v;
}

std::vector<KrigingModel> models() {
  const std::map<std::string, Kernel> kernels{{"exponential", Kernel::exponential},
                                              {"matern32", Kernel::matern32},
                                              {"matern52", Kernel::matern52},
                                              {"gaussian", Kernel::gaussian},
                                              {"spherical", Kernel::spherical}};
  const test::PlainTable table = read_table("models.csv");
  std::vector<KrigingModel> result;
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    KrigingModel m;
    m.covariance = {kernels.at(table.rows[i][table.column("kernel")]),
                    table.numbers("sill")[i],
                    table.numbers("range_m")[i],
                    table.numbers("ratio")[i],
                    table.numbers("angle_rad")[i]};
    m.nugget = table.numbers("nugget")[i];
    result.push_back(m);
  }
  return result;
}

TEST(KrigingCore, HasTheLikelihoodsThatNumpyComputes) {
  const test::PlainTable table = read_table("models.csv");
  std::vector<KrigingModel> all = models();
  ASSERT_EQ(all.size(), 6U);
  for (std::size_t i = 0; i < all.size(); ++i) {
    const OrdinaryKriging ordinary(places(), all[i]);
    EXPECT_NEAR(ordinary.mean(), table.numbers("mean")[i], tolerance);
    EXPECT_NEAR(ordinary.log_likelihood(), table.numbers("log_likelihood")[i], tolerance);
    EXPECT_NEAR(ordinary.restricted_log_likelihood(),
                table.numbers("restricted_log_likelihood")[i],
                tolerance);
    all[i].known_mean = 1.2;
    const OrdinaryKriging simple(places(), all[i]);
    EXPECT_NEAR(simple.log_likelihood(), table.numbers("log_likelihood_mean_1.2")[i], tolerance);
    EXPECT_EQ(simple.restricted_log_likelihood(), simple.log_likelihood());
  }
}

TEST(KrigingCore, PredictsWhatNumpyPredicts) {
  const test::PlainTable table = read_table("predictions.csv");
  const std::vector<double> model = table.numbers("model");
  const std::vector<double> y = table.numbers("y_m");
  const std::vector<double> z = table.numbers("z_m");
  ASSERT_EQ(model.size(), 36U);
  for (std::size_t i = 0; i < model.size(); ++i) {
    KrigingModel m = models().at(static_cast<std::size_t>(model[i]));
    const PlanePoint p{y[i], z[i]};
    const Interpolated ordinary = OrdinaryKriging(places(), m).predict(std::span(&p, 1));
    EXPECT_NEAR(ordinary.value[0], table.numbers("value")[i], tolerance);
    EXPECT_NEAR(ordinary.variance[0], table.numbers("variance")[i], tolerance);
    m.known_mean = 1.2;
    const Interpolated simple = OrdinaryKriging(places(), m).predict(std::span(&p, 1));
    EXPECT_NEAR(simple.value[0], table.numbers("value_mean_1.2")[i], tolerance);
    EXPECT_NEAR(simple.variance[0], table.numbers("variance_mean_1.2")[i], tolerance);
  }
}

TEST(KrigingCore, PredictsLeftOutReadingsAsNumpyDoesByLeavingThemOut) {
  const test::PlainTable table = read_table("left_out.csv");
  const std::vector<double> model = table.numbers("model");
  const std::vector<double> place = table.numbers("place");
  const std::vector<double> value = table.numbers("value");
  const std::vector<double> variance = table.numbers("variance");
  ASSERT_EQ(model.size(), 6U * 14U);
  for (std::size_t i = 0; i < model.size(); ++i) {
    const auto left_out =
        OrdinaryKriging(places(), models().at(static_cast<std::size_t>(model[i]))).leave_one_out();
    const LeftOutPrediction& mine = left_out.at(static_cast<std::size_t>(place[i]));
    EXPECT_NEAR(mine.value, value[i], tolerance);
    EXPECT_NEAR(mine.variance, variance[i], tolerance);
  }
}

}  // namespace
}  // namespace sweepflux
