#include "render/pages/survey_page.hpp"

#include "render/pages/html_text.hpp"
#include "render/pages/page_parts.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/verdict.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace sweepflux::render {
namespace {

void key_figures(Page& page, const SurveyResult& result) {
  std::vector<Page::KeyFigure> figures;
  for (const PlaneResult& plane : result.planes) {
    if (figures.size() >= 6) {
      break;
    }
    const std::string where = " at " + metres_text(plane.distance_m);
    figures.push_back({"Flow" + where,
                       with_doubt(plane.volume_flow_m3_s, "m3/s"),
                       interval_words(plane.volume_flow_m3_s)});
    figures.push_back({"Push of the stream" + where,
                       with_doubt(plane.momentum_flux_n, "N"),
                       interval_words(plane.momentum_flux_n)});
  }
  if (result.thrust_n) {
    figures.push_back({"Thrust on the balance",
                       with_doubt(*result.thrust_n, "N"),
                       interval_words(*result.thrust_n)});
  }
  page.key_figures(figures);
}

void verdict(Page& page, const SurveyResult& result) {
  page.section("The verdict");
  page.verdict(pretty_all(survey_verdict(result)));
  std::vector<std::string> cautions = result.warnings;
  for (const PlaneResult& plane : result.planes) {
    for (const std::string& w : plane.warnings) {
      cautions.push_back("At " + metres_text(plane.distance_m) + ": " + w);
    }
  }
  page.cautions("Before you use these numbers", pretty_all(cautions));
  key_figures(page, result);
  page.note("Each \xC2\xB1 is one standard uncertainty (about two in three); intervals hold 95 %.");
}

void planes_table(Page& page, const SurveyResult& result) {
  PageTable table;
  table.caption = "What each plane carries";
  table.columns = {{"Distance", "m", true}};
  table.add_measured("Flow", "m\xC2\xB3/s");
  table.add_measured("Push", "N");
  table.add_measured("Power of the stream", "W");
  table.columns.push_back({"Flow beyond the readings", "%", true});
  table.columns.push_back({"Push beyond the readings", "%", true});
  PageTable shape;
  shape.caption = "The stream's shape";
  for (const auto& [name, unit] :
       std::initializer_list<std::pair<const char*, const char*>>{{"Distance", "m"},
                                                                  {"Peak speed", "m/s"},
                                                                  {"Centre to the right", "m"},
                                                                  {"Centre above the floor", "m"},
                                                                  {"Half width across", "m"},
                                                                  {"Half width upright", "m"},
                                                                  {"Sweeps", ""},
                                                                  {"Readings", ""}}) {
    shape.columns.push_back({name, unit, true});
  }
  for (const PlaneResult& p : result.planes) {
    std::vector<std::string> row{format_number(p.distance_m, 4)};
    add_estimate(row, p.volume_flow_m3_s);
    add_estimate(row, p.momentum_flux_n);
    add_estimate(row, p.kinetic_power_w);
    row.push_back(number_cell(100.0 * p.flow_beyond_readings, 2));
    row.push_back(number_cell(100.0 * p.momentum_beyond_readings, 2));
    table.rows.push_back(std::move(row));
    row = {format_number(p.distance_m, 4), number_cell(p.peak_speed_m_s)};
    for (const double value : {p.centre.y_m, p.centre.z_m, p.half_width_y_m, p.half_width_z_m}) {
      row.push_back(number_cell(value));
    }
    row.push_back(std::to_string(p.sweeps));
    row.push_back(std::to_string(p.readings));
    shape.rows.push_back(std::move(row));
  }
  page.table(table);
  page.table(shape);
}

void stream(Page& page, const SurveyResult& result, const SurveyPictures& pictures) {
  page.section("The stream");
  if (!pictures.planes.empty()) {
    page.paragraph(
        "Each plane as you would see it facing the fan: dots are readings, fading marks "
        "what no sweep supports.");
  }
  page.pictures(pictures.planes);
  planes_table(page, result);
  if (pictures.profiles) {
    page.picture(*pictures.profiles);
  }
  if (pictures.along) {
    page.picture(*pictures.along);
  }
  if (pictures.side || pictures.top) {
    page.subheading("Through the volume");
    for (const auto* view : {&pictures.side, &pictures.top}) {
      if (*view) {
        page.picture(**view);
      }
    }
  }
}

void balance(Page& page, const SurveyResult& result) {
  if (!result.thrust_n) {
    return;
  }
  page.section("Map against balance");
  PageTable table;
  table.caption = "Push of each plane as a share of the thrust on the balance";
  table.columns = {{"Distance", "m", true},
                   {"Ratio", "", true},
                   {"from (95 %)", "", true},
                   {"to (95 %)", "", true},
                   {"Normalised error", "", true},
                   {"Agrees", "", false}};
  for (const CrossCheck& c : result.cross_check) {
    table.rows.push_back({format_number(c.distance_m, 4),
                          number_cell(c.ratio),
                          number_cell(c.ratio_low_95),
                          number_cell(c.ratio_high_95),
                          number_cell(c.normalised_error, 2),
                          c.agrees ? "yes" : "no"});
  }
  page.table(table);
  page.note(
      "Normalised error: the gap over its expanded uncertainty; within 1 map and balance "
      "agree (ISO 13528).");
  page.list(pretty_all(result.thrust_remarks));
  for (const CrossCheck& c : result.cross_check) {
    if (c.explanations.empty()) {
      continue;
    }
    page.subheading(c.agrees ? "At " + metres_text(c.distance_m) + " they agree"
                             : "What could explain the gap at " + metres_text(c.distance_m) +
                                   ", likeliest first");
    std::vector<std::string> items;
    for (const Explanation& e : c.explanations) {
      const bool sized = e.shift_low != 0.0 || e.shift_high != 0.0;
      items.push_back(e.text +
                      (sized ? " (" + format_number(100.0 * e.shift_low, 2) + " to " +
                                   format_number(100.0 * e.shift_high, 2) + " % of the thrust)"
                             : ""));
    }
    page.list(pretty_all(items));
  }
}

void doubt(Page& page, const SurveyResult& result, const SurveyPictures& pictures) {
  page.section("Where the doubt comes from");
  page.pictures(pictures.budget);
  PageTable table;
  table.caption = "Budget: standard uncertainty by source";
  table.columns = {{"Distance", "m", true},
                   {"Source", "", false},
                   {"Flow", "m\xC2\xB3/s", true},
                   {"Push", "N", true}};
  PageTable held;
  held.caption = "Each sweep left out and foretold from the others";
  held.columns = {{"Sweep", "", false},
                  {"Distance", "m", true},
                  {"Height", "m", true},
                  {"Miss (rms)", "m/s", true},
                  {"Miss over foretold doubt", "", true}};
  for (const PlaneResult& plane : result.planes) {
    for (const BudgetRow& row : plane.budget) {
      table.rows.push_back({format_number(plane.distance_m, 4),
                            row.source,
                            number_cell(row.volume_flow_m3_s, 2),
                            number_cell(row.momentum_flux_n, 2)});
    }
    for (const HeldOutSweep& h : plane.held_out) {
      held.rows.push_back({h.sweep,
                           format_number(plane.distance_m, 4),
                           format_number(h.height_m, 4),
                           number_cell(h.rms_error_m_s, 2),
                           number_cell(h.z_score, 2)});
    }
  }
  page.table(table);
  if (!held.rows.empty()) {
    page.table(held);
    page.note(
        "The last column is near 1 when the stated doubt is right; well above it, the map is "
        "less sure than it says.");
  }
  page.pictures(pictures.uncertainty);
}

}  // namespace

std::string line_ranges(std::vector<std::size_t> lines) {
  std::sort(lines.begin(), lines.end());
  lines.erase(std::unique(lines.begin(), lines.end()), lines.end());
  std::string text;
  for (std::size_t i = 0; i < lines.size();) {
    std::size_t j = i;
    while (j + 1 < lines.size() && lines[j + 1] == lines[j] + 1) {
      ++j;
    }
    text += text.empty() ? "" : ", ";
    text += std::to_string(lines[i]);
    if (j > i) {
      text += (j > i + 1 ? " to " : ", ") + std::to_string(lines[j]);
    }
    i = j + 1;
  }
  return text;
}

std::string survey_page(const SurveyResult& result,
                        const SurveyPictures& pictures,
                        const PageOptions& options) {
  const Survey& survey = result.survey;
  const std::string title =
      survey.title.empty() ? survey.fan + " at " + survey.setting : survey.title;
  Page page(title);
  std::string line = "Fan " + survey.fan;
  line += survey.setting.empty() ? "" : ", setting " + survey.setting;
  page.subtitle(line);
  page.subtitle(
      pretty("Air density " + format_with_uncertainty(result.density_kg_m3.value,
                                                      result.density_kg_m3.standard_uncertainty,
                                                      "kg/m3")));
  verdict(page, result);
  stream(page, result, pictures);
  balance(page, result);
  doubt(page, result, pictures);
  add_ring_rating(page, result);
  add_left_out(page, result);
  add_how_to_repeat(page, result, options);
  add_footer(page, options);
  return page.html();
}

}  // namespace sweepflux::render
