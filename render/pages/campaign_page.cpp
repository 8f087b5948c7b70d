#include "render/pages/campaign_page.hpp"

#include "render/canvas/text.hpp"
#include "render/pages/campaign_parts.hpp"
#include "render/pages/html_text.hpp"
#include "render/pages/page_parts.hpp"
#include "sweepflux/base/count_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <set>

namespace sweepflux::render {
namespace {

enum class Layout { below_each_other, side_by_side };

/// Tables, those of many fans in a part of the page that is shut at first, so that what leads stays
/// in sight and paper is not spent on them.
void add_tables(Page& page,
                const std::vector<PageTable>& tables,
                Layout layout = Layout::below_each_other) {
  constexpr std::size_t most_rows = 60;
  std::size_t rows = 0;
  for (const PageTable& table : tables) {
    rows += table.rows.size();
  }
  if (rows > most_rows) {
    page.open_details("Show the table" + std::string(tables.size() == 1 ? "" : "s") + ", " +
                      count_text(rows, "row") + "; not printed while shut");
  }
  if (layout == Layout::side_by_side) {
    page.tables(tables);
  } else {
    std::for_each(tables.begin(), tables.end(), [&](const PageTable& one) { page.table(one); });
  }
  if (rows > most_rows) {
    page.close_details();
  }
}

/// A section of tables and what is to be known of them; without a row in the first, nothing.
void add_section(Page& page,
                 const char* heading,
                 const std::vector<PageTable>& tables,
                 const char* note) {
  if (!tables.front().rows.empty()) {
    page.section(heading);
    add_tables(page, tables);
    page.note(note);
  }
}

/// Each once, be it with or without a change.
std::size_t fans_of(const Comparison& c) {
  std::set<std::string> fans;
  for (const FanAtSetting& e : c.entries) {
    fans.insert(e.fan);
  }
  return fans.size();
}

void open_with_summary(Page& page, const Comparison& c, const std::vector<std::string>& first) {
  page.subtitle(pretty(uncertainty_words) +
                ". Two values differ when the 95 % interval of their difference excludes zero.");
  page.section("Summary");
  std::vector<std::string> sentences = first;
  sentences.insert(sentences.end(), c.summary.begin(), c.summary.end());
  page.summary(pretty_all(sentences));
}

void close_with_repeat(Page& page, const Comparison& c, const PageOptions& options) {
  page.section("Left out, and why");
  if (c.warnings.empty()) {
    page.paragraph("Nothing.");
  }
  page.list(pretty_all(c.warnings));
  page.section("How to repeat it");
  if (!options.command.empty()) {
    page.command(options.command);
  }
  add_tables(page, {entries_table(c)});
  const SharedErrors& shared = c.options.shared;
  page.paragraph(shared.same_probe
                     ? "One probe read all planes, so its scale error cancels in differences."
                     : "Each survey is taken to have a probe of its own. Where one probe read all, "
                       "differences are less uncertain than shown (option --same-probe).");
  page.paragraph(shared.same_balance
                     ? "One balance weighed all, so the error of its lever cancels in differences."
                     : "Each entry is taken to have a balance of its own. Where one weighed all, "
                       "differences are less uncertain than shown (option --same-balance).");
  if (!options.files.empty()) {
    page.subheading("The numbers, to calculate on");
    page.list(options.files);
  }
  add_footer(page, options);
}

void add_thrust(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  const PageTable table = thrust_table(c);
  if (table.rows.empty()) {
    return;
  }
  page.section("Thrust per setting");
  page.pictures({&pictures.thrust, &pictures.power});
  add_tables(page, {table});
  page.note(
      "gf: grams-force, 1000 gf = 9.80665 N. Thrust-derived flow: the square root of outlet area "
      "times thrust over density (uniform outlet). It rates fans; the flow through a plane is "
      "larger and grows with distance.");
}

void add_rankings(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  if (c.rankings.empty() || c.entries.size() < 2) {
    return;
  }
  page.section("Rankings");
  page.pictures(pictures.rankings);
  std::vector<PageTable> rankings;
  for (const Ranking& ranking : c.rankings) {
    rankings.push_back(ranking_table(c, ranking));
  }
  add_tables(page, rankings);
  add_tables(page, difference_tables(c), Layout::side_by_side);
}

void add_variants(Page& page, const Comparison& c) {
  if (c.variants.empty()) {
    return;
  }
  page.section("Before and after a change");
  page.table(variant_table(c));
}

void add_probe_check(Page& page, const Comparison& c) {
  if (!c.probe_check) {
    return;
  }
  page.section("The probe, checked by all surveys together");
  std::vector<std::string> further;  // than the summary has
  for (const std::string& words : c.probe_check->probe.words) {
    if (std::find(c.summary.begin(), c.summary.end(), words) == c.summary.end()) {
      further.push_back(words);
    }
  }
  page.list(pretty_all(further));
  page.table(pair_table(c));
  page.table(corrected_flow_table(c));
  page.subheading("To take the scale out: paste this yourself, nothing is applied");
  page.command(c.probe_check->calibration);
  page.note(
      "After that momentum flux and thrust of these surveys agree by construction: their "
      "cross-check is no longer an independent one.");
}

void add_sound(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  if (!pictures.sound && c.equal_sounds.empty()) {
    return;
  }
  page.section("Sound");
  if (pictures.sound) {
    page.picture(*pictures.sound);
  }
  if (!c.equal_sounds.empty()) {
    page.table(equal_sound_table(c));
  }
  page.list(sound_cautions());
}

void add_seats(Page& page, const Comparison& c) {
  if (c.seats.empty()) {
    return;
  }
  page.section("At the seat");
  add_tables(page, {seat_table(c)});
  page.subheading("Conditions");
  std::vector<std::string> conditions = seat_conditions();
  for (const std::string& remark : common_seat_remarks(c)) {
    conditions.push_back("For all: " + remark + ".");
  }
  page.list(pretty_all(conditions));
}

void add_gusts(Page& page, const Comparison& c) {
  const PageTable table = gust_table(c);
  if (table.rows.empty()) {
    return;
  }
  page.section("Gusts");
  page.table(table);
  page.note(
      "Turbulence intensity: standard deviation over mean; a probe that answers slowly shows less "
      "of it. A period stands where one line of the spectrum rises above its neighbours, as of a "
      "mode that cycles.");
}

void add_streams(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  if (pictures.profiles.empty() && c.growths.empty()) {
    return;
  }
  page.section("Streams side by side");
  std::vector<PagePicture> side_by_side = pictures.profiles;
  if (pictures.growth) {
    side_by_side.push_back(*pictures.growth);
  }
  page.pictures(side_by_side);
  add_tables(page, {growth_table(c)});
  page.note(
      "Entrainment rate: growth of the flow per metre over the square root of thrust over density; "
      "0.282 is published for a free round jet (Ricou and Spalding 1961). Entrained: the flow of "
      "the plane less the thrust-derived flow of the outlet.");
}

void add_throw(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  if (c.predicted.empty()) {
    return;
  }
  page.section("Throw (predicted)");
  if (pictures.throw_chart) {
    page.picture(*pictures.throw_chart);
  }
  add_tables(page, {throw_table(c)});
  add_tables(page, {along_table(c)});
  page.subheading("Conditions of these predictions");
  page.list(pretty_all(all_conditions(c)));
}

void body(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  add_thrust(page, c, pictures);
  add_variants(page, c);
  add_rankings(page, c, pictures);
  add_sound(page, c, pictures);
  add_section(
      page,
      "Settings of equal thrust",
      {equal_thrust_table(c)},
      "Between two measured settings the square root of the thrust is interpolated linearly, "
      "because thrust goes with the square of the fan's speed of rotation.");
  add_streams(page, c, pictures);
  add_throw(page, c, pictures);
  add_seats(page, c);
  add_gusts(page, c);
  add_section(
      page,
      "Measured more than once",
      {consistency_table(c), provenance_table(c)},
      "Combined by generalised least squares; what they share (lever, probe) is counted once. A "
      "chance below 5 % says that they differ by more than they state: then the uncertainty is "
      "multiplied by the Birge ratio, the square root of chi square over its degrees of freedom.");
  add_probe_check(page, c);
}

PageTable repeats_table(const SessionThrust& thrust) {
  PageTable table{"Readings, repeats and zeros"};
  table.add_words({"Fan", "Setting"});
  table.add_number("Repeats");
  table.add_number("Readings");
  table.add_number("Own \xC2\xB1", "N", 2);
  table.add_number("Largest drift of the zero", "N", 2);
  table.add_words({"Remarks"});
  for (const SettingThrust& s : thrust.settings) {
    table.add_row(s.fan,
                  s.setting,
                  s.repeats,
                  s.readings,
                  s.own_uncertainty_n,
                  s.largest_zero_drift_n,
                  pretty(joined(s.remarks, "; ")));
  }
  return table;
}

}  // namespace

DisplayUnit display_unit(Criterion criterion) {
  switch (criterion) {
    case Criterion::thrust:
    case Criterion::thrust_at_sound:
      return {"N", 1.0};
    case Criterion::flow:
    case Criterion::flow_at_sound:
      return {"m\xC2\xB3/s", 1.0};
    case Criterion::thrust_per_watt:
      return {"mN/W", 1e3};
    case Criterion::flow_per_watt:
      return {"l/s/W", 1e3};
    case Criterion::lowest_centreline_speed:
      return {"m/s", 1.0};
  }
  return {};
}

std::string campaign_page(const std::string& title,
                          const Comparison& comparison,
                          const CampaignPictures& pictures,
                          const PageOptions& options) {
  Page page(title);
  page.subtitle(count_text(fans_of(comparison), "fan") + ", " +
                count_text(comparison.entries.size(), "setting"));
  open_with_summary(page, comparison, {});
  body(page, comparison, pictures);
  close_with_repeat(page, comparison, options);
  return page.html();
}

std::string session_page(const BalanceSession& session,
                         const SessionThrust& thrust,
                         const Comparison& comparison,
                         const CampaignPictures& pictures,
                         const PageOptions& options) {
  Page page(session.title.empty() ? "A session at the balance" : session.title);
  page.subtitle(count_text(fans_of(comparison), "fan") + ", " +
                count_text(comparison.entries.size(), "setting") + ", " +
                count_text(session.readings.size(), "block") + " of readings (fan off, on, off)");
  page.subtitle(
      "The balance: " + thrust.lever.words + ", standard uncertainty " +
      format_number(100.0 * thrust.lever.ratio.standard_uncertainty / thrust.lever.ratio.value, 2) +
      " %");
  std::vector<std::string> first;
  if (comparison.entries.size() == 1 && comparison.entries.front().thrust_n) {
    first.push_back("Thrust of " + comparison.entries.front().name() + ": " +
                    estimate_text(*comparison.entries.front().thrust_n, "N") + ".");
  }
  open_with_summary(page, comparison, first);
  body(page, comparison, pictures);
  page.section("At the balance");
  add_tables(page, {repeats_table(thrust)});
  page.note(
      "Own \xC2\xB1: without the lever's contribution, which all settings share, so that it "
      "cancels "
      "when they are compared.");
  page.list(pretty_all(remark_lines(session.remarks)));
  if (!session.defaults_used.empty()) {
    page.subheading("Not stated, so taken by default");
    page.list(session.defaults_used);
  }
  close_with_repeat(page, comparison, options);
  return page.html();
}

}  // namespace sweepflux::render
