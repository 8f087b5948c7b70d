// Every *.toml of tests/broken is a survey with one fault. Its lines `# expected: ...` are all that
// must be said of it, word for word. New faults need a new file there and no code here.
#include "sweepflux/capture/survey/read_survey.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

std::filesystem::path broken_folder() { return test::source_folder() / "tests" / "broken"; }

std::vector<std::string> broken_surveys() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(broken_folder())) {
    if (entry.path().extension() == ".toml") {
      names.push_back(entry.path().stem().string());
    }
  }
  std::sort(names.begin(), names.end());
  return names;
}

std::vector<std::string> expected_messages(const std::filesystem::path& survey) {
  const std::string mark = "# expected: ";
  std::vector<std::string> messages;
  std::ifstream file(survey);
  for (std::string line; std::getline(file, line);) {
    if (line.compare(0, mark.size(), mark) == 0) {
      messages.push_back(line.substr(mark.size()));
    }
  }
  return messages;
}

class BrokenSurveys : public testing::TestWithParam<std::string> {};

TEST_P(BrokenSurveys, are_refused_in_the_expected_words) {
  const std::filesystem::path survey = broken_folder() / (GetParam() + ".toml");
  std::vector<std::string> messages;
  try {
    (void)read_survey(survey);
  } catch (const SurveyError& error) {
    for (Finding finding : error.findings()) {
      finding.spot.file = finding.spot.file.lexically_relative(broken_folder());
      messages.push_back(finding.message());
    }
  }
  EXPECT_FALSE(messages.empty());
  EXPECT_EQ(messages, expected_messages(survey));
}

INSTANTIATE_TEST_SUITE_P(Broken,
                         BrokenSurveys,
                         testing::ValuesIn(broken_surveys()),
                         [](const testing::TestParamInfo<std::string>& one) {
                           std::string name = one.param;
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

}  // namespace
}  // namespace sweepflux
