#include "sweepflux/record/comparison.hpp"
#include "sweepflux/record/comparison_json_private.hpp"

#include <cmath>

namespace sweepflux {
namespace {

Json to_json(const Provenance& p) {
  return {{"source", p.source},
          {"quantity", p.quantity},
          {"downstream_m", distance(p.downstream_m)},
          {"value", to_json(p.value)},
          {"weight", number(p.weight)}};
}

Json to_json(const Consistency& c) {
  return {{"quantity", c.quantity},
          {"downstream_m", distance(c.downstream_m)},
          {"measurements", c.measurements},
          {"chi_square", number(c.chi_square)},
          {"degrees_of_freedom", number(c.degrees)},
          {"chance", number(c.chance)},
          {"birge_ratio", number(c.birge_ratio)},
          {"consistent", c.consistent},
          {"words", c.words}};
}

Json to_json(const FanAtSetting& e) {
  Json json = who(e);
  json["source"] = e.source;
  json["thrust_n"] = to_json(e.thrust_n);
  json["power_w"] = to_json(e.power_w);
  json["sound_level_db"] = e.sound ? to_json(e.sound->level_db) : Json(nullptr);
  json["sound_distance_m"] = e.sound ? number(e.sound->distance_m) : Json(nullptr);
  json["turbulence_intensity"] = to_json(e.turbulence);
  json["gusts"] = nullptr;
  if (e.gusts) {
    json["gusts"] = {{"mean_speed_m_s", number(e.gusts->mean_m_s)},
                     {"turbulence_intensity", to_json(e.gusts->turbulence)},
                     {"integral_time_s", number(e.gusts->integral_time_s)},
                     {"dominant_period_s", to_json(e.gusts->period_s)},
                     {"share_of_variance", number(e.gusts->period_share)},
                     {"values", e.gusts->values},
                     {"left_out", e.gusts->left_out}};
  }
  json["momentum_flux_n"] = to_json(e.momentum_flux_n);
  json["measurements"] = list_of(e.measurements, [](const auto& m) { return to_json(m); });
  json["consistency"] = list_of(e.consistency, [](const auto& t) { return to_json(t); });
  json["density_kg_m3"] = to_json(e.density_kg_m3);
  json["service_value_by_rings_m3_min_w"] = to_json(e.ring_value_m3_min_w);
  json["readings"] = e.readings;
  json["left_out"] = e.left_out;
  Json planes = Json::array();
  for (const PlaneFacts& p : e.planes) {
    planes.push_back({{"distance_m", number(p.distance_m)},
                      {"downstream_m", number(p.downstream_m)},
                      {"volume_flow_m3_s", to_json(p.volume_flow_m3_s)},
                      {"momentum_flux_n", to_json(p.momentum_flux_n)},
                      {"kinetic_power_w", to_json(p.kinetic_power_w)},
                      {"peak_speed_m_s", number(p.peak_speed_m_s)}});
  }
  json["planes"] = std::move(planes);
  Json lone = Json::array();
  for (const LoneSweep& s : e.lone_sweeps) {
    lone.push_back({{"distance_m", number(s.distance_m)},
                    {"height_m", number(s.profile.height_m)},
                    {"why_no_map", s.why_no_map}});
  }
  json["lone_sweeps"] = std::move(lone);
  return json;
}

Json to_json(const Comparison& c, const Ranking& ranking) {
  Json rows = Json::array();
  for (const Ranked& r : ranking.rows) {
    Json row = who(c.entries[r.entry]);
    row["place"] = r.place;
    row["value"] = number(r.value.value);
    row["standard_uncertainty"] = number(r.value.standard_uncertainty);
    row["interval_95"] = {number(r.value.low_95), number(r.value.high_95)};
    row["predicted"] = r.predicted;
    if (!r.where.empty()) {
      row["where"] = r.where;
    }
    rows.push_back(std::move(row));
  }
  Json differences = Json::array();
  for (const Difference& d : ranking.differences) {
    differences.push_back({{"ahead", who(c.entries[ranking.rows[d.better].entry])},
                           {"behind", who(c.entries[ranking.rows[d.worse].entry])},
                           {"difference", to_json(d.difference)},
                           {"different_at_95", d.different}});
  }
  Json missing = Json::array();
  for (const std::size_t i : ranking.missing) {
    missing.push_back(who(c.entries[i]));
  }
  return {{"by", words_of(ranking.criterion)},
          {"unit", unit_of(ranking.criterion)},
          {"downstream_m", distance(ranking.downstream_m)},
          {"sound_level_db", distance(ranking.sound_level_db)},
          {"smallest_first", ranking.criterion == Criterion::lowest_centreline_speed},
          {"rows", std::move(rows)},
          {"differences", std::move(differences)},
          {"without_value", std::move(missing)}};
}

Json to_json(const EqualThrust& p) {
  const bool between = p.match == ThrustMatch::between;
  const char* match = between                           ? "between"
                      : p.match == ThrustMatch::below_all ? "below_all"
                      : p.match == ThrustMatch::above_all ? "above_all"
                                                        : "several_or_none";
  return {{"fan", p.fan},
          {"setting", p.setting},
          {"thrust_n", to_json(p.thrust_n)},
          {"other_fan", p.other},
          {"match", match},
          {"other_setting", between ? to_json(p.other_setting) : Json(nullptr)},
          {"nearest_of_its_own", p.nearest_written},
          {"nearest_equal", p.nearest_equal},
          {"words", p.words}};
}

Json growth_to_json(const Comparison& c, const Growth& g) {
  const FanAtSetting& e = c.entries[g.entry];
  Json json = who(e);
  json["planes"] = g.planes;
  json["per_metre_m2_s"] = to_json(g.per_metre_m2_s);
  json["entrainment"] = to_json(g.entrainment);
  json["thrust_derived_flow_uniform_outlet_convention_m3_s"] = to_json(g.outlet_flow_m3_s);
  Json dragged = Json::array();
  for (std::size_t i = 0; i < g.dragged_m3_s.size() && i < e.planes.size(); ++i) {
    Json row = to_json(g.dragged_m3_s[i]);
    row["downstream_m"] = number(e.planes[i].downstream_m);
    dragged.push_back(std::move(row));
  }
  json["room_air_dragged_along_m3_s"] = std::move(dragged);
  return json;
}

const char* zone_name(StreamZone zone) {
  return zone == StreamZone::developing  ? "developing"
         : zone == StreamZone::developed ? "developed"
                                         : "beyond_room";
}

Json predicted_to_json(const Comparison& c, const PredictedStream& f) {
  Json json = who(c.entries[f.entry]);
  json["shape"] = {{"from_a_map", f.shape.fitted},
                   {"spread", to_json(f.shape.spread)},
                   {"throw_constant", to_json(f.shape.throw_constant)},
                   {"entrainment", to_json(f.shape.entrainment)},
                   {"origin_m", to_json(f.shape.origin_m)}};
  Json along = Json::array();
  for (const StreamPrediction& p : f.along) {
    along.push_back({{"downstream_m", number(p.downstream_m)},
                     {"centre_speed_m_s", to_json(p.centre_speed_m_s)},
                     {"half_width_m", to_json(p.half_width_m)},
                     {"volume_flow_m3_s", to_json(p.volume_flow_m3_s)},
                     {"zone", zone_name(p.zone)},
                     {"room_loss", number(p.room_loss)}});
  }
  json["along"] = std::move(along);
  Json throws = Json::array();
  for (const Throw& r : f.throws) {
    throws.push_back({{"speed_m_s", number(r.wished_speed_m_s)},
                     {"downstream_m", to_json(r.downstream_m)},
                     {"zone", zone_name(r.zone)},
                     {"words", r.words}});
  }
  json["throw"] = std::move(throws);
  json["conditions"] = f.conditions;
  return json;
}

Json to_json(const Comparison& c) {
  Json json;
  json["summary"] = c.summary;
  json["warnings"] = c.warnings;
  json["distances_m"] = c.distances_m;
  json["same_probe"] = c.options.shared.same_probe;
  json["same_balance"] = c.options.shared.same_balance;
  json["entries"] = list_of(c.entries, [](const auto& e) { return to_json(e); });
  json["rankings"] = list_of(c.rankings, [&](const auto& r) { return to_json(c, r); });
  json["equal_thrust"] = list_of(c.equal_thrust, [](const auto& p) { return to_json(p); });
  json["growth"] = list_of(c.growths, [&](const auto& g) { return growth_to_json(c, g); });
  json["predicted"] = list_of(c.predicted, [&](const auto& f) { return predicted_to_json(c, f); });
  add_campaign_parts(json, c);
  return json;
}

Json to_json(const SettingThrust& s) {
  return {{"fan", s.fan},
          {"setting", s.setting},
          {"variant", s.variant},
          {"sound_level_db", s.sound ? to_json(s.sound->level_db) : Json(nullptr)},
          {"repeats", s.repeats},
          {"readings", s.readings},
          {"thrust_n", to_json(s.thrust_n)},
          {"own_uncertainty_n", number(s.own_uncertainty_n)},
          {"thrust_gf",
           {{"value", number(grams_force(s.thrust_n.value))},
            {"standard_uncertainty", number(grams_force(s.thrust_n.standard_uncertainty))}}},
          {"power_w", to_json(s.power_w)},
          {"thrust_per_watt_n_w", to_json(s.thrust_per_watt_n_w)},
          {"largest_zero_drift_n", number(s.largest_zero_drift_n)},
          {"remarks", s.remarks}};
}

// What is no UTF-8 (a file's name may hold it) becomes U+FFFD.
std::string written(const Json& json) { return json_text(json); }

}  // namespace

std::string comparison_json(const Comparison& comparison) {
  Json json{{"sweepflux", SWEEPFLUX_VERSION}};
  json.update(to_json(comparison));
  return written(json);
}

std::string session_json(const BalanceSession& session,
                         const SessionThrust& thrust,
                         const Comparison& comparison) {
  Json settings = Json::array();
  for (const SettingThrust& s : thrust.settings) {
    settings.push_back(to_json(s));
  }
  const Json json{
      {"sweepflux", SWEEPFLUX_VERSION},
      {"session", {{"title", session.title}, {"blocks", session.readings.size()}}},
      {"lever", {{"ratio", to_json(thrust.lever.ratio)}, {"words", thrust.lever.words}}},
      {"air", {{"density_kg_m3", to_json(thrust.density_kg_m3)}}},
      {"settings", std::move(settings)},
      {"remarks", list_of(session.remarks, [](const Finding& r) { return to_json(r); })},
      {"comparison", to_json(comparison)}};
  return written(json);
}

}  // namespace sweepflux
