#include "render/pages/campaign_page.hpp"

#include "render/pages/campaign_parts.hpp"
#include "render/pages/html_text.hpp"
#include "render/pages/page_parts.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::render {
namespace {

void open_with_verdict(Page& page, const Comparison& c, const std::vector<std::string>& first) {
  page.section("The verdict");
  std::vector<std::string> said = first;
  said.insert(said.end(), c.verdict.begin(), c.verdict.end());
  page.verdict(pretty_all(said));
  page.note(
      "Each \xC2\xB1 is one standard uncertainty (about two in three). A difference counts "
      "when its 95 % interval leaves out zero; else it is called a tie.");
}

void close_with_repeat(Page& page, const Comparison& c, const PageOptions& options) {
  page.section("What was left out, and why");
  if (c.warnings.empty()) {
    page.paragraph("Nothing: every entry told all that it holds.");
  }
  page.list(pretty_all(c.warnings));
  page.section("How to repeat it");
  if (!options.command.empty()) {
    page.command(options.command);
  }
  page.table(entries_table(c));
  const SharedErrors& shared = c.options.shared;
  page.paragraph(
      shared.same_probe
          ? "One probe read all planes, so its scale error was let cancel in differences."
          : "Each survey's probe was taken as a probe of its own: where one probe read "
            "all, differences are surer than shown (option --same-probe).");
  page.paragraph(
      shared.same_balance
          ? "One balance weighed all, so its lever's error was let cancel in differences."
          : "Each balance was taken as a balance of its own: where one weighed all, "
            "differences are surer than shown (option --same-balance).");
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
  if (pictures.thrust) {
    page.picture(*pictures.thrust);
  }
  page.table(table);
  page.note(
      "gf: grams-force, 1000 gf = 9.80665 N. The flow in the last columns is derived from the "
      "thrust by the uniform-outlet convention, the square root of outlet area times thrust "
      "over density. It is a way to rate fans, not the flow through a plane, which grows "
      "with distance.");
}

void add_rankings(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  if (c.rankings.empty() || c.entries.size() < 2) {
    return;
  }
  page.section("Rankings");
  page.paragraph(
      "Equal places are ties. Speed, flow and what follows from them are foretold where "
      "no plane was mapped at that distance; the table says which.");
  for (std::size_t i = 0; i < c.rankings.size(); ++i) {
    page.subheading(heading_of(c.rankings[i]));
    if (i < pictures.rankings.size()) {
      page.picture(pictures.rankings[i]);
    }
    page.table(ranking_table(c, c.rankings[i]));
  }
  page.subheading("Differences");
  page.table(difference_table(c));
}

void add_equal_pushes(Page& page, const Comparison& c) {
  if (c.equal_pushes.empty()) {
    return;
  }
  page.section("Settings that push equally");
  page.table(equal_push_table(c));
  page.note(
      "Between two measured settings the square root of the thrust is taken as a straight "
      "line, because thrust goes with the square of the fan's speed.");
}

void add_streams(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  if (pictures.profiles.empty() && c.growths.empty()) {
    return;
  }
  page.section("Streams side by side");
  page.pictures(pictures.profiles);
  if (pictures.growth) {
    page.picture(*pictures.growth);
  }
  page.table(growth_table(c));
  page.note(
      "Entrainment: growth of the flow per metre over the square root of thrust over density; "
      "0.282 is published for a free round jet (Ricou and Spalding 1961). Dragged along: the "
      "flow of the plane less the outlet's own, by the uniform-outlet convention.");
}

void add_reach(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  if (c.foretold.empty()) {
    return;
  }
  page.section("How far the breeze reaches (foretold)");
  if (pictures.reach) {
    page.picture(*pictures.reach);
  }
  page.table(reach_table(c));
  page.table(along_table(c));
  page.subheading("On what these predictions rest");
  page.list(pretty_all(all_conditions(c)));
}

void body(Page& page, const Comparison& c, const CampaignPictures& pictures) {
  add_thrust(page, c, pictures);
  add_rankings(page, c, pictures);
  add_equal_pushes(page, c);
  add_streams(page, c, pictures);
  add_reach(page, c, pictures);
}

PageTable repeats_table(const SessionThrust& thrust) {
  PageTable table;
  table.caption = "Readings, repeats and zeros";
  table.columns = {{"Fan", "", false},
                   {"Setting", "", false},
                   {"Repeats", "", true},
                   {"Readings", "", true},
                   {"Own \xC2\xB1", "N", true},
                   {"Largest move of the zero", "N", true},
                   {"Remarks", "", false}};
  for (const SettingThrust& s : thrust.settings) {
    std::string remarks;
    for (const std::string& r : s.remarks) {
      remarks += (remarks.empty() ? "" : "; ") + r;
    }
    table.rows.push_back({s.fan,
                          s.setting,
                          std::to_string(s.repeats),
                          std::to_string(s.readings),
                          number_cell(s.own_uncertainty_n, 2),
                          number_cell(s.largest_zero_drift_n, 2),
                          pretty(remarks)});
  }
  return table;
}

}  // namespace

DisplayUnit display_unit(Criterion criterion) {
  switch (criterion) {
    case Criterion::thrust:
      return {"N", 1.0};
    case Criterion::flow:
      return {"m\xC2\xB3/s", 1.0};
    case Criterion::thrust_per_watt:
      return {"mN/W", 1e3};
    case Criterion::flow_per_watt:
      return {"l/s/W", 1e3};
    case Criterion::gentlest_breeze:
      return {"m/s", 1.0};
  }
  return {};
}

std::string campaign_page(const std::string& title,
                          const Comparison& comparison,
                          const CampaignPictures& pictures,
                          const PageOptions& options) {
  Page page(title);
  page.subtitle(counted(comparison.fans.size(), "fan") + ", " +
                counted(comparison.entries.size(), "setting"));
  open_with_verdict(page, comparison, {});
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
  page.subtitle(counted(comparison.fans.size(), "fan") + ", " +
                counted(comparison.entries.size(), "setting") + ", " +
                counted(session.readings.size(), "block") + " of readings (fan off, on, off)");
  page.subtitle(
      "The balance: " + thrust.lever.words + ", doubt " +
      format_number(100.0 * thrust.lever.ratio.standard_uncertainty / thrust.lever.ratio.value, 2) +
      " %");
  std::vector<std::string> first;
  if (comparison.entries.size() == 1 && comparison.entries.front().thrust_n) {
    first.push_back(comparison.entries.front().name() + " pushes with " +
                    with_doubt(*comparison.entries.front().thrust_n, "N") + ".");
  }
  open_with_verdict(page, comparison, first);
  body(page, comparison, pictures);
  page.section("At the balance");
  page.table(repeats_table(thrust));
  page.note(
      "Own \xC2\xB1: without the lever's part, which all settings share and which therefore "
      "cancels when they are compared.");
  if (!session.defaults_used.empty()) {
    page.subheading("Taken by default, because the session did not say");
    page.list(session.defaults_used);
  }
  close_with_repeat(page, comparison, options);
  return page.html();
}

}  // namespace sweepflux::render
