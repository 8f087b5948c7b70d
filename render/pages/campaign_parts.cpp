#include "render/pages/campaign_parts.hpp"

#include "render/pages/campaign_page.hpp"
#include "render/pages/html_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux::render {
namespace {

const char* const square_metres_per_second = "m\xC2\xB2/s";
const char* const flow_unit = "m\xC2\xB3/s";

std::string zone_words(StreamZone zone) {
  switch (zone) {
    case StreamZone::developing:
      return "still developing: wide interval";
    case StreamZone::developed:
      return "";
    case StreamZone::beyond_room:
      return "farther than the room allows a free stream";
  }
  return {};
}

std::string lower(std::string heading) {
  heading.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(heading.front())));
  return heading;
}

/// With what was changed at the fan.
std::string setting_of(const FanAtSetting& e) {
  return e.variant.empty() ? e.setting : e.setting + ", " + e.variant;
}

const double no_number = std::numeric_limits<double>::quiet_NaN();

void add_interval(std::vector<PageTable::Cell>& row, const Estimate& e) {
  row.insert(row.end(), {e.value, e.low_95, e.high_95});
}

/// Columns of a predicted quantity: value and 95 % interval.
void add_predicted(PageTable& table, const char* name, const char* unit) {
  const auto group = static_cast<int>(table.columns.size());
  for (const char* column : {name, "from (95 %)", "to (95 %)"}) {
    table.columns.push_back({column, unit, true, 2, group});
  }
}

std::string ranked_by(const Ranking& ranking) {
  std::string by = words_of(ranking.criterion);
  if (ranking.downstream_m) {
    by += " at " + format_number(*ranking.downstream_m, 4) + " m";
  }
  if (ranking.sound_level_db) {
    by += ", " + format_number(*ranking.sound_level_db, 3) + " dB(A)";
  }
  return by;
}

}  // namespace

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

std::string heading_of(const Ranking& ranking) {
  const bool lowest = ranking.criterion == Criterion::lowest_centreline_speed;
  const std::string text = "By " + ranked_by(ranking);
  return text + (lowest ? ", slowest centre first" : ", most first");
}

PageTable entries_table(const Comparison& c) {
  PageTable table;
  table.caption = "What was compared";
  table.add_words({"Fan", "Setting", "From", "Balance"});
  for (const char* name : {"Planes", "Single sweeps", "Readings", "Left out"}) {
    table.columns.push_back({name, "", true});
  }
  for (const FanAtSetting& e : c.entries) {
    table.rows.push_back({e.fan,
                          setting_of(e),
                          e.source,
                          e.thrust_n ? "yes" : "no",
                          e.planes.size(),
                          e.lone_sweeps.size(),
                          e.readings,
                          e.left_out});
  }
  return table;
}

PageTable thrust_table(const Comparison& c) {
  PageTable table;
  table.caption = "Thrust on the balance";
  table.add_words({"Fan", "Setting"});
  table.add_measured("Thrust", "N");
  table.add_measured("Thrust", "gf");
  table.add_number("Electrical power", "W");
  table.add_measured("Thrust per watt", "mN/W");
  table.add_measured("Thrust-derived flow", flow_unit);
  for (const FanAtSetting& e : c.entries) {
    if (!e.thrust_n) {
      continue;
    }
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.insert(row.end(), {e.fan, setting_of(e)});
    add_cells(row, e.thrust_n);
    add_cells(row, e.thrust_n, false, grams_force(1.0));
    row.emplace_back(e.power_w ? e.power_w->value : no_number);
    std::optional<Measured> per_watt, flow;
    if (e.power_w && e.power_w->value > 0.0 && e.thrust_n->value != 0.0) {
      const double value = e.thrust_n->value / e.power_w->value;
      const double relative = std::hypot(e.thrust_n->standard_uncertainty / e.thrust_n->value,
                                         e.power_w->standard_uncertainty / e.power_w->value);
      per_watt = Measured{value, std::abs(value) * relative};
    }
    if (e.outlet && e.density_kg_m3 && e.thrust_n->value > 0.0) {
      flow = thrust_derived_flow_m3_s(
          {{e.thrust_n->value, e.thrust_n->standard_uncertainty}, *e.density_kg_m3, *e.outlet, {}});
    }
    add_cells(row, per_watt, 1e3);
    add_cells(row, flow);
  }
  return table;
}

PageTable ranking_table(const Comparison& c, const Ranking& ranking) {
  const DisplayUnit shown = display_unit(ranking.criterion);
  PageTable table;
  table.caption = "In numbers: " + lower(heading_of(ranking));
  table.columns = {{"Place", "", true}};
  table.add_words({"Fan", "Setting"});
  table.add_measured(ranking.criterion == Criterion::lowest_centreline_speed ? "Centreline speed"
                                                                     : words_of(ranking.criterion),
                     shown.unit);
  table.add_words({"How known"});
  for (const Ranked& r : ranking.rows) {
    const FanAtSetting& e = c.entries[r.entry];
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.insert(row.end(),
               {std::to_string(r.place), e.fan, r.where.empty() ? setting_of(e) : r.where});
    add_cells(row, std::optional<Estimate>(r.value), false, shown.scale);
    row.emplace_back(r.predicted ? "predicted" : "measured");
  }
  return table;
}

std::vector<PageTable> difference_tables(const Comparison& c) {
  std::vector<PageTable> tables;
  for (const Ranking& ranking : c.rankings) {
    const DisplayUnit shown = display_unit(ranking.criterion);
    PageTable table;
    table.caption = "Differences by " + ranked_by(ranking);
    table.add_words({"Ahead", "Behind"});
    table.add_measured("Difference", shown.unit, true);
    table.add_words({"Different at 95 %"});
    for (const Difference& d : ranking.differences) {
      std::vector<PageTable::Cell>& row = table.rows.emplace_back();
      row.insert(row.end(),
                 {c.entries[ranking.rows[d.better].entry].name(),
                  c.entries[ranking.rows[d.worse].entry].name()});
      add_cells(row, std::optional<Estimate>(d.difference), true, shown.scale);
      row.emplace_back(d.different ? "yes" : "no");
    }
    tables.push_back(std::move(table));
  }
  return tables;
}

PageTable equal_thrust_table(const Comparison& c) {
  PageTable table;
  table.caption = "Which setting of the other fan has the same thrust";
  table.add_words({"Fan", "Setting", "Other fan"});
  table.add_measured("Its setting", "");
  table.add_words({"Nearest of its own", "In words"});
  for (const EqualThrust& p : c.equal_thrust) {
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.insert(row.end(), {p.fan, p.setting, p.other});
    add_cells(
        row,
        p.match == ThrustMatch::between ? std::optional<Estimate>(p.other_setting) : std::nullopt);
    row.insert(row.end(), {p.nearest_written, pretty(p.words)});
  }
  return table;
}

PageTable growth_table(const Comparison& c) {
  PageTable table;
  table.caption = "How the flow grows, and the room air that is entrained";
  table.add_words({"Fan", "Setting"});
  table.add_number("Downstream", "m");
  table.add_measured("Flow", flow_unit);
  table.add_measured("Entrained", flow_unit);
  table.add_measured("Growth", square_metres_per_second);
  table.add_measured("Entrainment rate", "");
  for (const Growth& g : c.growths) {
    const FanAtSetting& e = c.entries[g.entry];
    for (std::size_t i = 0; i < e.planes.size(); ++i) {
      const PlaneFacts& p = e.planes[i];
      std::vector<PageTable::Cell>& row = table.rows.emplace_back();
      row.insert(row.end(), {e.fan, setting_of(e), p.downstream_m});
      add_cells(row, std::optional<Estimate>(p.volume_flow_m3_s));
      add_cells(
          row,
          i < g.dragged_m3_s.size() ? std::optional<Measured>(g.dragged_m3_s[i]) : std::nullopt);
      // Of the whole fan, so stated once, in its first row.
      for (const auto* whole : {&g.per_metre_m2_s, &g.entrainment}) {
        if (i == 0) {
          add_cells(row, *whole);
        } else {
          row.insert(row.end(), 2, "");
        }
      }
    }
  }
  return table;
}

PageTable throw_table(const Comparison& c) {
  PageTable table;
  table.caption = "Throw: the distance at which the centreline has slowed to a speed (predicted)";
  table.add_words({"Fan", "Setting"});
  table.add_number("Speed", "m/s", 3);
  add_predicted(table, "Throw", "m");
  table.add_words({"Remark"});
  for (const PredictedStream& f : c.predicted) {
    const FanAtSetting& e = c.entries[f.entry];
    for (const Throw& r : f.throws) {
      std::vector<PageTable::Cell>& row = table.rows.emplace_back();
      row.insert(row.end(), {e.fan, setting_of(e), r.wished_speed_m_s});
      add_interval(
          row, r.downstream_m.value_or(Estimate{no_number, no_number, no_number, no_number}));
      row.emplace_back(r.words);
    }
  }
  return table;
}

PageTable along_table(const Comparison& c) {
  PageTable table;
  table.caption = "The stream at a distance (predicted)";
  table.add_words({"Fan", "Setting"});
  table.add_number("Downstream", "m");
  add_predicted(table, "Centreline speed", "m/s");
  add_predicted(table, "Half-width", "m");
  add_predicted(table, "Flow", flow_unit);
  table.add_words({"Remark"});
  for (const PredictedStream& f : c.predicted) {
    const FanAtSetting& e = c.entries[f.entry];
    for (const StreamPrediction& p : f.along) {
      std::vector<PageTable::Cell>& row = table.rows.emplace_back();
      row.insert(row.end(), {e.fan, setting_of(e), p.downstream_m});
      add_interval(row, p.centre_speed_m_s);
      add_interval(row, p.half_width_m);
      add_interval(row, p.volume_flow_m3_s);
      row.emplace_back(zone_words(p.zone));
    }
  }
  return table;
}

std::vector<std::string> all_conditions(const Comparison& c) {
  std::vector<std::pair<std::string, std::vector<std::string>>> found;
  for (const PredictedStream& f : c.predicted) {
    const std::string& fan = c.entries[f.entry].fan;
    for (const std::string& text : f.conditions) {
      auto same = std::find_if(
          found.begin(), found.end(), [&](const auto& entry) { return entry.first == text; });
      if (same == found.end()) {
        found.push_back({text, {}});
        same = found.end() - 1;
      }
      if (std::find(same->second.begin(), same->second.end(), fan) == same->second.end()) {
        same->second.push_back(fan);
      }
    }
  }
  std::vector<std::string> conditions;
  for (const auto& [text, fans] : found) {
    std::string names;
    for (const std::string& fan : fans) {
      names += (names.empty() ? "" : ", ") + fan;
    }
    conditions.push_back(fans.size() == c.fans.size() ? text : names + ": " + text);
  }
  return conditions;
}

}  // namespace sweepflux::render
