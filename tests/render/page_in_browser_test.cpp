#include "render/pages/campaign_page.hpp"
#include "render/pages/survey_page.hpp"
#include "tests/support/browser.hpp"
#include "tests/support/made_result.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#define SWEEPFLUX_NEED_BROWSER()             \
  if (!::sweepflux::test::browser_is_here()) \
  GTEST_SKIP() << "skipped: no chromium here"

namespace sweepflux::render {
namespace {

PagePicture picture(const char* name) {
  Canvas canvas;
  canvas.width = 640;
  canvas.height = 360;
  canvas.title = name;
  canvas.description = std::string("A made picture of ") + name;
  for (int i = 0; i < 6; ++i) {
    canvas.polyline({{20, 340.0 - 20 * i}, {620, 40.0 + 30 * i}}, {series(i), 2.0, {}}, "a line");
    Text words;
    words.at = {300, 60.0 + 20 * i};
    words.words = "Word " + std::to_string(i);
    words.paint = i % 2 == 0 ? ink() : muted();
    canvas.text(words);
  }
  PagePicture made{canvas, std::string(name) + ": a made picture."};
  made.slim = canvas;
  made.slim->width = phone_width;
  return made;
}

std::string made_survey_page() {
  SurveyPictures pictures;
  pictures.planes = {picture("plane one"), picture("plane two")};
  pictures.uncertainty = {picture("uncertainty")};
  pictures.profiles = picture("profiles");
  pictures.along = picture("along");
  pictures.side = picture("side");
  pictures.top = picture("top");
  pictures.budget = {picture("budget")};
  PageOptions options;
  options.command =
      "sweepflux map heron-3/survey.toml --out heron-3-map --method default --grid \"10 mm\"";
  options.files = {"summary.json: everything", "planes.csv: a row a plane"};
  return survey_page(test::made_result(), pictures, options);
}

std::string made_campaign_page() {
  std::vector<FanAtSetting> entries{summarise(test::made_result())};
  for (const auto& [fan, setting, thrust, power] :
       {std::tuple{"heron", "6", 1.4, 60.0},
        {"teal", "3", 0.4, 18.0},
        {"teal", "6", 0.93, 37.0},
        {"teal", "a_setting_with_a_very_long_name_that_will_not_break", 1.41, 59.0}}) {
    FanAtSetting e;
    e.fan = fan;
    e.setting = setting;
    e.source = "balance.toml";
    e.thrust_n = Estimate{thrust, 0.01, thrust - 0.02, thrust + 0.02};
    e.power_w = Measured{power, 0.5};
    e.density_kg_m3 = Measured{1.2, 0.002};
    e.outlet = Outlet{};
    e.outlet->diameter_m = 0.35;
    entries.push_back(e);
  }
  CampaignPictures pictures;
  pictures.thrust = picture("thrust");
  pictures.profiles = {picture("overlay")};
  PageOptions options;
  options.command = "sweepflux compare campaign";
  return campaign_page("Which fan for the herb loft?", compare(entries), pictures, options);
}

/// What the page promises, in one browser window.
void expect_fit_for_readers(const std::string& html, int width_px, test::BrowserTheme theme) {
  const auto report = test::open_in_browser(html, width_px, theme);
  ASSERT_TRUE(report) << "the browser gave no answer";
  EXPECT_EQ(report->console, std::vector<std::string>{});
  EXPECT_EQ(report->requests, 0);
  EXPECT_EQ(report->window_width_px, width_px);
  EXPECT_LE(report->page_width_px, width_px) << "the page overflows sideways";
  EXPECT_EQ(report->dark_wished, theme == test::BrowserTheme::dark);
  EXPECT_GT(report->texts, 100);
  EXPECT_GE(report->least_contrast, 4.5) << report->least_contrast_text;  // WCAG 2.1, 1.4.3
  EXPECT_GT(report->pictures, 0);
  EXPECT_EQ(report->pictures_without_words, 0);
}

TEST(page_in_browser, survey_page_reads_well_on_a_phone_in_light) {
  SWEEPFLUX_NEED_BROWSER();
  expect_fit_for_readers(made_survey_page(), 360, test::BrowserTheme::light);
}

TEST(page_in_browser, survey_page_reads_well_on_a_desk_in_dark) {
  SWEEPFLUX_NEED_BROWSER();
  expect_fit_for_readers(made_survey_page(), 1200, test::BrowserTheme::dark);
}

TEST(page_in_browser, campaign_page_reads_well_on_a_phone_in_dark) {
  SWEEPFLUX_NEED_BROWSER();
  expect_fit_for_readers(made_campaign_page(), 360, test::BrowserTheme::dark);
}

TEST(page_in_browser, campaign_page_reads_well_on_a_desk_in_light) {
  SWEEPFLUX_NEED_BROWSER();
  expect_fit_for_readers(made_campaign_page(), 1200, test::BrowserTheme::light);
}

TEST(page_in_browser, a_page_with_every_fault_is_found_out) {
  SWEEPFLUX_NEED_BROWSER();
  std::string html = made_survey_page();
  const auto put = [&html](const std::string& before, const std::string& text) {
    html.insert(html.find(before), text);
  };
  put("</body>",
      "<div style=\"width:900px\">wide</div><p style=\"color:#999;background:#fff\">faint</p>"
      "<img src=\"data:,\"/><img src=\"http://127.0.0.1:9/x.png\"/>");
  const auto report = test::open_in_browser(html, 360, test::BrowserTheme::light);
  ASSERT_TRUE(report);
  EXPECT_FALSE(report->console.empty());  // the page's own policy refuses the request
  EXPECT_GE(report->page_width_px, 900);
  EXPECT_LT(report->least_contrast, 4.5);
  EXPECT_EQ(report->least_contrast_text, "faint");
  EXPECT_EQ(report->pictures_without_words, 2);
}

TEST(page_in_browser, pages_can_be_printed) {
  SWEEPFLUX_NEED_BROWSER();
  EXPECT_GT(test::printed_size(made_campaign_page()), 10000u);
}

TEST(page_in_browser, pages_are_well_formed_to_an_independent_parser) {
  if (std::system("command -v xmllint >/dev/null 2>&1") != 0) {
    GTEST_SKIP() << "skipped: no xmllint (libxml2-utils) here";
  }
  const std::filesystem::path folder = test::scratch_folder();
  for (const auto& [name, html] :
       {std::pair{"survey", made_survey_page()}, {"campaign", made_campaign_page()}}) {
    const std::filesystem::path file = folder / (std::string(name) + ".html");
    std::ofstream(file, std::ios::binary) << html;
    EXPECT_EQ(std::system(("xmllint --noout --nonet '" + file.string() + "'").c_str()), 0) << name;
  }
}

}  // namespace
}  // namespace sweepflux::render
