#include "render/pages/campaign_parts.hpp"
#include "render/pages/html_text.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/draught_rating.hpp"

#include <algorithm>
#include <limits>

namespace sweepflux::render {
namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

const char* yes_or_no(bool yes) { return yes ? "yes" : "no"; }

std::string quantity_at(const std::string& quantity, const std::optional<double>& downstream_m) {
  return quantity +
         (downstream_m ? " at " + format_number(*downstream_m, 4) + " m" : std::string());
}

}  // namespace

PageTable consistency_table(const Comparison& c) {
  PageTable table{"Do the measurements of one thing agree?"};
  table.add_words({"Fan and setting", "Quantity"});
  table.add_number("Measurements");
  table.add_number("Chi square");
  table.add_number("Chance", "%", 2);
  table.add_number("Birge ratio", "", 2);
  table.add_words({"Agree"});
  for (const FanAtSetting& e : c.entries) {
    for (const Consistency& t : e.consistency) {
      table.add_row(e.name(),
                    quantity_at(t.quantity, t.downstream_m),
                    t.measurements,
                    t.chi_square,
                    100.0 * t.chance,
                    t.birge_ratio,
                    yes_or_no(t.consistent));
    }
  }
  return table;
}

PageTable provenance_table(const Comparison& c) {
  PageTable table{"What went into each of them"};
  table.add_words({"Fan and setting", "Quantity"});
  table.add_measured("This one alone", "");
  table.add_number("Weight", "%", 2);
  table.add_words({"From"});
  for (const FanAtSetting& e : c.entries) {
    for (const Provenance& m : e.measurements) {
      if (m.weight != 1.0) {  // not alone
        table.add_row(
            e.name(), quantity_at(m.quantity, m.downstream_m), m.value, 100.0 * m.weight, m.source);
      }
    }
  }
  return table;
}

PageTable variant_table(const Comparison& c) {
  PageTable table{"After less before"};
  table.add_words({"After", "Before", "Quantity"});
  table.add_measured("Difference", "", true);
  table.add_number("Of the value before", "%", 2);
  table.add_words({"Unit", "Different at 95 %"});
  for (const VariantDifference& d : c.variants) {
    table.add_row(c.entries[d.after].name(),
                  c.entries[d.before].name(),
                  quantity_at(d.quantity, d.downstream_m),
                  d.difference,
                  100.0 * d.relative.value,
                  pretty(d.unit),
                  yes_or_no(d.sure));
  }
  return table;
}

PageTable pair_table(const Comparison& c) {
  const ProbeCheck& probe = c.probe_check->probe;
  PageTable table{"Pairs of momentum flux and thrust"};
  table.add_words({"Fan and setting", "Survey"});
  table.add_measured("Momentum flux", "N");
  table.add_measured("Thrust", "N");
  table.add_number("Ratio", "%", 3);
  table.add_number("From the others", "standard uncertainties", 2);
  table.add_words({"Stands out"});
  for (std::size_t i = 0; i < probe.pairs.size(); ++i) {
    const MomentumThrustPair& p = probe.pairs[i];
    table.add_row(p.name,
                  p.survey,
                  p.momentum_flux_n,
                  p.thrust_n,
                  100.0 * probe.checks[i].ratio,
                  probe.pairs.size() > 2 ? probe.checks[i].z_score : not_known,
                  yes_or_no(probe.checks[i].stands_out));
  }
  return table;
}

PageTable corrected_flow_table(const Comparison& c) {
  PageTable table{"How the flows would change"};
  table.add_words({"Fan and setting"});
  table.add_number("Downstream", "m");
  table.add_measured("As measured", "m\xC2\xB3/s");
  table.add_measured("Over the scale", "m\xC2\xB3/s");
  for (const FlowChange& f : c.probe_check->flows) {
    table.add_row(c.entries[f.entry].name(), f.downstream_m, f.flow_m3_s, f.corrected_m3_s);
  }
  return table;
}

PageTable equal_sound_table(const Comparison& c) {
  const EqualSound& first = c.equal_sounds.front();
  PageTable table{"At " + format_number(first.level_db, 3) + " dB(A), read " +
                  format_number(first.distance_m, 3) + " m from the fan"};
  table.add_words({"Fan", "Setting"});
  table.add_measured("Thrust", "N");
  table.add_measured("Flow at " + format_number(c.distances_m.front(), 4) + " m", "m\xC2\xB3/s");
  table.add_words({"Flow is"});
  for (const EqualSound& s : c.equal_sounds) {
    const char* how = !s.flow_m3_s ? "" : s.flow_predicted ? "predicted" : "measured";
    table.add_row(s.series, s.where, s.thrust_n, s.flow_m3_s, how);
  }
  return table;
}

PageTable gust_table(const Comparison& c) {
  PageTable table{"Gustiness, by a log of the probe at rest in the stream"};
  table.add_words({"Fan and setting"});
  table.add_number("Mean speed", "m/s");
  table.add_measured("Turbulence intensity", "%", false, 100.0);
  table.add_measured("Dominant period", "s");
  table.add_number("Share of the variance in it", "%", 2);
  for (const FanAtSetting& e : c.entries) {
    if (e.gusts) {
      table.add_row(e.name(),
                    e.gusts->mean_m_s,
                    e.gusts->turbulence,
                    e.gusts->period_s,
                    e.gusts->period_s ? 100.0 * e.gusts->period_share : not_known);
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
  PageTable table{"Speed and draught rating at the seat"};
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
  table.add_predicted("Speed", "m/s");
  table.add_predicted("Draught rating", "%");
  table.add_words({"How known", "Remarks"});
  const std::vector<std::string> common = common_seat_remarks(c);
  for (const SeatSpeed& s : c.seats) {
    table.add_row(c.entries[s.entry].name());
    if (!one_seat) {
      table.extend_row(s.seat.distance_m, s.seat.across_m, s.seat.height_m);
    }
    const bool rated = s.draught_rating_percent &&
                       draught_rating_holds(*s.air_temperature_c, s.speed_m_s.value, s.turbulence);
    std::vector<std::string> own = s.remarks;
    std::erase_if(own, [&](const std::string& r) {
      return std::find(common.begin(), common.end(), r) != common.end();
    });
    table.extend_row(s.speed_m_s,
                     rated ? s.draught_rating_percent : std::nullopt,
                     s.mapped ? "mapped" : "predicted",
                     pretty(joined(own, "; ")));
  }
  return table;
}

}  // namespace sweepflux::render
