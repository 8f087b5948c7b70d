// What the fuzzers once found, and the seeds they start from, go through the readers again. A new
// case needs a new file in tests/fuzz/found/READER and no code here.
#include "tests/fuzz/readers.hpp"
#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

namespace sweepflux {
namespace {

class Readers : public testing::TestWithParam<std::string> {};

TEST_P(Readers, keep_their_promises_for_all_that_was_found) {
  for (const char* kind : {"found", "seeds"}) {
    const auto folder = test::source_folder() / "tests/fuzz" / kind / GetParam();
    if (!std::filesystem::exists(folder)) {
      continue;
    }
    for (const auto& [name, bytes] : test::files_below(folder)) {
      EXPECT_NO_THROW(test::try_reader(GetParam(), bytes)) << kind << "/" << name;
    }
  }
}

TEST_P(Readers, keep_their_promises_for_files_cut_anywhere) {
  const auto folder = test::source_folder() / "tests/fuzz/seeds" / GetParam();
  if (!std::filesystem::exists(folder)) {
    GTEST_SKIP() << "skipped: the seeds of this reader stand in tests/broken and scans";
  }
  for (const auto& [name, bytes] : test::files_below(folder)) {
    for (std::size_t length = 0; length < bytes.size(); ++length) {
      EXPECT_NO_THROW(test::try_reader(GetParam(), bytes.substr(0, length)))
          << name << " cut behind byte " << length;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Fuzzed,
                         Readers,
                         testing::ValuesIn(test::reader_names()),
                         [](const auto& each) { return each.param; });

TEST(Readers, an_unknown_one_is_reported) {
  EXPECT_THROW(test::try_reader("nobody", ""), std::logic_error);
}

}  // namespace
}  // namespace sweepflux
