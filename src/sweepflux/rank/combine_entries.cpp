#include "sweepflux/rank/combine_entries.hpp"

#include "sweepflux/base/combination.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/campaign_check.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

using Group = std::vector<const FanAtSetting*>;

/// One measurement of a quantity, with what it shares.
struct Part {
  const FanAtSetting* of = nullptr;
  Estimate value;
  double shared = 0.0;  ///< relative
  std::string cause;    ///< of what it shares
};

std::string consistency_words(const Consistency& c, const std::string& name) {
  const std::string what = name + ": " + std::to_string(c.measurements) + " measurements of the " +
                           c.quantity +
                           (c.downstream_m ? " at " + metres_text(*c.downstream_m) : "");
  const std::string figures = " (chi square " + format_number(c.chi_square, 3) + " for " +
                              format_number(c.degrees, 3) + " degree" +
                              (c.degrees > 1.0 ? "s" : "") + " of freedom, chance " +
                              chance_text(c.chance) + ")";
  return c.consistent
             ? what + " agree" + figures + "."
             : what + " differ by more than they state" + figures +
                   "; their scatter is " + format_number(c.birge_ratio, 2) +
                   " times what it should be (Birge ratio), and the uncertainty was multiplied by "
                   "it. Look for what changed between them.";
}

/// Combines the parts of one quantity and books where they came from.
struct Merged {
  Estimate value;
  double shared = 0.0;  ///< relative, of the first cause
  std::vector<double> weights;
};

Merged merge(const std::vector<Part>& parts,
             const std::string& quantity,
             std::optional<double> downstream_m,
             FanAtSetting& row) {
  Merged merged;
  std::vector<Contribution> contributions;
  std::vector<double> values;
  // A value without any uncertainty cannot be weighed; then all count alike.
  const bool weighable = std::all_of(parts.begin(), parts.end(), [](const Part& p) {
    return p.value.standard_uncertainty > 0.0;
  });
  if (parts.size() == 1 || !weighable) {
    double sum = 0.0, u = 0.0;
    for (const Part& p : parts) {
      sum += p.value.value / static_cast<double>(parts.size());
      u = std::max(u, p.value.standard_uncertainty);
    }
    merged.value = parts.size() == 1 ? parts.front().value : symmetric_estimate(sum, u);
    merged.shared = parts.front().shared;
    merged.weights.assign(parts.size(), 1.0 / static_cast<double>(parts.size()));
  } else {
    for (const Part& p : parts) {
      values.push_back(p.value.value);
      contributions.push_back({p.value.value, own_uncertainty(p.value, p.shared), {{p.cause, p.shared}}, p.of->source});
    }
    const Combination c = combine(contributions);
    merged.value = symmetric_estimate(c.value.value, c.value.standard_uncertainty);
    merged.weights = c.mean.weights;
    for (const Contribution::Shared& s : c.shared) {
      merged.shared = std::hypot(merged.shared, s.relative);
    }
    Consistency test{quantity,
                     downstream_m,
                     parts.size(),
                     c.mean.chi_square,
                     c.mean.degrees,
                     c.mean.chance,
                     c.mean.birge_ratio,
                     c.mean.consistent(),
                     {}};
    test.words = consistency_words(test, row.name());
    if (const std::string outside = outside_parts_words(c.value.value, values); !outside.empty()) {
      row.warnings.push_back(quantity + (downstream_m ? " at " + metres_text(*downstream_m) : "") +
                             ": " + outside);
    }
    row.consistency.push_back(std::move(test));
  }
  for (std::size_t i = 0; i < parts.size(); ++i) {
    row.measurements.push_back(
        {parts[i].of->source, quantity, downstream_m, parts[i].value, merged.weights[i]});
  }
  return merged;
}

std::string cause_of_lever(const FanAtSetting& e) { return "lever of " + e.balance; }

/// A number for each probe that the entries of a group describe.
std::string cause_of_probe(const Group& group, const FanAtSetting& e) {
  for (std::size_t i = 0; i < group.size(); ++i) {
    const bool same = group[i]->probe && e.probe ? alike(*group[i]->probe, *e.probe) : true;
    if (same && !group[i]->planes.empty()) {
      return "probe " + std::to_string(i);
    }
  }
  return "probe";
}

void combine_thrust(const Group& group, FanAtSetting& row) {
  std::vector<Part> parts;
  for (const FanAtSetting* e : group) {
    if (e->thrust_n) {
      parts.push_back({e, *e->thrust_n, e->lever_share, cause_of_lever(*e)});
    }
  }
  if (parts.empty()) {
    return;
  }
  const Merged merged = merge(parts, "thrust", std::nullopt, row);
  row.thrust_n = merged.value;
  row.lever_share = merged.shared;
  row.balance = parts.front().of->balance;
}

/// A meter repeats its own error: the mean is no better than the best of them, worse where they
/// scatter.
std::optional<Measured> mean_of(const std::vector<Measured>& values) {
  if (values.empty()) {
    return std::nullopt;
  }
  double sum = 0.0, u = values.front().standard_uncertainty;
  double low = values.front().value, high = low;
  for (const Measured& m : values) {
    sum += m.value;
    u = std::min(u, m.standard_uncertainty);
    low = std::min(low, m.value);
    high = std::max(high, m.value);
  }
  return Measured{sum / static_cast<double>(values.size()),
                  std::hypot(u, (high - low) / std::sqrt(12.0))};
}

void combine_meters(const Group& group, FanAtSetting& row) {
  std::vector<Measured> powers, levels, turbulence;
  for (const FanAtSetting* e : group) {
    if (e->power_w) {
      powers.push_back(*e->power_w);
      row.measurements.push_back({e->source,
                                  "electrical power",
                                  std::nullopt,
                                  symmetric_estimate(e->power_w->value,
                                                     e->power_w->standard_uncertainty),
                                  1.0});
    }
    if (e->turbulence) {
      turbulence.push_back(*e->turbulence);
    }
    if (e->sound && (!row.sound || near_distance(e->sound->distance_m, row.sound->distance_m))) {
      row.sound = row.sound ? row.sound : e->sound;
      levels.push_back(e->sound->level_db);
    } else if (e->sound) {
      row.warnings.push_back("a sound level at " + metres_text(e->sound->distance_m) + " (" +
                             e->source + ") was left out: others were read at " +
                             metres_text(row.sound->distance_m));
    }
  }
  row.power_w = mean_of(powers);
  row.turbulence = mean_of(turbulence);
  if (const auto level = mean_of(levels)) {
    row.sound->level_db = *level;
  }
  for (std::size_t i = 0; i < powers.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      const double u = std::hypot(powers[i].standard_uncertainty, powers[k].standard_uncertainty);
      if (std::abs(powers[i].value - powers[k].value) > 2.0 * normal_95 * u) {
        row.warnings.push_back("electrical powers of " + format_number(powers[k].value, 4) +
                               " W and " + format_number(powers[i].value, 4) +
                               " W were stated: was it one setting?");
        return;
      }
    }
  }
}

/// The planes of one distance, each with the measurement that it belongs to.
struct PlaneGroup {
  double downstream_m = 0.0;
  std::vector<std::pair<const FanAtSetting*, const PlaneFacts*>> planes;
};

std::vector<PlaneGroup> planes_of(const Group& group) {
  std::vector<PlaneGroup> groups;
  for (const FanAtSetting* e : group) {
    for (const PlaneFacts& p : e->planes) {
      const auto same = std::find_if(groups.begin(), groups.end(), [&](const PlaneGroup& g) {
        return near_distance(p.downstream_m, g.downstream_m) &&
               std::none_of(g.planes.begin(), g.planes.end(), [&](const auto& other) {
                 return other.first == e;  // one survey keeps its planes apart
               });
      });
      if (same != groups.end()) {
        same->planes.emplace_back(e, &p);
      } else {
        groups.push_back({p.downstream_m, {{e, &p}}});
      }
    }
  }
  std::stable_sort(groups.begin(), groups.end(), [](const PlaneGroup& a, const PlaneGroup& b) {
    return a.downstream_m < b.downstream_m;
  });
  return groups;
}

PlaneFacts combine_planes(const PlaneGroup& planes, const Group& group, FanAtSetting& row) {
  std::vector<Part> flow, momentum, power;
  for (const auto& [e, p] : planes.planes) {
    const std::string cause = cause_of_probe(group, *e);
    const double carry = planes.downstream_m / p->downstream_m;
    flow.push_back({e, scaled(p->volume_flow_m3_s, carry), p->probe_share_of_flow, cause});
    momentum.push_back({e, p->momentum_flux_n, p->probe_share_of_momentum, cause});
    power.push_back(
        {e, scaled(p->kinetic_power_w, 1.0 / carry), 1.5 * p->probe_share_of_momentum, cause});
  }
  const Merged q = merge(flow, "volume flow", planes.downstream_m, row);
  const Merged m = merge(momentum, "momentum flux", planes.downstream_m, row);
  const auto best = static_cast<std::size_t>(
      std::max_element(m.weights.begin(), m.weights.end()) - m.weights.begin());
  PlaneFacts facts = *planes.planes[best].second;  // its map and profile
  if (planes.planes.size() == 1) {
    return facts;
  }
  facts.volume_flow_m3_s = q.value;
  facts.probe_share_of_flow = q.shared;
  facts.momentum_flux_n = m.value;
  facts.probe_share_of_momentum = m.shared;
  facts.kinetic_power_w = merge(power, "kinetic power", planes.downstream_m, row).value;
  // A combined plane is read off at the distance of its first member, as its flow was carried.
  const double carried = facts.downstream_m / planes.downstream_m;
  facts.downstream_m = planes.downstream_m;
  facts.peak_speed_m_s *= carried;
  facts.half_width_y_m /= carried;
  facts.half_width_z_m /= carried;
  for (const auto& [e, p] : planes.planes) {
    for (const std::string& w : p->warnings) {
      if (std::find(facts.warnings.begin(), facts.warnings.end(), w) == facts.warnings.end()) {
        facts.warnings.push_back(w);
      }
    }
  }
  return facts;
}

void combine_streams(const Group& group, FanAtSetting& row) {
  for (const PlaneGroup& planes : planes_of(group)) {
    row.planes.push_back(combine_planes(planes, group, row));
  }
  std::vector<Part> momentum;
  for (const FanAtSetting* e : group) {
    if (e->momentum_flux_n && !e->planes.empty()) {
      momentum.push_back({e,
                          *e->momentum_flux_n,
                          e->planes.front().probe_share_of_momentum,
                          cause_of_probe(group, *e)});
    }
    row.lone_sweeps.insert(row.lone_sweeps.end(), e->lone_sweeps.begin(), e->lone_sweeps.end());
  }
  if (!momentum.empty()) {
    row.momentum_flux_n = merge(momentum, "momentum flux of the stream", std::nullopt, row).value;
  }
}

FanAtSetting combine_group(const Group& group) {
  // What is no measured quantity comes from the entry that was mapped, else from the first.
  const auto mapped = std::find_if(
      group.begin(), group.end(), [](const FanAtSetting* e) { return !e->planes.empty(); });
  FanAtSetting row = mapped == group.end() ? *group.front() : **mapped;
  row.planes.clear();
  row.lone_sweeps.clear();
  row.warnings.clear();
  row.thrust_n.reset();
  row.power_w.reset();
  row.sound.reset();
  row.momentum_flux_n.reset();
  row.lever_share = 0.0;
  row.readings = row.left_out = 0;
  row.source.clear();
  std::vector<Measured> rings;
  for (const FanAtSetting* e : group) {
    row.source += (row.source.empty() ? "" : " + ") + e->source;
    row.readings += e->readings;
    row.left_out += e->left_out;
    row.outlet = row.outlet ? row.outlet : e->outlet;
    row.density_kg_m3 = row.density_kg_m3 ? row.density_kg_m3 : e->density_kg_m3;
    row.air_temperature_k = row.air_temperature_k ? row.air_temperature_k : e->air_temperature_k;
    row.seat = row.seat ? row.seat : e->seat;
    row.gusts = row.gusts ? row.gusts : e->gusts;
    if (e->ring_value_m3_min_w) {
      rings.push_back(*e->ring_value_m3_min_w);
    }
    for (const std::string& w : e->warnings) {
      if (std::find(row.warnings.begin(), row.warnings.end(), w) == row.warnings.end()) {
        row.warnings.push_back(w);
      }
    }
  }
  row.ring_value_m3_min_w = mean_of(rings);
  combine_thrust(group, row);
  combine_meters(group, row);
  combine_streams(group, row);
  for (const FanAtSetting* e : group) {
    if (auto pair = pair_of(*e, row)) {
      row.pairs.push_back(std::move(*pair));
    }
  }
  return row;
}

bool same_value(const std::optional<Estimate>& a, const std::optional<Estimate>& b) {
  return a.has_value() == b.has_value() && (!a || a->value == b->value);
}

/// A result of `map` beside the survey that it was made of.
bool repeats(const FanAtSetting& a, const FanAtSetting& b) {
  const bool maps = !a.planes.empty() && a.planes.size() == b.planes.size();
  return maps && a.source != b.source && a.title == b.title && a.readings == b.readings &&
         a.left_out == b.left_out && same_value(a.thrust_n, b.thrust_n) &&
         std::equal(a.planes.begin(),
                    a.planes.end(),
                    b.planes.begin(),
                    [](const PlaneFacts& p, const PlaneFacts& q) {
                      return std::abs(p.distance_m - q.distance_m) < 1e-9 &&
                             near_distance(p.volume_flow_m3_s.value, q.volume_flow_m3_s.value);
                    });
}

}  // namespace

std::vector<FanAtSetting> combine_entries(std::vector<FanAtSetting> entries) {
  std::vector<Group> groups;
  std::vector<std::pair<std::size_t, std::string>> passed_over;
  for (const FanAtSetting& e : entries) {
    const auto same = std::find_if(groups.begin(), groups.end(), [&](const Group& g) {
      return g.front()->fan == e.fan && g.front()->setting == e.setting &&
             g.front()->variant == e.variant;
    });
    if (same == groups.end()) {
      groups.push_back({&e});
      continue;
    }
    const auto twin = std::find_if(
        same->begin(), same->end(), [&](const FanAtSetting* other) { return repeats(*other, e); });
    if (twin == same->end()) {
      same->push_back(&e);
    } else {
      passed_over.emplace_back(same - groups.begin(),
                               e.source + " was passed over: it is a result of the same readings "
                                          "as " +
                                   (*twin)->source);
    }
  }
  std::vector<FanAtSetting> rows;
  for (const Group& group : groups) {
    rows.push_back(combine_group(group));
  }
  for (auto& [row, words] : passed_over) {
    rows[row].warnings.push_back(std::move(words));
  }
  return rows;
}

}  // namespace sweepflux
