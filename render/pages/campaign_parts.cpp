#include "render/pages/campaign_parts.hpp"

#include "render/pages/campaign_page.hpp"
#include "render/pages/html_text.hpp"
#include "render/pages/page_parts.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <utility>

namespace sweepflux::render {
namespace {

const char* const square_metres_per_second = "m\xC2\xB2/s";
const char* const flow_unit = "m\xC2\xB3/s";

std::string zone_words(StreamZone zone) {
  switch (zone) {
    case StreamZone::developing:
      return "still developing: wide band";
    case StreamZone::developed:
      return "";
    case StreamZone::beyond_room:
      return "beyond what the room lets run free";
  }
  return {};
}

std::string lower(std::string heading) {
  heading.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(heading.front())));
  return heading;
}

/// With the mark that tells it from others of its name.
std::string setting_of(const FanAtSetting& e) {
  return e.apart.empty() ? e.setting : e.setting + " (" + e.apart + ")";
}

void add_interval(std::vector<std::string>& row, const Estimate& e) {
  row.push_back(number_cell(e.value));
  row.push_back(number_cell(e.low_95));
  row.push_back(number_cell(e.high_95));
}

}  // namespace

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

std::string heading_of(const Ranking& ranking) {
  const bool gentle = ranking.criterion == Criterion::gentlest_breeze;
  std::string text = "By " + words_of(ranking.criterion);
  if (ranking.downstream_m) {
    text += " at " + format_number(*ranking.downstream_m, 4) + " m";
  }
  return text + (gentle ? ", slowest centre first" : ", most first");
}

PageTable entries_table(const Comparison& c) {
  PageTable table;
  table.caption = "What was compared";
  table.columns = {{"Fan", "", false},
                   {"Setting", "", false},
                   {"From", "", false},
                   {"Balance", "", false},
                   {"Planes", "", true},
                   {"Lone sweeps", "", true},
                   {"Readings", "", true},
                   {"Left out", "", true}};
  for (const FanAtSetting& e : c.entries) {
    table.rows.push_back({e.fan,
                          e.setting,
                          e.source,
                          e.thrust_n ? "yes" : "no",
                          std::to_string(e.planes.size()),
                          std::to_string(e.lone_sweeps.size()),
                          std::to_string(e.readings),
                          std::to_string(e.left_out)});
  }
  return table;
}

PageTable thrust_table(const Comparison& c) {
  PageTable table;
  table.caption = "Thrust on the balance";
  table.columns = {{"Fan", "", false}, {"Setting", "", false}};
  table.add_measured("Thrust", "N");
  table.add_measured("Thrust", "gf");
  table.columns.push_back({"Power", "W", true});
  table.add_measured("Thrust per watt", "mN/W");
  table.add_measured("Thrust-derived flow", flow_unit);
  for (const FanAtSetting& e : c.entries) {
    if (!e.thrust_n) {
      continue;
    }
    std::vector<std::string> row{e.fan, setting_of(e)};
    add_estimate(row, *e.thrust_n);
    add_estimate(row, *e.thrust_n, grams_force(1.0));
    row.push_back(e.power_w ? number_cell(e.power_w->value) : "");
    if (e.power_w && e.power_w->value > 0.0 && e.thrust_n->value != 0.0) {
      const double per_watt = e.thrust_n->value / e.power_w->value;
      const double relative = std::hypot(e.thrust_n->standard_uncertainty / e.thrust_n->value,
                                         e.power_w->standard_uncertainty / e.power_w->value);
      add_measured(row, Measured{per_watt, std::abs(per_watt) * relative}, 1e3);
    } else {
      row.insert(row.end(), 2, "");
    }
    if (e.outlet && e.density_kg_m3 && e.thrust_n->value > 0.0) {
      const StreamSource source{
          {e.thrust_n->value, e.thrust_n->standard_uncertainty}, *e.density_kg_m3, *e.outlet, {}};
      add_measured(row, thrust_derived_flow_m3_s(source));
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

PageTable ranking_table(const Comparison& c, const Ranking& ranking) {
  const DisplayUnit shown = display_unit(ranking.criterion);
  PageTable table;
  table.caption = "In numbers: " + lower(heading_of(ranking));
  table.columns = {{"Place", "", true}, {"Fan", "", false}, {"Setting", "", false}};
  table.add_measured(ranking.criterion == Criterion::gentlest_breeze ? "Centre speed"
                                                                     : words_of(ranking.criterion),
                     shown.unit);
  table.columns.push_back({"How known", "", false});
  for (const Ranked& r : ranking.rows) {
    const FanAtSetting& e = c.entries[r.entry];
    std::vector<std::string> row{std::to_string(r.place), e.fan, setting_of(e)};
    add_estimate(row, r.value, shown.scale);
    row.emplace_back(r.predicted ? "foretold" : "measured");
    table.rows.push_back(std::move(row));
  }
  return table;
}

PageTable difference_table(const Comparison& c) {
  PageTable table;
  table.caption = "Differences: each with the next in its ranking, and the first with every other";
  table.columns = {
      {"Ranked by", "", false}, {"Ahead", "", false}, {"Behind", "", false}, {"Unit", "", false}};
  table.add_measured("Difference", "");
  table.columns.push_back({"Says", "", false});
  for (const Ranking& ranking : c.rankings) {
    const DisplayUnit shown = display_unit(ranking.criterion);
    std::string by = words_of(ranking.criterion);
    if (ranking.downstream_m) {
      by += " at " + format_number(*ranking.downstream_m, 4) + " m";
    }
    for (const Difference& d : ranking.differences) {
      std::vector<std::string> row{by,
                                   c.entries[ranking.rows[d.better].entry].name(),
                                   c.entries[ranking.rows[d.worse].entry].name(),
                                   shown.unit};
      add_estimate(row, d.difference, shown.scale);
      row.emplace_back(d.tie ? "a tie" : "sure");
      table.rows.push_back(std::move(row));
    }
  }
  return table;
}

PageTable equal_push_table(const Comparison& c) {
  PageTable table;
  table.caption = "Which setting of the other fan pushes as much";
  table.columns = {{"Fan", "", false}, {"Setting", "", false}, {"Other fan", "", false}};
  table.add_measured("Its setting", "");
  table.columns.push_back({"Nearest of its own", "", false});
  table.columns.push_back({"In words", "", false});
  for (const EqualPush& p : c.equal_pushes) {
    std::vector<std::string> row{p.fan, p.setting, p.other};
    if (p.match == PushMatch::between) {
      add_estimate(row, p.other_setting);
    } else {
      row.insert(row.end(), 2, "");
    }
    row.push_back(p.nearest_written);
    row.push_back(pretty(p.words));
    table.rows.push_back(std::move(row));
  }
  return table;
}

PageTable growth_table(const Comparison& c) {
  PageTable table;
  table.caption = "How the flow grows, and the room air that comes along";
  table.columns = {{"Fan", "", false}, {"Setting", "", false}, {"Downstream", "m", true}};
  table.add_measured("Flow", flow_unit);
  table.add_measured("Dragged along", flow_unit);
  table.add_measured("Growth", square_metres_per_second);
  table.add_measured("Entrainment", "");
  for (const Growth& g : c.growths) {
    const FanAtSetting& e = c.entries[g.entry];
    for (std::size_t i = 0; i < e.planes.size(); ++i) {
      const PlaneFacts& p = e.planes[i];
      std::vector<std::string> row{e.fan, setting_of(e), format_number(p.downstream_m, 4)};
      add_estimate(row, p.volume_flow_m3_s);
      if (i < g.dragged_m3_s.size()) {
        add_measured(row, g.dragged_m3_s[i]);
      } else {
        row.insert(row.end(), 2, "");
      }
      // Of the whole fan, so said once, in its first row.
      for (const auto* whole : {&g.per_metre_m2_s, &g.entrainment}) {
        if (i == 0 && *whole) {
          add_measured(row, **whole);
        } else {
          row.insert(row.end(), 2, "");
        }
      }
      table.rows.push_back(std::move(row));
    }
  }
  return table;
}

PageTable reach_table(const Comparison& c) {
  PageTable table;
  table.caption = "Where the centre of the stream has slowed to a wished speed (foretold)";
  table.columns = {{"Fan", "", false},
                   {"Setting", "", false},
                   {"Speed", "m/s", true},
                   {"Distance", "m", true},
                   {"from (95 %)", "m", true},
                   {"to (95 %)", "m", true},
                   {"Remark", "", false}};
  for (const Foretold& f : c.foretold) {
    const FanAtSetting& e = c.entries[f.entry];
    for (const Reach& r : f.reach) {
      std::vector<std::string> row{e.fan, setting_of(e), number_cell(r.wished_speed_m_s)};
      if (r.downstream_m) {
        add_interval(row, *r.downstream_m);
      } else {
        row.insert(row.end(), 3, "");
      }
      row.push_back(r.words);
      table.rows.push_back(std::move(row));
    }
  }
  return table;
}

PageTable along_table(const Comparison& c) {
  PageTable table;
  table.caption = "The stream at a distance (foretold)";
  table.columns = {{"Fan", "", false}, {"Setting", "", false}, {"Downstream", "m", true}};
  for (const auto& [name, unit] : std::initializer_list<std::pair<const char*, const char*>>{
           {"Centre speed", "m/s"}, {"Half width", "m"}, {"Flow", flow_unit}}) {
    table.columns.push_back({name, unit, true});
    table.columns.push_back({"from (95 %)", unit, true});
    table.columns.push_back({"to (95 %)", unit, true});
  }
  table.columns.push_back({"Remark", "", false});
  for (const Foretold& f : c.foretold) {
    const FanAtSetting& e = c.entries[f.entry];
    for (const StreamPrediction& p : f.along) {
      std::vector<std::string> row{e.fan, setting_of(e), format_number(p.downstream_m, 4)};
      add_interval(row, p.centre_speed_m_s);
      add_interval(row, p.half_width_m);
      add_interval(row, p.volume_flow_m3_s);
      row.push_back(zone_words(p.zone));
      table.rows.push_back(std::move(row));
    }
  }
  return table;
}

std::vector<std::string> all_conditions(const Comparison& c) {
  std::vector<std::pair<std::string, std::vector<std::string>>> found;
  for (const Foretold& f : c.foretold) {
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
  std::vector<std::string> said;
  for (const auto& [text, fans] : found) {
    std::string names;
    for (const std::string& fan : fans) {
      names += (names.empty() ? "" : ", ") + fan;
    }
    said.push_back(fans.size() == c.fans.size() ? text : names + ": " + text);
  }
  return said;
}

}  // namespace sweepflux::render
