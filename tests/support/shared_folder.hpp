#pragma once

#include <filesystem>
#include <optional>

namespace sweepflux::test {

/// The folder of outside data that may lie beside the checkout, when it is there.
[[nodiscard]] std::optional<std::filesystem::path> shared_folder();

/// The top of the source tree.
[[nodiscard]] std::filesystem::path source_folder();

/// A fresh, empty folder for one test; removed at the end of the program.
[[nodiscard]] std::filesystem::path scratch_folder();

}  // namespace sweepflux::test

/// Ends the test with words when the outside data is not there.
// NOLINTBEGIN(bugprone-macro-parentheses): it names a variable
#define SWEEPFLUX_NEED_SHARED(folder)                             \
  const auto folder##_maybe = ::sweepflux::test::shared_folder(); \
  if (!folder##_maybe)                                            \
    GTEST_SKIP() << "skipped: outside data not here";             \
  const auto folder = std::filesystem::path(*folder##_maybe)
// NOLINTEND(bugprone-macro-parentheses)
