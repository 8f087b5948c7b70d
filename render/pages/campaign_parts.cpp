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

std::string heading_of(const Ranking& ranking) {
  const bool lowest = ranking.criterion == Criterion::lowest_centreline_speed;
  const std::string text = "By " + ranked_by(ranking);
  return text + (lowest ? ", slowest centre first" : ", most first");
}

PageTable entries_table(const Comparison& c) {
  PageTable table{"What was compared"};
  table.add_words({"Fan", "Setting", "From", "Balance"});
  for (const char* name : {"Planes", "Single sweeps", "Readings", "Left out"}) {
    table.add_number(name);
  }
  for (const FanAtSetting& e : c.entries) {
    table.add_row(e.fan,
                  setting_of(e),
                  e.source,
                  e.thrust_n ? "yes" : "no",
                  e.planes.size(),
                  e.lone_sweeps.size(),
                  e.readings,
                  e.left_out);
  }
  return table;
}

PageTable thrust_table(const Comparison& c) {
  PageTable table{"Thrust on the balance"};
  table.add_words({"Fan", "Setting"});
  table.add_measured("Thrust", "N");
  table.add_measured("Thrust", "gf", false, grams_force(1.0));
  table.add_number("Electrical power", "W");
  table.add_measured("Thrust per watt", "mN/W", false, 1e3);
  table.add_measured("Thrust-derived flow", flow_unit);
  for (const FanAtSetting& e : c.entries) {
    if (!e.thrust_n) {
      continue;
    }
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
    table.add_row(e.fan,
                  setting_of(e),
                  e.thrust_n,
                  e.thrust_n,
                  e.power_w ? e.power_w->value : std::numeric_limits<double>::quiet_NaN(),
                  per_watt,
                  flow);
  }
  return table;
}

PageTable ranking_table(const Comparison& c, const Ranking& ranking) {
  const DisplayUnit shown = display_unit(ranking.criterion);
  PageTable table{"In numbers: " + lower(heading_of(ranking))};
  table.add_number("Place");
  table.add_words({"Fan", "Setting"});
  table.add_measured(ranking.criterion == Criterion::lowest_centreline_speed
                         ? "Centreline speed"
                         : words_of(ranking.criterion),
                     shown.unit,
                     false,
                     shown.scale);
  table.add_words({"How known"});
  for (const Ranked& r : ranking.rows) {
    const FanAtSetting& e = c.entries[r.entry];
    table.add_row(std::to_string(r.place),
                  e.fan,
                  r.where.empty() ? setting_of(e) : r.where,
                  r.value,
                  r.predicted ? "predicted" : "measured");
  }
  return table;
}

std::vector<PageTable> difference_tables(const Comparison& c) {
  std::vector<PageTable> tables;
  for (const Ranking& ranking : c.rankings) {
    const DisplayUnit shown = display_unit(ranking.criterion);
    PageTable table{"Differences by " + ranked_by(ranking)};
    table.add_words({"Ahead", "Behind"});
    table.add_measured("Difference", shown.unit, true, shown.scale);
    table.add_words({"Different at 95 %"});
    for (const Difference& d : ranking.differences) {
      table.add_row(c.entries[ranking.rows[d.better].entry].name(),
                    c.entries[ranking.rows[d.worse].entry].name(),
                    d.difference,
                    d.different ? "yes" : "no");
    }
    tables.push_back(std::move(table));
  }
  return tables;
}

PageTable equal_thrust_table(const Comparison& c) {
  PageTable table{"Which setting of the other fan has the same thrust"};
  table.add_words({"Fan", "Setting", "Other fan"});
  table.add_measured("Its setting", "");
  table.add_words({"Nearest of its own", "In words"});
  for (const EqualThrust& p : c.equal_thrust) {
    const bool found = p.match == ThrustMatch::between;
    table.add_row(p.fan,
                  p.setting,
                  p.other,
                  found ? std::optional<Estimate>(p.other_setting) : std::nullopt,
                  p.nearest_written,
                  pretty(p.words));
  }
  return table;
}

PageTable growth_table(const Comparison& c) {
  PageTable table{"How the flow grows, and the room air that is entrained"};
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
      const bool known = i < g.dragged_m3_s.size();
      table.add_row(e.fan,
                    setting_of(e),
                    p.downstream_m,
                    p.volume_flow_m3_s,
                    known ? std::optional<Measured>(g.dragged_m3_s[i]) : std::nullopt);
      if (i == 0) {  // of the whole fan, so stated once
        table.extend_row(g.per_metre_m2_s, g.entrainment);
      }
    }
  }
  return table;
}

PageTable throw_table(const Comparison& c) {
  PageTable table{"Throw: the distance at which the centreline has slowed to a speed (predicted)"};
  table.add_words({"Fan", "Setting"});
  table.add_number("Speed", "m/s", 3);
  table.add_predicted("Throw", "m");
  table.add_words({"Remark"});
  for (const PredictedStream& f : c.predicted) {
    const FanAtSetting& e = c.entries[f.entry];
    for (const Throw& r : f.throws) {
      table.add_row(e.fan, setting_of(e), r.wished_speed_m_s, r.downstream_m, r.words);
    }
  }
  return table;
}

PageTable along_table(const Comparison& c) {
  PageTable table{"The stream at a distance (predicted)"};
  table.add_words({"Fan", "Setting"});
  table.add_number("Downstream", "m");
  table.add_predicted("Centreline speed", "m/s");
  table.add_predicted("Half-width", "m");
  table.add_predicted("Flow", flow_unit);
  table.add_words({"Remark"});
  for (const PredictedStream& f : c.predicted) {
    const FanAtSetting& e = c.entries[f.entry];
    for (const StreamPrediction& p : f.along) {
      table.add_row(e.fan,
                    setting_of(e),
                    p.downstream_m,
                    p.centre_speed_m_s,
                    p.half_width_m,
                    p.volume_flow_m3_s,
                    zone_words(p.zone));
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
    conditions.push_back(fans.size() == c.fans.size() ? text : joined(fans, ", ") + ": " + text);
  }
  return conditions;
}

}  // namespace sweepflux::render
