#include "sweepflux/record/comparison_json_private.hpp"

namespace sweepflux {
namespace {

Json variant_to_json(const Comparison& c, const VariantDifference& d) {
  return {{"before", who(c.entries[d.before])},
          {"after", who(c.entries[d.after])},
          {"quantity", d.quantity},
          {"unit", d.unit},
          {"downstream_m", distance(d.downstream_m)},
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
          {"stands_out", probe.stands_out ? Json(probe.pairs[*probe.stands_out].survey) : Json(nullptr)},
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
                  {"wished_speed_m_s", distance(s.seat.speed_m_s)}};
  json["speed_m_s"] = to_json(s.speed_m_s);
  json["how"] = s.mapped ? "mapped" : "predicted";
  json["turbulence_intensity"] = number(s.turbulence);
  json["turbulence_measured"] = s.turbulence_measured;
  json["air_temperature_c"] = distance(s.air_temperature_c);
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
  json["carried_from_m"] = distance(p.carried_from_m);
  json["height_m"] = number(p.profile.height_m);
  const auto numbers = [](const std::vector<double>& values) {
    return list_of(values, [](double v) { return number(v); });
  };
  json["across_m"] = numbers(p.profile.across_m);
  json["speed_m_s"] = numbers(p.profile.speed_m_s);
  json["uncertainty_m_s"] = numbers(p.profile.uncertainty_m_s);
  return json;
}

}  // namespace

void add_campaign_parts(Json& json, const Comparison& c) {
  json["variants"] = list_of(c.variants, [&](const auto& d) { return variant_to_json(c, d); });
  json["probe_check"] = c.probe_check ? check_to_json(c, *c.probe_check) : Json(nullptr);
  json["equal_sound"] = list_of(c.equal_sounds, [&](const auto& s) { return sound_to_json(c, s); });
  json["seats"] = list_of(c.seats, [&](const auto& s) { return seat_to_json(c, s); });
  json["seat_choices"] =
      list_of(c.seat_choices, [&](const auto& s) { return choice_to_json(c, s); });
  json["profiles"] = list_of(c.profiles, [&](const auto& p) { return profile_to_json(c, p); });
}

}  // namespace sweepflux
