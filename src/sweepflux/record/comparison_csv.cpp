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

Estimate with_interval(const Estimate& e) { return e; }
Estimate with_interval(const Measured& m) {
  return symmetric_estimate(m.value, m.standard_uncertainty);
}
/// A value whose uncertainty is not known.
Estimate with_interval(double value) { return {value, nowhere, nowhere, nowhere}; }

/// Rows of one entry.
class Rows {
 public:
  Rows(std::string& text, const FanAtSetting& entry) : text_(text), entry_(entry) {}

  /// @param value  an Estimate, a Measured or a number
  template <typename Value>
  void add(const std::string& quantity,
           double downstream_m,
           const Value& value,
           const std::string& unit,
           const char* how) {
    const Estimate e = with_interval(value);
    if (!std::isfinite(e.value)) {
      return;
    }
    text_ += text_cell(entry_.series()) + "," + text_cell(entry_.setting) + "," + quantity + ",";
    append_number(text_, downstream_m);
    for (const double part : {e.value, e.standard_uncertainty, e.low_95, e.high_95}) {
      text_ += ',';
      append_number(text_, part);
    }
    text_ += "," + unit + "," + how + "," + text_cell(entry_.source) + "\n";
  }
  /// No row where there is no value.
  template <typename Value>
  void add(const std::string& quantity,
           double downstream_m,
           const std::optional<Value>& value,
           const std::string& unit,
           const char* how) {
    if (value) {
      add(quantity, downstream_m, *value, unit, how);
    }
  }

 private:
  std::string& text_;
  const FanAtSetting& entry_;
};

void add_entry(Rows& rows, const FanAtSetting& e) {
  const std::optional<Measured> level = e.sound ? std::optional(e.sound->level_db) : std::nullopt;
  rows.add("power", nowhere, e.power_w, "W", "measured");
  rows.add("sound_level_a_weighted", nowhere, level, "dB", "measured");
  rows.add("turbulence_intensity", nowhere, e.turbulence, "1", "measured");
  rows.add("thrust", nowhere, e.thrust_n, "N", "measured");
  if (e.thrust_n) {
    rows.add("thrust", nowhere, scaled(*e.thrust_n, grams_force(1.0)), "gf", "measured");
  }
  rows.add("service_value_by_rings", nowhere, e.ring_value_m3_min_w, "(m3/min)/W", "derived");
  for (const PlaneFacts& p : e.planes) {
    rows.add("volume_flow", p.downstream_m, p.volume_flow_m3_s, "m3/s", "measured");
    rows.add("momentum_flux", p.downstream_m, p.momentum_flux_n, "N", "measured");
    rows.add("kinetic_power", p.downstream_m, p.kinetic_power_w, "W", "measured");
    rows.add("peak_speed", p.downstream_m, p.peak_speed_m_s, "m/s", "measured");
    rows.add("half_width_across", p.downstream_m, p.half_width_y_m, "m", "measured");
    rows.add("half_width_upright", p.downstream_m, p.half_width_z_m, "m", "measured");
  }
}

void add_growth(Rows& rows, const FanAtSetting& e, const Growth& g) {
  rows.add("thrust_derived_flow_uniform_outlet_convention",
           nowhere,
           g.outlet_flow_m3_s,
           "m3/s",
           "derived");
  rows.add("flow_growth_per_metre", nowhere, g.per_metre_m2_s, "m2/s", "derived");
  rows.add("entrainment", nowhere, g.entrainment, "1", "derived");
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
    std::string name = "throw_to_";
    append_number(name, r.wished_speed_m_s);
    rows.add(name + "_m_s", nowhere, r.downstream_m, "m", "predicted");
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
               unit_of(ranking.criterion),
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
    rows.add("draught_rating_at_seat", s.seat.distance_m, s.draught_rating_percent, "%", how);
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
    const Measured power = s.power_w.value_or(Measured{nowhere, nowhere});
    const Estimate per_watt = s.thrust_per_watt_n_w.value_or(with_interval(nowhere));
    for (const double value : {s.thrust_n.value,
                               s.thrust_n.standard_uncertainty,
                               s.thrust_n.low_95,
                               s.thrust_n.high_95,
                               grams_force(s.thrust_n.value),
                               grams_force(s.thrust_n.standard_uncertainty),
                               power.value,
                               power.standard_uncertainty,
                               per_watt.value,
                               per_watt.standard_uncertainty,
                               s.largest_zero_drift_n}) {
      text += ',';
      append_number(text, value);
    }
    text += '\n';
  }
  return text;
}

}  // namespace sweepflux
