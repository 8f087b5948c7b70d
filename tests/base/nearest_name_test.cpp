#include "sweepflux/base/nearest_name.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace sweepflux {
namespace {

TEST(NearestName, counts_slips) {
  EXPECT_EQ(spelling_distance("height", "height"), 0U);
  EXPECT_EQ(spelling_distance("heigth", "height"), 1U);  // swapped
  EXPECT_EQ(spelling_distance("hight", "height"), 1U);   // left out
  EXPECT_EQ(spelling_distance("Height", "height"), 0U);
  EXPECT_EQ(spelling_distance("", "abc"), 3U);
  // Swapped letters with one between them are two slips more, not one: the known value for
  // optimal string alignment.
  EXPECT_EQ(spelling_distance("ca", "abc"), 3U);
}

TEST(NearestName, names_what_was_probably_meant) {
  const std::vector<std::string> names = {"distance", "height", "file", "columns"};
  EXPECT_EQ(nearest_name("distnace", names), "distance");
  EXPECT_EQ(nearest_name("hieght", names), "height");
  EXPECT_EQ(nearest_name("fil", names), "file");
  EXPECT_FALSE(nearest_name("temperature", names));
  EXPECT_FALSE(nearest_name("", names));
  EXPECT_FALSE(nearest_name(std::string(100000, 'x'), names));
  EXPECT_EQ(did_you_mean("colums", names), ", did you mean `columns`?");
  EXPECT_EQ(did_you_mean("zzz", names), "");
  // A name may come from the user's own file, control characters and all.
  const std::vector<std::string> odd{std::string("\0heron", 6)};
  EXPECT_EQ(did_you_mean("heron", odd), ", did you mean `\\x00heron`?");
}

TEST(NearestName, lists_names_up_to_a_bound) {
  const std::vector<std::string> names = {"a", "b", "c"};
  EXPECT_EQ(listed(names), "`a`, `b`, `c`");
  EXPECT_EQ(listed(names, 2), "`a`, `b` and 1 more");
  EXPECT_EQ(listed({}), "nothing");
}

}  // namespace
}  // namespace sweepflux
