#include "render/pages/survey_page.hpp"

#include "render/canvas/text.hpp"
#include "render/pages/html_text.hpp"
#include "render/pages/page_parts.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/survey_summary.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux::render {
namespace {

std::string metres(double value_m) { return format_number(value_m, 4) + " m"; }

constexpr double not_computed = std::numeric_limits<double>::quiet_NaN();

/// One integral of all planes: over the whole plane, how much of it is extrapolated and, where
/// there are any, over the window alone. What was not computed is set as "-".
PageTable table_of(std::span<const PlaneResult> planes,
                   const char* name,
                   const char* unit,
                   Estimate PlaneResult::*whole,
                   double PlaneResult::*extrapolated,
                   std::optional<Estimate> PlaneResult::*inside) {
  const auto known = [&](const PlaneResult& p) { return std::isfinite((p.*whole).value); };
  const bool with_share = extrapolated && std::any_of(planes.begin(), planes.end(), known);
  const bool with_inside =
      inside && std::any_of(planes.begin(), planes.end(), [&](const PlaneResult& p) {
        return (p.*inside).has_value();
      });
  PageTable table{name};
  table.add_number("Distance", "m");
  table.add_measured("Value", unit, true);
  if (with_share) {
    table.add_number("Extra\u00ADpolated", "%", 2);
  }
  if (with_inside) {
    table.add_measured("Inside the window", unit);
  }
  for (const PlaneResult& p : planes) {
    table.add_row(p.distance_m, known(p) ? std::optional(p.*whole) : std::nullopt);
    if (with_share) {
      table.extend_row(known(p) ? 100.0 * p.*extrapolated : not_computed);
    }
    if (with_inside) {
      table.extend_row(p.*inside);
    }
  }
  return table;
}

void summary(Page& page, const SurveyResult& result) {
  page.section("Summary");
  page.summary(pretty_all(survey_summary(result)));
  std::vector<PlacedText> cautions;
  for (const std::string& w : result.warnings) {
    cautions.push_back({"", w});
  }
  for (const PlaneResult& plane : result.planes) {
    for (const std::string& w : plane.warnings) {
      cautions.push_back({metres(plane.distance_m), w});
    }
  }
  page.cautions("Before you use these numbers", pretty_all(one_line_a_kind(cautions)));
  add_plane_numbers(page, result.planes);
}

PageTable shape_table(const SurveyResult& result) {
  PageTable table{"The stream's shape"};
  table.add_number("Distance", "m");
  table.add_number("Peak speed", "m/s");
  // Equal decimals: a centre on the axis has no more of them than the half-widths.
  const auto group = static_cast<int>(table.columns.size());
  for (const char* name :
       {"Centre to the right", "Centre above floor", "Half-width across", "Half-width up"}) {
    table.columns.push_back({name, "m", true, 3, group});
  }
  for (const PlaneResult& p : result.planes) {
    table.add_row(p.distance_m,
                  p.peak_speed_m_s,
                  p.centre.y_m,
                  p.centre.z_m,
                  p.half_width_y_m,
                  p.half_width_z_m);
  }
  return table;
}

void stream(Page& page, const SurveyResult& result, const SurveyPictures& pictures) {
  page.section("The stream");
  page.pictures(pictures.planes);
  page.table(shape_table(result));
  // The tall ones last: what is low fits under the table on a sheet of paper.
  page.pictures({&pictures.side, &pictures.top, &pictures.profiles, &pictures.along});
}

void balance(Page& page, const SurveyResult& result) {
  if (!result.thrust_n) {
    return;
  }
  page.section("Map against balance");
  PageTable table{"Momentum flux as a share of the thrust, " +
                  estimate_text(*result.thrust_n, "N")};
  table.add_number("Distance", "m");
  for (const char* name : {"Ratio", "from (95 %)", "to (95 %)"}) {
    table.add_number(name);
  }
  table.add_number("Norma\u00ADlised error", "", 2);
  table.add_words({"Agrees"});
  for (const CrossCheck& c : result.cross_check) {
    table.add_row(c.distance_m,
                  c.ratio,
                  c.ratio_low_95,
                  c.ratio_high_95,
                  c.normalised_error,
                  c.agrees ? "yes" : "no");
  }
  page.table(table);
  page.note(
      "Normalised error (ISO 13528): the difference over the root of the summed squares of both "
      "expanded uncertainties (half of the 95 % intervals); up to 1 map and balance agree.");
  page.list(pretty_all(result.thrust_remarks));
  for (const CrossCheck& c : result.cross_check) {
    if (c.explanations.empty()) {
      continue;
    }
    page.subheading(c.agrees ? "At " + metres(c.distance_m) + " they agree"
                             : "What could explain the difference at " + metres(c.distance_m) +
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

PageTable budget_table(const PlaneResult& plane) {
  PageTable table{"Standard uncertainty by source at " + metres(plane.distance_m)};
  table.add_words({"Source"});
  table.add_number("Volume flow", "m\xC2\xB3/s", 2);
  table.add_number("Momentum flux", "N", 2);
  double flow = 0.0, momentum = 0.0;
  for (const BudgetRow& row : plane.budget) {
    flow = std::max(flow, row.volume_flow_m3_s);
    momentum = std::max(momentum, row.momentum_flux_n);
  }
  for (const BudgetRow& row : plane.budget) {
    // One that no digit of either column would show is not a source here.
    if (row.volume_flow_m3_s > 1e-3 * flow || row.momentum_flux_n > 1e-3 * momentum) {
      table.add_row(row.source, row.volume_flow_m3_s, row.momentum_flux_n);
    }
  }
  return table;
}

/// Every sweep, and how well the others predict it.
PageTable sweeps_table(const SurveyResult& result) {
  PageTable table{"Sweeps, and the prediction of each from the others (leave one sweep out)"};
  table.add_words({"Sweep"});
  table.add_number("Distance", "m");
  table.add_number("Height", "m");
  table.add_number("Readings");
  table.add_number("Left out");
  table.add_number("Error (rms)", "m/s", 2);
  table.add_number("Error over predicted uncertainty", "", 2);
  for (const PlaneResult& plane : result.planes) {
    for (const PlacedSweep& s : plane.samples.sweeps) {
      const auto held = std::find_if(plane.held_out.begin(),
                                     plane.held_out.end(),
                                     [&](const HeldOutSweep& h) { return h.sweep == s.name; });
      const bool known = held != plane.held_out.end();
      table.add_row(s.name,
                    plane.distance_m,
                    s.height_m,
                    s.readings,
                    s.left_out,
                    known ? held->rms_error_m_s : not_computed,
                    known ? held->z_score : not_computed);
    }
  }
  return table;
}

void uncertainty(Page& page, const SurveyResult& result, const SurveyPictures& pictures) {
  page.section("Uncertainty");
  page.pictures(pictures.budget);
  std::vector<PageTable> budgets;
  bool held_out = false;
  for (const PlaneResult& plane : result.planes) {
    budgets.push_back(budget_table(plane));
    held_out = held_out || !plane.held_out.empty();
  }
  page.tables(budgets);
  page.pictures(pictures.uncertainty);
  page.table(sweeps_table(result));
  if (held_out) {
    page.note(
        "The last column is near 1 when the stated uncertainty is right; well above it, the map is "
        "less certain than stated.");
  }
}

}  // namespace

void add_plane_numbers(Page& page, std::span<const PlaneResult> planes) {
  if (planes.empty()) {
    return;
  }
  using P = PlaneResult;
  const std::vector<PageTable> tables{
      table_of(planes,
               "Volume flow",
               "m\xC2\xB3/s",
               &P::volume_flow_m3_s,
               &P::flow_extrapolated,
               &P::inside_flow_m3_s),
      table_of(planes,
               "Momentum flux",
               "N",
               &P::momentum_flux_n,
               &P::momentum_extrapolated,
               &P::inside_momentum_flux_n),
      table_of(planes, "Kinetic power of the stream", "W", &P::kinetic_power_w, nullptr, nullptr)};
  page.tables(tables);
  for (const PlaneResult& p : planes) {
    if (!p.withheld.empty()) {
      page.note("No numbers of the whole plane at " + metres(p.distance_m) + ": " +
                pretty(p.withheld));
    }
  }
}

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
  page.subtitle(
      "Fan " + survey.fan + (survey.setting.empty() ? "" : ", setting " + survey.setting) +
      pretty("; air density " + format_with_uncertainty(result.density_kg_m3.value,
                                                        result.density_kg_m3.standard_uncertainty,
                                                        "kg/m3")));
  page.subtitle(pretty(uncertainty_words));
  summary(page, result);
  stream(page, result, pictures);
  balance(page, result);
  uncertainty(page, result, pictures);
  add_ring_rating(page, result);
  add_left_out(page, result);
  add_how_to_repeat(page, result, options);
  add_footer(page, options);
  return page.html();
}

}  // namespace sweepflux::render
