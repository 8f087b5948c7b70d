#include "tests/support/shared_folder.hpp"

#include <cstdlib>
#include <random>
#include <string>
#include <vector>

namespace sweepflux::test {
namespace {

/// Removes what the tests made.
struct Rubbish {
  std::vector<std::filesystem::path> folders;
  ~Rubbish() {
    for (const auto& folder : folders) {
      std::error_code ignored;
      std::filesystem::remove_all(folder, ignored);
    }
  }
};

}  // namespace

std::filesystem::path source_folder() { return SWEEPFLUX_SOURCE_DIR; }

std::optional<std::filesystem::path> shared_folder() {
  const std::filesystem::path beside = source_folder().parent_path() / "shared";
  if (std::filesystem::is_directory(beside / "outside")) {
    return beside;
  }
  return std::nullopt;
}

std::filesystem::path scratch_folder() {
  static Rubbish rubbish;
  std::random_device seed;  // only a name: no result depends on it
  std::filesystem::path folder =
      std::filesystem::temp_directory_path() / ("sweepflux-test-" + std::to_string(seed()));
  std::filesystem::create_directories(folder);
  rubbish.folders.push_back(folder);
  return folder;
}

}  // namespace sweepflux::test
