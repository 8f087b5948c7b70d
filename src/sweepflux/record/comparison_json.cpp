#include "sweepflux/record/comparison.hpp"
#include "sweepflux/record/json_text_private.hpp"

#include <utility>

namespace sweepflux {
namespace {

Json who(const FanAtSetting& e) {
  Json json{{"fan", e.fan}, {"setting", e.setting}};
  if (!e.variant.empty()) {
    json["variant"] = e.variant;
  }
  return json;
}

Json to_json(const Provenance& p) {
  return {{"source", p.source},
          {"quantity", p.quantity},
          {"downstream_m", number(p.downstream_m)},
          {"value", to_json(p.value)},
          {"weight", number(p.weight)}};
}

Json to_json(const Consistency& c) {
  return {{"quantity", c.quantity},
          {"downstream_m", number(c.downstream_m)},
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
  json["planes"] = list_of(e.planes, [](const PlaneFacts& p) {
    return Json{{"distance_m", number(p.distance_m)},
                {"downstream_m", number(p.downstream_m)},
                {"volume_flow_m3_s", to_json(p.volume_flow_m3_s)},
                {"momentum_flux_n", to_json(p.momentum_flux_n)},
                {"kinetic_power_w", to_json(p.kinetic_power_w)},
                {"peak_speed_m_s", number(p.peak_speed_m_s)}};
  });
  json["lone_sweeps"] = list_of(e.lone_sweeps, [](const LoneSweep& s) {
    return Json{{"distance_m", number(s.distance_m)},
                {"height_m", number(s.profile.height_m)},
                {"why_no_map", s.why_no_map}};
  });
  return json;
}

Json to_json(const Comparison& c, const Ranking& ranking) {
  const Json rows = list_of(ranking.rows, [&](const Ranked& r) {
    Json row = who(c.entries[r.entry]);
    row["place"] = r.place;
    row.update(to_json(r.value));
    row["predicted"] = r.predicted;
    if (!r.where.empty()) {
      row["where"] = r.where;
    }
    return row;
  });
  const Json differences = list_of(ranking.differences, [&](const Difference& d) {
    return Json{{"ahead", who(c.entries[ranking.rows[d.better].entry])},
                {"behind", who(c.entries[ranking.rows[d.worse].entry])},
                {"difference", to_json(d.difference)},
                {"different_at_95", d.different}};
  });
  return {{"by", words_of(ranking.criterion)},
          {"unit", unit_of(ranking.criterion)},
          {"downstream_m", number(ranking.downstream_m)},
          {"sound_level_db", number(ranking.sound_level_db)},
          {"smallest_first", ranking.criterion == Criterion::lowest_centreline_speed},
          {"rows", rows},
          {"differences", differences},
          {"without_value",
           list_of(ranking.missing, [&](std::size_t i) { return who(c.entries[i]); })}};
}

Json to_json(const EqualThrust& p) {
  const bool between = p.match == ThrustMatch::between;
  return {{"fan", p.fan},
          {"setting", p.setting},
          {"thrust_n", to_json(p.thrust_n)},
          {"other_fan", p.other},
          {"match",
           between                             ? "between"
           : p.match == ThrustMatch::below_all ? "below_all"
           : p.match == ThrustMatch::above_all ? "above_all"
                                               : "several_or_none"},
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
  json["along"] = list_of(f.along, [](const StreamPrediction& p) {
    return Json{{"downstream_m", number(p.downstream_m)},
                {"centre_speed_m_s", to_json(p.centre_speed_m_s)},
                {"half_width_m", to_json(p.half_width_m)},
                {"volume_flow_m3_s", to_json(p.volume_flow_m3_s)},
                {"zone", zone_name(p.zone)},
                {"room_loss", number(p.room_loss)}};
  });
  json["throw"] = list_of(f.throws, [](const Throw& r) {
    return Json{{"speed_m_s", number(r.wished_speed_m_s)},
                {"downstream_m", to_json(r.downstream_m)},
                {"zone", zone_name(r.zone)},
                {"words", r.words}};
  });
  json["conditions"] = f.conditions;
  return json;
}

Json variant_to_json(const Comparison& c, const VariantDifference& d) {
  return {{"before", who(c.entries[d.before])},
          {"after", who(c.entries[d.after])},
          {"quantity", d.quantity},
          {"unit", d.unit},
          {"downstream_m", number(d.downstream_m)},
          {"difference", to_json(d.difference)},
          {"relative", to_json(d.relative)},
          {"sure", d.sure},
          {"words", d.words}};
}

Json check_to_json(const Comparison& c, const CampaignCheck& check) {
  const ProbeCheck& probe = check.probe;
  Json pairs = Json::array();
  for (std::size_t i = 0; i < probe.pairs.size(); ++i) {
    const MomentumThrustPair& p = probe.pairs[i];
    pairs.push_back({{"of", p.name},
                     {"survey", p.survey},
                     {"momentum_flux_n", to_json(p.momentum_flux_n)},
                     {"thrust_n", to_json(p.thrust_n)},
                     {"ratio", number(probe.checks[i].ratio)},
                     {"z_score", number(probe.checks[i].z_score)},
                     {"stands_out", probe.checks[i].stands_out}});
  }
  const Json flows = list_of(check.flows, [&](const FlowChange& f) {
    Json json = who(c.entries[f.entry]);
    json["downstream_m"] = number(f.downstream_m);
    json["volume_flow_m3_s"] = to_json(f.flow_m3_s);
    json["corrected_m3_s"] = to_json(f.corrected_m3_s);
    return json;
  });
  return {{"pairs", probe.pairs.size()},
          {"scale", to_json(probe.scale)},
          {"explains_all", probe.explains_all},
          {"chi_square", number(probe.chi_square)},
          {"degrees_of_freedom", number(probe.degrees)},
          {"chance", number(probe.chance)},
          {"birge_ratio", number(probe.birge_ratio)},
          {"stated_scale", to_json(check.stated)},
          {"scale_beside_offset", to_json(probe.scale_beside_offset)},
          {"offset_m_s", to_json(probe.offset_m_s)},
          {"chance_with_offset", number(probe.chance_with_offset)},
          {"scale_if_turbulence_and_pressure_count",
           {number(probe.scale_if_neglected_low), number(probe.scale_if_neglected_high)}},
          {"stands_out",
           probe.stands_out ? Json(probe.pairs[*probe.stands_out].survey) : Json(nullptr)},
          {"pair_list", std::move(pairs)},
          {"flows", flows},
          {"calibration", check.calibration},
          {"applied", false},
          {"words", probe.words}};
}

Json sound_to_json(const Comparison& c, const EqualSound& s) {
  return {{"series", s.series},
          {"sound_level_db", number(s.level_db)},
          {"sound_distance_m", number(s.distance_m)},
          {"where", s.where},
          {"nearest_setting", c.entries[s.entry].setting},
          {"thrust_n", to_json(s.thrust_n)},
          {"volume_flow_m3_s", to_json(s.flow_m3_s)},
          {"flow_predicted", s.flow_predicted}};
}

Json seat_to_json(const Comparison& c, const SeatSpeed& s) {
  Json json = who(c.entries[s.entry]);
  json["seat"] = {{"distance_m", number(s.seat.distance_m)},
                  {"across_m", number(s.seat.across_m)},
                  {"height_m", number(s.seat.height_m)},
                  {"wished_speed_m_s", number(s.seat.speed_m_s)}};
  json["speed_m_s"] = to_json(s.speed_m_s);
  json["how"] = s.mapped ? "mapped" : "predicted";
  json["turbulence_intensity"] = number(s.turbulence);
  json["turbulence_measured"] = s.turbulence_measured;
  json["air_temperature_c"] = number(s.air_temperature_c);
  json["draught_rating_percent"] = to_json(s.draught_rating_percent);
  json["remarks"] = s.remarks;
  return json;
}

Json choice_to_json(const Comparison& c, const SeatChoice& choice) {
  return {{"series", choice.series},
          {"wished_speed_m_s", number(choice.wished_m_s)},
          {"setting", choice.entry ? Json(c.entries[*choice.entry].setting) : Json(nullptr)},
          {"words", choice.words}};
}

Json profile_to_json(const Comparison& c, const ShownProfile& p) {
  Json json = who(c.entries[p.entry]);
  json["downstream_m"] = number(p.downstream_m);
  json["carried_from_m"] = number(p.carried_from_m);
  json["height_m"] = number(p.profile.height_m);
  const auto numbers = [](const std::vector<double>& values) {
    return list_of(values, [](double v) { return number(v); });
  };
  json["across_m"] = numbers(p.profile.across_m);
  json["speed_m_s"] = numbers(p.profile.speed_m_s);
  json["uncertainty_m_s"] = numbers(p.profile.uncertainty_m_s);
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
  json["variants"] = list_of(c.variants, [&](const auto& d) { return variant_to_json(c, d); });
  json["probe_check"] = c.probe_check ? check_to_json(c, *c.probe_check) : Json(nullptr);
  json["equal_sound"] = list_of(c.equal_sounds, [&](const auto& s) { return sound_to_json(c, s); });
  json["seats"] = list_of(c.seats, [&](const auto& s) { return seat_to_json(c, s); });
  json["seat_choices"] =
      list_of(c.seat_choices, [&](const auto& s) { return choice_to_json(c, s); });
  json["profiles"] = list_of(c.profiles, [&](const auto& p) { return profile_to_json(c, p); });
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

}  // namespace

std::string comparison_json(const Comparison& comparison) {
  Json json{{"sweepflux", SWEEPFLUX_VERSION}};
  json.update(to_json(comparison));
  return json_text(json);
}

std::string session_json(const BalanceSession& session,
                         const SessionThrust& thrust,
                         const Comparison& comparison) {
  const Json json{
      {"sweepflux", SWEEPFLUX_VERSION},
      {"session", {{"title", session.title}, {"blocks", session.readings.size()}}},
      {"lever", {{"ratio", to_json(thrust.lever.ratio)}, {"words", thrust.lever.words}}},
      {"air", {{"density_kg_m3", to_json(thrust.density_kg_m3)}}},
      {"settings", list_of(thrust.settings, [](const auto& s) { return to_json(s); })},
      {"remarks", list_of(session.remarks, [](const Finding& r) { return to_json(r); })},
      {"comparison", to_json(comparison)}};
  return json_text(json);
}

}  // namespace sweepflux
