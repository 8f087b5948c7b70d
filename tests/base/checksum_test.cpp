#include "sweepflux/base/checksum.hpp"

#include <gtest/gtest.h>

namespace sweepflux {
namespace {

// Values of the algorithm's own test vectors, from memory.
TEST(Checksum, IsFnv1aOf64Bits) {
  EXPECT_EQ(checksum(""), 0xcbf29ce484222325U);
  EXPECT_EQ(checksum("a"), 0xaf63dc4c8601ec8cU);
  EXPECT_EQ(checksum("foobar"), 0x85944171f73967e8U);
  EXPECT_EQ(checksum("bar", checksum("foo")), checksum("foobar"));
}

}  // namespace
}  // namespace sweepflux
