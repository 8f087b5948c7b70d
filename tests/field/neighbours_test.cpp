#include "sweepflux/field/general/neighbours.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/dice.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

std::vector<PlanePoint> scattered(unsigned seed, std::size_t count) {
  test::Dice dice(seed);
  std::vector<PlanePoint> at;
  for (std::size_t i = 0; i < count; ++i) {
    const double y = dice.uniform(-1.0, 1.0);
    at.push_back({y, dice.uniform()});
  }
  return at;
}

TEST(Neighbours, OfATreeAreThoseOfBruteForce) {
  const std::vector<PlanePoint> at = scattered(1, 3000);
  const Neighbours tree(at);
  const Neighbours brute(at, Search::brute_force);
  for (const PlanePoint& p : scattered(2, 200)) {
    EXPECT_EQ(tree.nearest(p, 25), brute.nearest(p, 25));
  }
}

TEST(Neighbours, RankEquallyFarPlacesByIndex) {
  std::vector<PlanePoint> at;
  for (int k = 0; k < 40; ++k) {
    for (int i = 0; i < 40; ++i) {
      at.push_back({0.25 * i, 0.25 * k});  // exact in binary: truly equal
    }
  }
  const Neighbours tree(at);
  const Neighbours brute(at, Search::brute_force);
  for (int k = 0; k < 40; k += 3) {
    for (std::size_t count = 1; count < 30; ++count) {
      const PlanePoint p{0.125 + 0.25 * k, 5.0};
      EXPECT_EQ(tree.nearest(p, count), brute.nearest(p, count));
    }
  }
}

TEST(Neighbours, AreAllThereAreWhenMoreAreWanted) {
  const Neighbours tree(scattered(3, 5));
  EXPECT_EQ(tree.nearest({0, 0}, 9).size(), 5U);
  EXPECT_TRUE(Neighbours({}).nearest({0, 0}, 9).empty());
}

TEST(Neighbours, RefuseAPlaceThatIsNoNumber) {
  EXPECT_THROW(Neighbours({{std::nan(""), 0.0}}), InputError);
  EXPECT_THROW(
      (void)Neighbours(scattered(4, 5)).nearest({0.0, std::numeric_limits<double>::infinity()}, 2),
      InputError);
}

}  // namespace
}  // namespace sweepflux
