#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/capture/delimited/text_cell.hpp"
#include "sweepflux/record/comparison.hpp"
#include "sweepflux/record/number_text_private.hpp"

#include <cmath>
#include <limits>
#include <optional>
#include <string>

namespace sweepflux {
namespace {

constexpr double nowhere = std::numeric_limits<double>::quiet_NaN();

/// Rows of one entry.
class Rows {
 public:
  Rows(std::string& text, const FanAtSetting& entry) : text_(text), entry_(entry) {}

  void add(const char* quantity,
           double downstream_m,
           const Estimate& e,
           const char* unit,
           const char* how) {
    if (!std::isfinite(e.value)) {
      return;
    }
    text_ += text_cell(entry_.series()) + "," + text_cell(entry_.setting) + "," + quantity + ",";
    append_number(text_, downstream_m);
    for (const double value : {e.value, e.standard_uncertainty, e.low_95, e.high_95}) {
      text_ += ',';
      append_number(text_, value);
    }
    text_ += std::string(",") + unit + "," + how + "," + text_cell(entry_.source) + "\n";
  }
  void add(const char* quantity,
           double downstream_m,
           const Measured& m,
           const char* unit,
           const char* how) {
    const double half = normal_95 * m.standard_uncertainty;
    add(quantity,
        downstream_m,
        Estimate{m.value, m.standard_uncertainty, m.value - half, m.value + half},
        unit,
        how);
  }
  /// A value whose uncertainty is not known.
  void add(const char* quantity, double downstream_m, double value, const char* unit) {
    add(quantity, downstream_m, Estimate{value, nowhere, nowhere, nowhere}, unit, "measured");
  }

 private:
  std::string& text_;
  const FanAtSetting& entry_;
};

void add_entry(Rows& rows, const FanAtSetting& e) {
  if (e.power_w) {
    rows.add("power", nowhere, *e.power_w, "W", "measured");
  }
  if (e.sound) {
    rows.add("sound_level_a_weighted", nowhere, e.sound->level_db, "dB", "measured");
  }
  if (e.turbulence) {
    rows.add("turbulence_intensity", nowhere, *e.turbulence, "1", "measured");
  }
  if (e.thrust_n) {
    const Estimate& t = *e.thrust_n;
    rows.add("thrust", nowhere, t, "N", "measured");
    const double gf = grams_force(1.0);
    rows.add("thrust",
             nowhere,
             Estimate{gf * t.value, gf * t.standard_uncertainty, gf * t.low_95, gf * t.high_95},
             "gf",
             "measured");
  }
  if (e.ring_value_m3_min_w) {
    rows.add("service_value_by_rings", nowhere, *e.ring_value_m3_min_w, "(m3/min)/W", "derived");
  }
  for (const PlaneFacts& p : e.planes) {
    rows.add("volume_flow", p.downstream_m, p.volume_flow_m3_s, "m3/s", "measured");
    rows.add("momentum_flux", p.downstream_m, p.momentum_flux_n, "N", "measured");
    rows.add("kinetic_power", p.downstream_m, p.kinetic_power_w, "W", "measured");
    rows.add("peak_speed", p.downstream_m, p.peak_speed_m_s, "m/s");
    rows.add("half_width_across", p.downstream_m, p.half_width_y_m, "m");
    rows.add("half_width_upright", p.downstream_m, p.half_width_z_m, "m");
  }
}

void add_growth(Rows& rows, const FanAtSetting& e, const Growth& g) {
  if (g.outlet_flow_m3_s) {
    rows.add("thrust_derived_flow_uniform_outlet_convention",
             nowhere,
             *g.outlet_flow_m3_s,
             "m3/s",
             "derived");
  }
  if (g.per_metre_m2_s) {
    rows.add("flow_growth_per_metre", nowhere, *g.per_metre_m2_s, "m2/s", "derived");
  }
  if (g.entrainment) {
    rows.add("entrainment", nowhere, *g.entrainment, "1", "derived");
  }
  for (std::size_t i = 0; i < g.dragged_m3_s.size() && i < e.planes.size(); ++i) {
    rows.add(
        "room_air_dragged_along", e.planes[i].downstream_m, g.dragged_m3_s[i], "m3/s", "derived");
  }
}

void add_predicted(Rows& rows, const PredictedStream& f) {
  for (const StreamPrediction& p : f.along) {
    rows.add("centre_speed", p.downstream_m, p.centre_speed_m_s, "m/s", "predicted");
    rows.add("half_width", p.downstream_m, p.half_width_m, "m", "predicted");
    rows.add("volume_flow", p.downstream_m, p.volume_flow_m3_s, "m3/s", "predicted");
  }
  for (const Throw& r : f.throws) {
    if (r.downstream_m) {
      std::string name = "throw_to_";
      append_number(name, r.wished_speed_m_s);
      rows.add((name + "_m_s").c_str(), nowhere, *r.downstream_m, "m", "predicted");
    }
  }
}

/// Thrust and flow are written already; per watt only the rankings know.
void add_per_watt(std::string& text, const Comparison& c) {
  for (const Ranking& ranking : c.rankings) {
    const bool thrust = ranking.criterion == Criterion::thrust_per_watt;
    if (!thrust && ranking.criterion != Criterion::flow_per_watt) {
      continue;
    }
    for (const Ranked& r : ranking.rows) {
      Rows rows(text, c.entries[r.entry]);
      rows.add(thrust ? "thrust_per_watt" : "flow_per_watt",
               ranking.downstream_m.value_or(nowhere),
               r.value,
               unit_of(ranking.criterion).c_str(),
               r.predicted ? "predicted" : "derived");
    }
  }
}

}  // namespace

std::string comparison_csv(const Comparison& c) {
  std::string text =
      "fan,setting,quantity,downstream_m,value,standard_uncertainty,low_95,high_95,unit,how,"
      "source\n";
  for (const FanAtSetting& e : c.entries) {
    Rows rows(text, e);
    add_entry(rows, e);
  }
  for (const Growth& g : c.growths) {
    Rows rows(text, c.entries[g.entry]);
    add_growth(rows, c.entries[g.entry], g);
  }
  for (const PredictedStream& f : c.predicted) {
    Rows rows(text, c.entries[f.entry]);
    add_predicted(rows, f);
  }
  add_per_watt(text, c);
  for (const SeatSpeed& s : c.seats) {
    Rows rows(text, c.entries[s.entry]);
    const char* how = s.mapped ? "measured" : "predicted";
    rows.add("speed_at_seat", s.seat.distance_m, s.speed_m_s, "m/s", how);
    if (s.draught_rating_percent) {
      rows.add("draught_rating_at_seat", s.seat.distance_m, *s.draught_rating_percent, "%", how);
    }
  }
  return text;
}

std::string session_csv(const SessionThrust& thrust) {
  std::string text =
      "fan,setting,repeats,readings,thrust_n,thrust_uncertainty_n,thrust_low_95_n,"
      "thrust_high_95_n,thrust_gf,thrust_uncertainty_gf,power_w,power_uncertainty_w,"
      "thrust_per_watt_n_w,thrust_per_watt_uncertainty_n_w,largest_zero_drift_n\n";
  for (const SettingThrust& s : thrust.settings) {
    text += text_cell(s.fan + (s.variant.empty() ? "" : ", " + s.variant)) + "," +
            text_cell(s.setting) + "," + std::to_string(s.repeats) + "," +
            std::to_string(s.readings);
    const auto add = [&](double value) {
      text += ',';
      append_number(text, value);
    };
    for (const double value : {s.thrust_n.value,
                               s.thrust_n.standard_uncertainty,
                               s.thrust_n.low_95,
                               s.thrust_n.high_95,
                               grams_force(s.thrust_n.value),
                               grams_force(s.thrust_n.standard_uncertainty)}) {
      add(value);
    }
    add(s.power_w ? s.power_w->value : nowhere);
    add(s.power_w ? s.power_w->standard_uncertainty : nowhere);
    add(s.thrust_per_watt_n_w ? s.thrust_per_watt_n_w->value : nowhere);
    add(s.thrust_per_watt_n_w ? s.thrust_per_watt_n_w->standard_uncertainty : nowhere);
    add(s.largest_zero_drift_n);
    text += '\n';
  }
  return text;
}

}  // namespace sweepflux
