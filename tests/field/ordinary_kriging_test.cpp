#include "sweepflux/field/general/ordinary_kriging.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/plain_table.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <string>

namespace sweepflux {
namespace {

/// The seven readings of [Isaaks 1989, chapter 12, table 12.1]; in metres here only by name.
ScatteredValues textbook_sample() {
  ScatteredValues v;
  v.at = {{61, 139}, {63, 140}, {64, 129}, {68, 128}, {71, 140}, {73, 141}, {75, 128}};
  v.value = {477, 696, 227, 646, 606, 791, 783};
  return v;
}

KrigingModel structure_model(Kernel kernel, double sill, double practical, double nugget) {
  KrigingModel model;
  model.covariance = {kernel, sill, range_from_practical(kernel, practical), 1.0, 0.0};
  model.nugget = nugget;
  model.nugget_is = Nugget::structure;
  return model;
}

void expect_at(PlanePoint p, const KrigingModel& model, double value, double variance) {
  const Interpolated at = OrdinaryKriging(textbook_sample(), model).predict(std::span(&p, 1));
  EXPECT_NEAR(at.value[0], value, 1e-6);
  EXPECT_NEAR(at.variance[0], variance, 1e-6);
}

// Values from the book (592.7 and 8.96), with more digits and variants by gstat 2.1-0.
TEST(OrdinaryKriging, GivesTheTextbooksEstimateAndItsVariants) {
  const PlanePoint p{65, 137};
  expect_at(p, structure_model(Kernel::exponential, 10, 10, 0), 592.7289428, 8.956052789);
  expect_at(p, structure_model(Kernel::exponential, 20, 10, 0), 592.7289428, 17.91210558);
  expect_at(p, structure_model(Kernel::gaussian, 10, 10, 0), 559.3700232, 4.780597383);
  expect_at(p, structure_model(Kernel::exponential, 10, 20, 0), 572.3898735, 5.758499724);
  expect_at(p, structure_model(Kernel::exponential, 5, 10, 5), 596.7770069, 10.30585222);
  expect_at(p, structure_model(Kernel::spherical, 10, 10, 0), 581.0993788, 7.661274113);
}

TEST(OrdinaryKriging, GivesTheMeanWhenAllIsNugget) {
  expect_at({65, 137}, structure_model(Kernel::exponential, 0, 10, 10), 603.7142857, 11.42857143);
}

TEST(OrdinaryKriging, FiltersTheNoiseOutAtTheReadingsOwnPlace) {
  KrigingModel model = structure_model(Kernel::exponential, 5, 10, 5);
  model.nugget_is = Nugget::noise;
  const PlanePoint datum{63, 140};
  const Interpolated at = OrdinaryKriging(textbook_sample(), model).predict(std::span(&datum, 1));
  EXPECT_NEAR(at.value[0], 628.6587, 5e-5);
  EXPECT_NEAR(at.variance[0], 2.560594, 5e-7);
}

TEST(OrdinaryKriging, HonoursTheReadingWhenTheNuggetIsStructureAndJumpsBesideIt) {
  const KrigingModel model = structure_model(Kernel::exponential, 5, 10, 5);
  const std::vector<PlanePoint> wanted{{63, 140}, {63.01, 140}};
  const Interpolated at = OrdinaryKriging(textbook_sample(), model).predict(wanted);
  EXPECT_NEAR(at.value[0], 696.0, 1e-9);
  EXPECT_NEAR(at.variance[0], 0.0, 1e-9);
  EXPECT_NEAR(at.value[1], 628.5717, 5e-5);
}

TEST(OrdinaryKriging, TakesNoiseOfEachReadingAsItTakesAnEqualNugget) {
  KrigingModel model = structure_model(Kernel::matern52, 7, 12, 2.25);
  model.nugget_is = Nugget::noise;
  ScatteredValues noisy = textbook_sample();
  noisy.noise_sd.assign(7, 1.5);
  const PlanePoint p{66, 133};
  const Interpolated nugget = OrdinaryKriging(textbook_sample(), model).predict(std::span(&p, 1));
  model.nugget = 0.0;
  const Interpolated noise = OrdinaryKriging(noisy, model).predict(std::span(&p, 1));
  EXPECT_NEAR(nugget.value[0], noise.value[0], 1e-9);
  EXPECT_NEAR(nugget.variance[0], noise.variance[0], 1e-12);
}

/// Zinc along a river [Burrough 1998], logarithms; ordinary kriging by gstat 2.1-0.
ScatteredValues meuse(const std::filesystem::path& shared) {
  const test::PlainTable table = test::read_plain_table(shared / "outside/meuse_points.csv");
  const std::vector<double> x = table.numbers("x");
  const std::vector<double> y = table.numbers("y");
  ScatteredValues v;
  v.value = table.numbers("logzinc");
  for (std::size_t i = 0; i < x.size(); ++i) {
    v.at.push_back({x[i], y[i]});
  }
  return v;
}

KrigingModel meuse_model() {
  KrigingModel model;
  model.covariance = {Kernel::spherical, 0.59, 897.0, 1.0, 0.0};
  model.nugget = 0.05;
  model.nugget_is = Nugget::structure;
  return model;
}

TEST(OrdinaryKriging, AgreesWithGstatOnTheMeuseData) {
  SWEEPFLUX_NEED_SHARED(shared);
  const test::PlainTable reference =
      test::read_plain_table(shared / "outside/meuse_ok_reference.csv");
  const std::vector<double> x = reference.numbers("x");
  const std::vector<double> y = reference.numbers("y");
  std::vector<PlanePoint> wanted;
  for (std::size_t i = 0; i < x.size(); ++i) {
    wanted.push_back({x[i], y[i]});
  }
  const Interpolated at = OrdinaryKriging(meuse(shared), meuse_model()).predict(wanted);
  const std::vector<double> value = reference.numbers("ok_pred");
  const std::vector<double> variance = reference.numbers("ok_var");
  ASSERT_EQ(value.size(), 101U);
  for (std::size_t i = 0; i < x.size(); ++i) {
    EXPECT_NEAR(at.value[i], value[i], 1e-9) << i;
    EXPECT_NEAR(at.variance[i], variance[i], 1e-9) << i;
  }
}

TEST(OrdinaryKriging, AgreesWithGstatOnTheMeuseDataWithAnEllipticRange) {
  SWEEPFLUX_NEED_SHARED(shared);
  KrigingModel model = meuse_model();
  // Longest range 1200 along 45 degrees clockwise from north, 0.4 of it across.
  model.covariance.range_m = 1200.0;
  model.covariance.ratio = 0.4;
  model.covariance.angle_rad = 0.25 * std::numbers::pi;
  // x, y, estimate, variance by gstat 2.1-0: vgm(0.59, "Sph", 1200, 0.05, anis = c(45, 0.4)).
  const double expected[][4] = {{181180, 333740, 6.656641435429, 0.287713356890},
                                {180340, 332340, 6.732731370698, 0.140210099290},
                                {179700, 331620, 5.110865185547, 0.240169670234},
                                {180220, 330940, 4.984021018655, 0.154874952076},
                                {179780, 330380, 5.352679148338, 0.302663873589},
                                {179140, 329620, 6.471257622346, 0.250173519236}};
  const OrdinaryKriging kriging(meuse(shared), model);
  for (const auto& row : expected) {
    const PlanePoint p{row[0], row[1]};
    const Interpolated at = kriging.predict(std::span(&p, 1));
    EXPECT_NEAR(at.value[0], row[2], 1e-9);
    EXPECT_NEAR(at.variance[0], row[3], 1e-9);
  }
}

TEST(OrdinaryKriging, LeavesOneOutOfTheMeuseDataAsGstatDoes) {
  SWEEPFLUX_NEED_SHARED(shared);
  const ScatteredValues values = meuse(shared);
  const auto left_out = OrdinaryKriging(values, meuse_model()).leave_one_out();
  double mean = 0.0;
  double square = 0.0;
  double score = 0.0;
  double score_square = 0.0;
  const double n = static_cast<double>(values.at.size());
  for (std::size_t i = 0; i < values.at.size(); ++i) {
    const double error = values.value[i] - left_out[i].value;
    const double z = error / std::sqrt(left_out[i].variance);
    mean += error / n;
    square += error * error / n;
    score += z / n;
    score_square += z * z;
  }
  EXPECT_NEAR(mean, -1.256e-5, 5e-9);
  EXPECT_NEAR(std::sqrt(square), 0.391749474, 1e-9);
  EXPECT_NEAR(std::sqrt((score_square - n * score * score) / (n - 1.0)), 0.910003, 5e-7);
}

TEST(OrdinaryKriging, PredictsALeftOutReadingAsKrigingWithoutItDoes) {
  const ScatteredValues all = textbook_sample();
  const KrigingModel model = structure_model(Kernel::matern32, 8, 15, 1);
  const auto left_out = OrdinaryKriging(all, model).leave_one_out();
  for (std::size_t i = 0; i < all.at.size(); ++i) {
    ScatteredValues others = all;
    others.at.erase(others.at.begin() + static_cast<std::ptrdiff_t>(i));
    others.value.erase(others.value.begin() + static_cast<std::ptrdiff_t>(i));
    const Interpolated at = OrdinaryKriging(others, model).predict(std::span(&all.at[i], 1));
    EXPECT_NEAR(left_out[i].value, at.value[0], 1e-9);
    EXPECT_NEAR(left_out[i].variance, at.variance[0], 1e-10);
  }
}

TEST(OrdinaryKriging, SaysThatTwoReadingsShareAPlace) {
  ScatteredValues twice = textbook_sample();
  twice.at[3] = twice.at[0];
  EXPECT_THROW(OrdinaryKriging(twice, structure_model(Kernel::exponential, 10, 10, 0)), InputError);
}

TEST(OrdinaryKriging, SaysWhenTheMatrixIsSingular) {
  ScatteredValues close = textbook_sample();
  for (std::size_t i = 0; i < close.at.size(); ++i) {
    close.at[i] = {1e-6 * static_cast<double>(i), 0.0};
  }
  EXPECT_THROW(OrdinaryKriging(close, structure_model(Kernel::gaussian, 10, 10, 0)),
               NumericalError);
}

TEST(OrdinaryKriging, RefusesAModelOutOfRangeAndNamesTheField) {
  KrigingModel model = structure_model(Kernel::gaussian, 10, 10, 0);
  model.covariance.range_m = -1.0;
  try {
    const OrdinaryKriging refused(textbook_sample(), model);
    FAIL() << "a negative range was taken";
  } catch (const InputError& e) {
    EXPECT_NE(std::string(e.what()).find("range"), std::string::npos) << e.what();
  }
}

TEST(OrdinaryKriging, RefusesAMatrixThatDoesNotFit) {
  ScatteredValues many;
  for (int i = 0; i < 9000; ++i) {
    many.at.push_back({0.001 * i, 0.0});
    many.value.push_back(0.0);
  }
  EXPECT_THROW(OrdinaryKriging(many, KrigingModel{}), NumericalError);
}

/// A stream with a known field, sampled in rows.
ScatteredValues rows() {
  ScatteredValues v;
  for (int k = 0; k < 5; ++k) {
    for (int i = 0; i < 15; ++i) {
      const PlanePoint p{-0.7 + 0.1 * i, 0.4 + 0.25 * k};
      v.at.push_back(p);
      v.value.push_back(3.0 * std::exp2(-(p.y_m * p.y_m + (p.z_m - 0.9) * (p.z_m - 0.9)) / 0.06));
    }
  }
  v.noise_sd.assign(v.at.size(), 0.05);
  return v;
}

TEST(OrdinaryKriging, IntegratesAsTheSumOverItsJointDrawsWould) {
  // Brute force: the posterior covariance of the nodes from predictions of sums.
  KrigingModel model;
  model.covariance = {Kernel::matern52, 1.0, 0.4, 0.9, 0.3};
  const OrdinaryKriging kriging(rows(), model);
  std::vector<PlanePoint> nodes;
  std::vector<double> weights;
  for (int i = 0; i < 12; ++i) {
    nodes.push_back({-0.6 + 0.11 * i, 0.5 + 0.07 * i});
    weights.push_back(0.01 + 0.002 * i);
  }
  const FieldIntegrals all = kriging.integrate(nodes, weights);
  // Variance of a sum by splitting: var(a + b) = var a + var b + 2 cov, checked on pairs.
  const Interpolated at = kriging.predict(nodes);
  double flow = 0.0;
  double square = 0.0;
  double flow_variance = 0.0;
  double square_variance = 0.0;
  double both = 0.0;
  const auto pair_variance = [&](std::size_t i, std::size_t j) {
    const std::vector<PlanePoint> two{nodes[i], nodes[j]};
    const std::vector<double> ones{1.0, 1.0};
    return kriging.integrate(two, ones).flow_variance;
  };
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    flow += weights[i] * at.value[i];
    square += weights[i] * (at.value[i] * at.value[i] + at.variance[i]);
    for (std::size_t j = 0; j < nodes.size(); ++j) {
      const double covariance =
          i == j ? at.variance[i] : 0.5 * (pair_variance(i, j) - at.variance[i] - at.variance[j]);
      flow_variance += weights[i] * weights[j] * covariance;
      square_variance += 4.0 * weights[i] * weights[j] * at.value[i] * at.value[j] * covariance;
      both += 2.0 * weights[i] * weights[j] * at.value[j] * covariance;
    }
  }
  EXPECT_NEAR(all.flow, flow, 1e-12);
  EXPECT_NEAR(all.square, square, 1e-12);
  EXPECT_NEAR(all.flow_variance, flow_variance, 1e-9 * flow_variance + 1e-14);
  EXPECT_NEAR(all.square_variance, square_variance, 1e-9 * square_variance + 1e-13);
  EXPECT_NEAR(all.covariance, both, 1e-13);
}

TEST(OrdinaryKriging, AddsUpOverAnyCutOfThePlane) {
  KrigingModel model;
  model.covariance = {Kernel::matern52, 1.0, 0.4, 0.9, 0.3};
  const OrdinaryKriging kriging(rows(), model);
  std::vector<PlanePoint> nodes;
  for (int i = 0; i < 400; ++i) {
    const int row = i / 20;
    nodes.push_back({-0.7 + 0.07 * (i % 20), 0.4 + 0.05 * row});
  }
  const std::vector<double> weights(nodes.size(), 0.0035);
  const FieldIntegrals whole = kriging.integrate(nodes, weights);
  const std::size_t cut = 137;
  const FieldIntegrals first =
      kriging.integrate(std::span(nodes).first(cut), std::span(weights).first(cut));
  const FieldIntegrals second =
      kriging.integrate(std::span(nodes).subspan(cut), std::span(weights).subspan(cut));
  EXPECT_NEAR(first.flow + second.flow, whole.flow, 1e-12);
  EXPECT_NEAR(first.square + second.square, whole.square, 1e-12);
}

TEST(OrdinaryKriging, GivesTheSameBitsWithOneThreadAndWithTwo) {
  KrigingModel model;
  model.covariance = {Kernel::matern52, 1.0, 0.4, 0.9, 0.3};
  const std::vector<PlanePoint> wanted{{0.03, 0.77}, {-0.4, 1.1}, {0.5, 0.45}};
  const Interpolated one = OrdinaryKriging(rows(), model, 1).predict(wanted);
  const Interpolated two = OrdinaryKriging(rows(), model, 2).predict(wanted);
  EXPECT_EQ(one.value, two.value);
  EXPECT_EQ(one.variance, two.variance);
}

}  // namespace
}  // namespace sweepflux
