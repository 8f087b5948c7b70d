#include "render/pages/campaign_parts.hpp"
#include "render/pages/html_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/draught_rating.hpp"

#include <algorithm>
#include <limits>
#include <utility>

namespace sweepflux::render {
namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

std::string quantity_at(const std::string& quantity, const std::optional<double>& downstream_m) {
  return quantity +
         (downstream_m ? " at " + format_number(*downstream_m, 4) + " m" : std::string());
}

}  // namespace

PageTable consistency_table(const Comparison& c) {
  PageTable table;
  table.caption = "Do the measurements of one thing agree?";
  table.add_words({"Fan and setting", "Quantity"});
  table.columns.push_back({"Measurements", "", true});
  table.add_number("Chi square", "");
  table.add_number("Chance", "%", 2);
  table.add_number("Birge ratio", "", 2);
  table.add_words({"Agree"});
  for (const FanAtSetting& e : c.entries) {
    for (const Consistency& t : e.consistency) {
      table.rows.push_back({e.name(),
                            quantity_at(t.quantity, t.downstream_m),
                            t.measurements,
                            t.chi_square,
                            100.0 * t.chance,
                            t.birge_ratio,
                            t.consistent ? "yes" : "no"});
    }
  }
  return table;
}

PageTable provenance_table(const Comparison& c) {
  PageTable table;
  table.caption = "What went into each of them";
  table.add_words({"Fan and setting", "Quantity"});
  table.add_measured("This one alone", "");
  table.add_number("Weight", "%", 2);
  table.add_words({"From"});
  for (const FanAtSetting& e : c.entries) {
    for (const Provenance& m : e.measurements) {
      if (m.weight == 1.0) {
        continue;  // alone
      }
      std::vector<PageTable::Cell>& row = table.rows.emplace_back();
      row.insert(row.end(), {e.name(), quantity_at(m.quantity, m.downstream_m)});
      add_cells(row, std::optional<Estimate>(m.value));
      row.emplace_back(100.0 * m.weight);
      row.emplace_back(m.source);
    }
  }
  return table;
}

PageTable variant_table(const Comparison& c) {
  PageTable table;
  table.caption = "After less before";
  table.add_words({"After", "Before", "Quantity"});
  table.add_measured("Difference", "", true);
  table.add_number("Of the value before", "%", 2);
  table.add_words({"Unit", "Different at 95 %"});
  for (const VariantDifference& d : c.variants) {
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.insert(row.end(),
               {c.entries[d.after].name(),
                c.entries[d.before].name(),
                quantity_at(d.quantity, d.downstream_m)});
    add_cells(row, std::optional<Estimate>(d.difference), true);
    row.emplace_back(100.0 * d.relative.value);
    row.insert(row.end(), {pretty(d.unit), d.sure ? "yes" : "no"});
  }
  return table;
}

PageTable pair_table(const Comparison& c) {
  const ProbeCheck& probe = c.probe_check->probe;
  PageTable table;
  table.caption = "Pairs of momentum flux and thrust";
  table.add_words({"Fan and setting", "Survey"});
  table.add_measured("Momentum flux", "N");
  table.add_measured("Thrust", "N");
  table.add_number("Ratio", "%", 3);
  table.add_number("From the others", "standard uncertainties", 2);
  table.add_words({"Stands out"});
  for (std::size_t i = 0; i < probe.pairs.size(); ++i) {
    const MomentumThrustPair& p = probe.pairs[i];
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.insert(row.end(), {p.name, p.survey});
    add_cells(row, std::optional<Measured>(p.momentum_flux_n));
    add_cells(row, std::optional<Measured>(p.thrust_n));
    row.emplace_back(100.0 * probe.checks[i].ratio);
    row.emplace_back(probe.pairs.size() > 2 ? probe.checks[i].z_score : not_known);
    row.emplace_back(probe.checks[i].stands_out ? "yes" : "no");
  }
  return table;
}

PageTable corrected_flow_table(const Comparison& c) {
  PageTable table;
  table.caption = "How the flows would change";
  table.add_words({"Fan and setting"});
  table.add_number("Downstream", "m");
  table.add_measured("As measured", "m\xC2\xB3/s");
  table.add_measured("Over the scale", "m\xC2\xB3/s");
  for (const FlowChange& f : c.probe_check->flows) {
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.insert(row.end(), {c.entries[f.entry].name(), f.downstream_m});
    add_cells(row, std::optional<Estimate>(f.flow_m3_s));
    add_cells(row, std::optional<Estimate>(f.corrected_m3_s));
  }
  return table;
}

PageTable equal_sound_table(const Comparison& c) {
  const EqualSound& first = c.equal_sounds.front();
  PageTable table;
  table.caption = "At " + format_number(first.level_db, 3) + " dB(A), read " +
                  format_number(first.distance_m, 3) + " m from the fan";
  table.add_words({"Fan", "Setting"});
  table.add_measured("Thrust", "N");
  table.add_measured("Flow at " + format_number(c.distances_m.front(), 4) + " m", "m\xC2\xB3/s");
  table.add_words({"Flow is"});
  for (const EqualSound& s : c.equal_sounds) {
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.insert(row.end(), {s.series, s.where});
    add_cells(row, s.thrust_n);
    add_cells(row, s.flow_m3_s);
    row.emplace_back(!s.flow_m3_s ? "" : s.flow_predicted ? "predicted" : "measured");
  }
  return table;
}

PageTable gust_table(const Comparison& c) {
  PageTable table;
  table.caption = "Gustiness, by a log of the probe at rest in the stream";
  table.add_words({"Fan and setting"});
  table.add_number("Mean speed", "m/s");
  table.add_measured("Turbulence intensity", "%");
  table.add_measured("Dominant period", "s");
  table.add_number("Share of the variance in it", "%", 2);
  for (const FanAtSetting& e : c.entries) {
    if (e.gusts) {
      std::vector<PageTable::Cell>& row = table.rows.emplace_back();
      row.insert(row.end(), {e.name(), e.gusts->mean_m_s});
      add_cells(row, std::optional<Measured>(e.gusts->turbulence), 100.0);
      add_cells(row, e.gusts->period_s);
      row.emplace_back(e.gusts->period_s ? 100.0 * e.gusts->period_share : not_known);
    }
  }
  return table;
}

std::vector<std::string> common_seat_remarks(const Comparison& c) {
  std::vector<std::string> common;
  for (const std::string& remark : c.seats.front().remarks) {
    if (std::all_of(c.seats.begin(), c.seats.end(), [&](const SeatSpeed& s) {
          return std::find(s.remarks.begin(), s.remarks.end(), remark) != s.remarks.end();
        })) {
      common.push_back(remark);
    }
  }
  return common;
}

PageTable seat_table(const Comparison& c) {
  const Seat& seat = c.seats.front().seat;
  const bool one_seat = std::all_of(c.seats.begin(), c.seats.end(), [&](const SeatSpeed& s) {
    return s.seat.distance_m == seat.distance_m && s.seat.across_m == seat.across_m &&
           s.seat.height_m == seat.height_m;
  });
  PageTable table;
  table.caption = "Speed and draught rating at the seat";
  table.add_words({"Fan and setting"});
  if (one_seat) {
    table.caption += ": " + metres_text(seat.distance_m) + " from the outlet, " +
                     metres_text(seat.across_m) + " off the axis, " + metres_text(seat.height_m) +
                     " above the floor";
  } else {
    table.add_number("Distance", "m");
    table.add_number("Off the axis", "m", 2);
    table.add_number("Height", "m");
  }
  for (const auto& [name, unit] : {std::pair{"Speed", "m/s"}, {"Draught rating", "%"}}) {
    const auto group = static_cast<int>(table.columns.size());
    for (const char* column : {name, "from (95 %)", "to (95 %)"}) {
      table.columns.push_back({column, unit, true, 2, group});
    }
  }
  table.add_words({"How known", "Remarks"});
  const std::vector<std::string> common = common_seat_remarks(c);
  for (const SeatSpeed& s : c.seats) {
    std::vector<PageTable::Cell>& row = table.rows.emplace_back();
    row.emplace_back(c.entries[s.entry].name());
    if (!one_seat) {
      row.insert(row.end(), {s.seat.distance_m, s.seat.across_m, s.seat.height_m});
    }
    Estimate dr{not_known, not_known, not_known, not_known};
    if (s.draught_rating_percent &&
        draught_rating_holds(*s.air_temperature_c, s.speed_m_s.value, s.turbulence)) {
      dr = *s.draught_rating_percent;
    }
    for (const Estimate* e : {&s.speed_m_s, &std::as_const(dr)}) {
      row.insert(row.end(), {e->value, e->low_95, e->high_95});
    }
    std::string remarks;
    for (const std::string& r : s.remarks) {
      if (std::find(common.begin(), common.end(), r) == common.end()) {
        remarks += (remarks.empty() ? "" : "; ") + r;
      }
    }
    row.insert(row.end(), {s.mapped ? "mapped" : "predicted", pretty(remarks)});
  }
  return table;
}

}  // namespace sweepflux::render
