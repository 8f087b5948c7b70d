#include "tests/support/browser.hpp"
#include "tests/support/process.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <string>
#include <utility>
#include <vector>

// The pages as the commands write them, real pictures and all, in a real browser.

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

/// Runs a command on the demo data and gives back its page.
std::string page_of(std::vector<std::string> arguments) {
  const fs::path out = test::scratch_folder() / "out";
  arguments.insert(arguments.end(), {"--out", out.string(), "--quiet"});
  const auto ran = test::run_process(SWEEPFLUX_PROGRAM, arguments, {});
  EXPECT_EQ(ran.exit_code, 0) << ran.err;
  return test::file_content(out / "report.html");
}

void expect_fit_for_readers(const std::string& html, int least_pictures) {
  for (const auto& [width_px, theme] : {std::pair{360, test::BrowserTheme::light},
                                        {360, test::BrowserTheme::dark},
                                        {1200, test::BrowserTheme::light}}) {
    const auto report = test::open_in_browser(html, width_px, theme);
    ASSERT_TRUE(report) << "the browser gave no answer";
    EXPECT_EQ(report->console, std::vector<std::string>{});
    EXPECT_EQ(report->requests, 0);
    EXPECT_LE(report->page_width_px, width_px);
    EXPECT_GE(report->least_contrast, 4.5) << report->least_contrast_text;  // WCAG 2.1, 1.4.3
    EXPECT_GE(report->pictures, least_pictures);
    EXPECT_EQ(report->pictures_without_words, 0);
  }
}

TEST(pages, of_a_survey_read_well_on_phone_and_desk) {
  if (!test::browser_is_here()) {
    GTEST_SKIP() << "skipped: no chromium here";
  }
  const fs::path survey = test::source_folder() / "scans/heron-1/survey.toml";
  expect_fit_for_readers(page_of({"map", survey.string()}), 4);
}

TEST(pages, of_a_comparison_read_well_on_phone_and_desk) {
  if (!test::browser_is_here()) {
    GTEST_SKIP() << "skipped: no chromium here";
  }
  const fs::path scans = test::source_folder() / "scans";
  expect_fit_for_readers(page_of({"compare",
                                  (scans / "heron-1").string(),
                                  (scans / "teal-1").string(),
                                  (scans / "balance-day").string()}),
                         6);
}

}  // namespace
}  // namespace sweepflux
