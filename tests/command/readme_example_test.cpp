#include "sweepflux/record/comparison.hpp"
#include "tests/support/made_result.hpp"
#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <string>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

TEST(readme_example, the_python_lines_open_a_comparison) {
  if (std::system("command -v python3 >/dev/null 2>&1") != 0) {
    GTEST_SKIP() << "skipped: no python3 here";
  }
  const std::string readme = test::file_content(test::source_folder() / "README.md");
  const std::size_t start = readme.find("```python\n");
  ASSERT_NE(start, std::string::npos);
  const std::size_t end = readme.find("```", start + 10);
  ASSERT_NE(end, std::string::npos);

  const fs::path folder = test::scratch_folder();
  std::ofstream(folder / "example.py") << readme.substr(start + 10, end - start - 10);
  const Comparison comparison = compare({summarise(test::made_result())});
  std::ofstream(folder / "comparison.csv") << comparison_csv(comparison);
  std::ofstream(folder / "comparison.json") << comparison_json(comparison);
  const std::string command = "python3 '" + (folder / "example.py").string() + "' '" +
                              folder.string() + "' > '" + (folder / "said.txt").string() + "'";
  ASSERT_EQ(std::system(command.c_str()), 0);
  const std::string said = test::file_content(folder / "said.txt");
  EXPECT_NE(said.find("heron 3 0.95 +- 0.01 N"), std::string::npos) << said;
  EXPECT_NE(said.find("thrust is led by heron at 3"), std::string::npos) << said;
}

}  // namespace
}  // namespace sweepflux
