#include "sweepflux/base/statistics.hpp"

#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace sweepflux {
namespace {

// Data and certified values: NIST Statistical Reference Datasets, Univariate Summary Statistics
// (Information Technology Laboratory, National Institute of Standards and Technology; a work of
// the U.S. government). The values below reproduce all certified digits, so they are whole.

/// "Lew": deflections of a steel-concrete beam under periodic load, n = 200.
const std::vector<double> lew = {
    -213, -564, -35,  -15,  141,  115,  -420, -360, 203,  -338, -431, 194,  -220, -513, 154,  -125,
    -559, 92,   -21,  -579, -52,  99,   -543, -175, 162,  -457, -346, 204,  -300, -474, 164,  -107,
    -572, -8,   83,   -541, -224, 180,  -420, -374, 201,  -236, -531, 83,   27,   -564, -112, 131,
    -507, -254, 199,  -311, -495, 143,  -46,  -579, -90,  136,  -472, -338, 202,  -287, -477, 169,
    -124, -568, 17,   48,   -568, -135, 162,  -430, -422, 172,  -74,  -577, -13,  92,   -534, -243,
    194,  -355, -465, 156,  -81,  -578, -64,  139,  -449, -384, 193,  -198, -538, 110,  -44,  -577,
    -6,   66,   -552, -164, 161,  -460, -344, 205,  -281, -504, 134,  -28,  -576, -118, 156,  -437,
    -381, 200,  -220, -540, 83,   11,   -568, -160, 172,  -414, -408, 188,  -125, -572, -32,  139,
    -492, -321, 205,  -262, -504, 142,  -83,  -574, 0,    48,   -571, -106, 137,  -501, -266, 190,
    -391, -406, 194,  -186, -553, 83,   -13,  -577, -49,  103,  -515, -280, 201,  300,  -506, 131,
    -45,  -578, -80,  138,  -462, -361, 201,  -211, -554, 32,   74,   -533, -235, 187,  -372, -442,
    182,  -147, -566, 25,   68,   -535, -244, 194,  -351, -463, 174,  -125, -570, 15,   72,   -550,
    -190, 172,  -424, -385, 198,  -218, -536, 96};

/// "Lottery": drawn three-digit numbers, n = 218.
const std::vector<double> lottery = {
    162, 671, 933, 414, 788, 730, 817, 33,  536, 875, 670, 236, 473, 167, 877, 980, 316, 950, 456,
    92,  517, 557, 956, 954, 104, 178, 794, 278, 147, 773, 437, 435, 502, 610, 582, 780, 689, 562,
    964, 791, 28,  97,  848, 281, 858, 538, 660, 972, 671, 613, 867, 448, 738, 966, 139, 636, 847,
    659, 754, 243, 122, 455, 195, 968, 793, 59,  730, 361, 574, 522, 97,  762, 431, 158, 429, 414,
    22,  629, 788, 999, 187, 215, 810, 782, 47,  34,  108, 986, 25,  644, 829, 630, 315, 567, 919,
    331, 207, 412, 242, 607, 668, 944, 749, 168, 864, 442, 533, 805, 372, 63,  458, 777, 416, 340,
    436, 140, 919, 350, 510, 572, 905, 900, 85,  389, 473, 758, 444, 169, 625, 692, 140, 897, 672,
    288, 312, 860, 724, 226, 884, 508, 976, 741, 476, 417, 831, 15,  318, 432, 241, 114, 799, 955,
    833, 358, 935, 146, 630, 830, 440, 642, 356, 373, 271, 715, 367, 393, 190, 669, 8,   861, 108,
    795, 269, 590, 326, 866, 64,  523, 862, 840, 219, 382, 998, 4,   628, 305, 747, 247, 34,  747,
    729, 645, 856, 974, 24,  568, 24,  694, 608, 480, 410, 729, 947, 293, 53,  930, 223, 203, 677,
    227, 62,  455, 387, 318, 562, 242, 428, 968};

/// "NumAcc4": one 10000000.2, then 500 pairs of 10000000.1 and 10000000.3.
std::vector<double> numacc4() {
  std::vector<double> values = {10000000.2};
  for (int i = 0; i < 500; ++i) {
    values.push_back(10000000.1);
    values.push_back(10000000.3);
  }
  return values;
}

TEST(Statistics, AgreesWithTheCertifiedValuesOfLew) {
  ASSERT_EQ(lew.size(), 200U);
  EXPECT_NEAR(mean(lew), -177.435, 1e-12);
  EXPECT_NEAR(standard_deviation(lew), 277.332168044316, 1e-11);
}

TEST(Statistics, AgreesWithTheCertifiedValuesOfLottery) {
  ASSERT_EQ(lottery.size(), 218U);
  EXPECT_NEAR(mean(lottery), 518.958715596330, 1e-12);
  EXPECT_NEAR(standard_deviation(lottery), 291.699727470969, 1e-11);
}

TEST(Statistics, AgreesWithTheCertifiedValuesOfNumAcc4) {
  // The decimals are not binary fractions: at 1e7 they are off by up to 9e-10, which bounds what
  // any program can reach.
  const auto values = numacc4();
  EXPECT_NEAR(mean(values), 10000000.2, 1e-8);
  EXPECT_NEAR(standard_deviation(values), 0.1, 1e-9);
}

TEST(Statistics, RunningMomentsAgreeWithTheCertifiedValuesHoweverTheyAreMerged) {
  for (const std::size_t cut : {0U, 1U, 77U, 200U}) {
    RunningMoments first;
    RunningMoments second;
    for (std::size_t i = 0; i < lew.size(); ++i) {
      (i < cut ? first : second).add(lew[i]);
    }
    first.merge(second);
    EXPECT_EQ(first.count(), lew.size());
    EXPECT_NEAR(first.mean(), -177.435, 1e-11);
    EXPECT_NEAR(first.standard_deviation(), 277.332168044316, 1e-10);
  }
  RunningMoments hard;
  for (const double value : numacc4()) {
    hard.add(value);
  }
  EXPECT_NEAR(hard.mean(), 10000000.2, 2e-8);
  EXPECT_NEAR(hard.standard_deviation(), 0.1, 1e-8);
}

TEST(Statistics, CompensatedSumKeepsWhatAPlainSumLoses) {
  CompensatedSum sum;
  for (const double term : {1.0, 1e100, 1.0, -1e100}) {
    sum.add(term);
  }
  EXPECT_EQ(sum.value(), 2.0);
}

TEST(Statistics, RobustScaleIsTheStandardDeviationOfNormalValuesAndIgnoresOutliers) {
  std::mt19937_64 random(1);
  std::normal_distribution<double> normal(10.0, 2.0);
  std::vector<double> values(20000);
  std::generate(values.begin(), values.end(), [&] { return normal(random); });
  EXPECT_NEAR(robust_scale(values), 2.0, 0.05);
  for (std::size_t i = 0; i < values.size(); i += 20) {
    values[i] = 1e6;
  }
  EXPECT_NEAR(robust_scale(values), 2.0, 0.2);
  EXPECT_EQ(median(std::vector<double>{4.0, 1.0, 3.0, 2.0}), 2.5);
  EXPECT_EQ(median(std::vector<double>{4.0, 1.0, 3.0}), 3.0);
}

TEST(Statistics, RefusesWhatHasNoAnswer) {
  const std::vector<double> none;
  const std::vector<double> one = {1.0};
  EXPECT_THROW((void)mean(none), InputError);
  EXPECT_THROW((void)median(none), InputError);
  EXPECT_THROW((void)standard_deviation(one), InputError);
}

}  // namespace
}  // namespace sweepflux
