#include "render/pages/page.hpp"

#include "render/pages/html_text.hpp"
#include "render/pages/survey_page.hpp"
#include "sweepflux/base/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux::render {
namespace {

PagePicture picture() {
  Canvas canvas;
  canvas.width = 640;
  canvas.height = 320;
  canvas.title = "A line";
  canvas.description = "A line that rises";
  canvas.polyline({{20, 300}, {620, 20}}, {series(0), 2.0, {}}, "3.2 m/s");
  return {canvas, "A line."};
}

std::size_t count(const std::string& text, const std::string& word) {
  std::size_t n = 0;
  for (std::size_t at = text.find(word); at != std::string::npos;
       at = text.find(word, at + word.size())) {
    ++n;
  }
  return n;
}

TEST(html_text, special_characters_become_entities) {
  EXPECT_EQ(escape_html("a<b & \"c\" 'd'>"), "a&lt;b &amp; &quot;c&quot; &#39;d&#39;&gt;");
}

TEST(html_text, bytes_that_are_no_text_are_replaced_and_text_of_any_script_is_kept) {
  const std::string bad = "\xEF\xBF\xBD";
  EXPECT_EQ(escape_html("21 \xB0"
                        "C"),
            "21 " + bad + "C");  // Latin-1
  EXPECT_EQ(escape_html(std::string("a\0b", 3)), "a" + bad + "b");
  EXPECT_EQ(escape_html("\x1B[31m"), bad + "[31m");
  EXPECT_EQ(escape_html("\xC0\xAF"), bad + bad);            // overlong
  EXPECT_EQ(escape_html("\xED\xA0\x80"), bad + bad + bad);  // surrogate
  EXPECT_EQ(escape_html("\xC2\xB5 \xE6\x89\x87 \xF0\x9F\x8C\xBF"),
            "\xC2\xB5 \xE6\x89\x87 \xF0\x9F\x8C\xBF");
  EXPECT_EQ(escape_html("\xE6\x89"), bad + bad);  // cut short
}

TEST(html_text, plain_typing_becomes_print_and_paths_stay) {
  EXPECT_EQ(pretty("0.61 +- 0.03 m3/s."), "0.61 \xC2\xB1 0.03 m\xC2\xB3/s.");
  EXPECT_EQ(pretty("+- 1 (+- 2 N)"), "\xC2\xB1 1 (\xC2\xB1 2 N)");
  EXPECT_EQ(pretty("1.2 kg/m3"), "1.2 kg/m\xC2\xB3");
  EXPECT_EQ(pretty("10 m2 of room"), "10 m\xC2\xB2 of room");
  EXPECT_EQ(pretty("in sweeps/m3/s.csv, m3.csv"), "in sweeps/m3/s.csv, m3.csv");
  EXPECT_EQ(pretty("see m2_copy"), "see m2_copy");
}

TEST(html_text, minus_signs_are_real_ones_and_hyphens_stay) {
  EXPECT_EQ(pretty("-0.2 to 3 (-4) m"), "\u22120.2 to 3 (\u22124) m");
  EXPECT_EQ(pretty("sweep 1.0m-0.56m.csv, leave-one-out"), "sweep 1.0m-0.56m.csv, leave-one-out");
}

TEST(page, a_column_of_numbers_has_one_number_of_decimals) {
  PageTable table;
  table.add_words({"Fan"});
  table.add_measured("Thrust", "N", true);
  table.add_number("Shift", "%", 2);
  table.add_row("heron", Estimate{0.6134, 0.031, 0.55, 0.67}, -12.0);
  table.add_row("teal", Estimate{12.0, 0.4, 11.2, 12.8}, 3.14);
  table.add_row("wren", std::optional<Estimate>(), std::nan(""));
  Page page("A page");
  page.table(table);
  const std::string html = page.html();
  const auto row = [&](std::initializer_list<const char*> cells) {
    std::string text;
    for (const char* cell : cells) {
      text += "<td class=\"number\">" + std::string(cell) + "</td>";
    }
    return text;
  };
  EXPECT_NE(html.find(row({"0.61", "0.03", "0.55", "0.67", "\u221212"})), std::string::npos)
      << html;
  EXPECT_NE(html.find(row({"12.00", "0.40", "11.20", "12.80", "3"})), std::string::npos);
  EXPECT_NE(html.find(row({"-", "-", "-", "-", "-"})), std::string::npos);
}

TEST(page, numbers_of_a_plane_may_be_missing_and_the_window_has_its_own) {
  PlaneResult whole;
  whole.distance_m = 1.0;
  whole.volume_flow_m3_s = Estimate{0.6, 0.03, 0.54, 0.66};
  whole.momentum_flux_n = Estimate{0.9, 0.03, 0.84, 0.96};
  PlaneResult window = whole;
  window.distance_m = 2.0;
  window.volume_flow_m3_s.value = std::nan("");
  window.momentum_flux_n.value = std::nan("");
  window.inside_flow_m3_s = Estimate{0.41, 0.02, 0.37, 0.45};
  window.withheld = "one height only.";
  const auto shown = [](std::vector<PlaneResult> planes) {
    Page page("A page");
    add_plane_numbers(page, planes);
    return page.html();
  };
  const std::string both = shown({whole, window});
  EXPECT_EQ(count(both, "Inside the window"), 1u);  // of the flow alone
  EXPECT_NE(both.find("0.410"), std::string::npos);
  EXPECT_NE(both.find("at 2 m: one height only."), std::string::npos);
  EXPECT_NE(both.find("<td class=\"number\">-</td>"), std::string::npos);
  const std::string alone = shown({whole});
  EXPECT_EQ(alone.find("Inside the window"), std::string::npos);
  EXPECT_EQ(alone.find("No numbers"), std::string::npos);
}

TEST(page, a_slim_form_takes_the_place_of_a_wide_one_on_phones_and_paper) {
  Page page("A page");
  PagePicture both = picture();
  both.slim = both.canvas;
  both.slim->width = 320;
  page.picture(both);
  const std::string html = page.html();
  EXPECT_EQ(count(html, "class=\"picture wide\" style=\"width:640px\""), 1u);
  EXPECT_EQ(count(html, "class=\"picture slim\" style=\"width:320px\""), 1u);
  EXPECT_EQ(count(html, "<figcaption>"), 1u);
}

TEST(page, texts_of_the_user_cannot_become_markup) {
  Page page("<script>alert(1)</script>");
  page.section("a & b");
  page.paragraph("\"><img src=x>");
  PageTable table;
  table.caption = "<b>";
  table.columns = {{"x<y", "m", true}};
  table.rows = {{"</table>"}};
  page.table(table);
  const std::string html = page.html();
  EXPECT_EQ(html.find("<script"), std::string::npos);
  EXPECT_EQ(html.find("<img"), std::string::npos);
  EXPECT_EQ(html.find("<b>"), std::string::npos);
  EXPECT_EQ(count(html, "</table>"), 1u);
}

TEST(page, nothing_points_outside_the_file) {
  Page page("A page");
  page.section("One");
  page.picture(picture());
  const std::string html = page.html();
  for (const char* way : {"src=", "@import", "<script", "url(http", "href=\"http"}) {
    EXPECT_EQ(html.find(way), std::string::npos) << way;
  }
  EXPECT_NE(html.find("default-src 'none'"), std::string::npos);
}

TEST(page, pictures_have_words_and_ids_of_their_own) {
  Page page("A page");
  page.section("One");
  const std::vector<PagePicture> two{picture(), picture()};
  page.pictures(two);
  const std::string html = page.html();
  EXPECT_EQ(count(html, "<figcaption>"), 2u);
  EXPECT_NE(html.find("A line that rises"), std::string::npos);
  std::size_t at = 0;
  std::vector<std::string> ids;
  while ((at = html.find(" id=\"", at)) != std::string::npos) {
    at += 5;
    ids.push_back(html.substr(at, html.find('"', at) - at));
  }
  for (std::size_t i = 0; i < ids.size(); ++i) {
    for (std::size_t j = i + 1; j < ids.size(); ++j) {
      EXPECT_NE(ids[i], ids[j]);
    }
  }
}

TEST(page, a_picture_without_words_is_refused) {
  Page page("A page");
  PagePicture mute = picture();
  mute.canvas.description.clear();
  EXPECT_THROW(page.picture(mute), InputError);
}

TEST(page, sections_of_one_name_get_anchors_of_their_own) {
  Page page("A page");
  for (int i = 0; i < 3; ++i) {
    page.section("Same");
    page.paragraph("x");
  }
  const std::string html = page.html();
  EXPECT_EQ(count(html, "id=\"same\""), 1u);
  EXPECT_EQ(count(html, "<section"), count(html, "</section>"));
  EXPECT_EQ(count(html, "href=\"#same"), 3u);
}

TEST(page, an_empty_table_or_list_takes_no_place) {
  Page page("A page");
  page.table({"nothing", {{"x", "", false}}, {}});
  page.list({});
  page.cautions("none", {});
  EXPECT_EQ(page.html().find("<table"), std::string::npos);
  EXPECT_EQ(page.html().find("<ul>"), std::string::npos);
  EXPECT_EQ(page.html().find("class=\"caution\""), std::string::npos);
}

TEST(page, line_numbers_are_gathered_into_ranges) {
  EXPECT_EQ(line_ranges({23, 17, 24, 25, 40, 41}), "17, 23 to 25, 40, 41");
  EXPECT_EQ(line_ranges({}), "");
  EXPECT_EQ(line_ranges({5, 5, 5}), "5");
}

}  // namespace
}  // namespace sweepflux::render
