#include "sweepflux/derive/thrust/session_thrust.hpp"

#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/derive/thrust/thrust.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

/// A block as the balance of a survey, without the lever's uncertainty, which all blocks share. Forces of
/// a session are newtons already, the local gravity in them, so the balance has the standard one.
Balance balance_of(const BalanceSession& session, const SessionReading& block, double ratio) {
  Balance balance;
  balance.lever_ratio = ratio;
  balance.lever_ratio_uncertainty = 0.0;
  balance.resolution_n = session.balance.resolution_n;
  balance.gravity_m_s2 = standard_gravity_m_s2;
  balance.zero_before_n = block.zero_before_n;
  balance.zero_after_n = block.zero_after_n;
  balance.zero_given = true;
  balance.readings_n = block.on_n;
  balance.from_log_n = block.from_log_n;
  return balance;
}

/// The lever from arms as written, or from the check mass: scale force over m g. A mass's force is
/// m g with the local g; readings are already newtons.
Lever lever_of(const BalanceSession& session) {
  const SessionBalance& b = session.balance;
  Lever lever;
  if (!b.check_mass) {
    const double ratio = b.lever_ratio.value_or(1.0);
    lever.ratio = {ratio, ratio * b.lever_ratio_uncertainty};
    lever.words = !b.lever_ratio ? "no lever: the scale takes the thrust as it is"
                                 : "lever ratio " + format_number(ratio, 4) +
                                       (b.from_arms ? " from its two arms" : " as written");
    return lever;
  }
  const CheckMass& mass = *b.check_mass;
  SessionReading block;
  block.zero_before_n = mass.zero_before_n;
  block.zero_after_n = mass.zero_after_n;
  block.on_n = mass.readings_n;
  const Estimate force = derive_thrust(balance_of(session, block, 1.0)).thrust_n;
  const double weight = mass.mass_kg * b.gravity_m_s2;
  const double ratio = force.value / weight;
  const double relative =
      std::hypot(force.standard_uncertainty / force.value, mass.mass_uncertainty_kg / mass.mass_kg);
  lever.ratio = {ratio, ratio * relative};
  lever.words = "lever ratio " + format_number(ratio, 4) + " from the check mass of " +
                format_number(mass.mass_kg * 1000.0, 4) + " g";
  return lever;
}

/// The blocks of one setting.
struct Group {
  SettingThrust setting;
  std::vector<Estimate> blocks;
  std::vector<Measured> powers;
  std::vector<Measured> levels_db;
};

double mean_of(const std::vector<Estimate>& blocks) {
  double sum = 0.0;
  for (const Estimate& e : blocks) {
    sum += e.value;
  }
  return sum / static_cast<double>(blocks.size());
}

/// Scatter between the repeats of one setting, pooled over all settings, and its degrees.
std::pair<double, std::size_t> pooled_scatter(const std::vector<Group>& groups) {
  double squares = 0.0;
  std::size_t degrees = 0;
  for (const Group& g : groups) {
    const double mean = mean_of(g.blocks);
    for (const Estimate& e : g.blocks) {
      squares += (e.value - mean) * (e.value - mean);
    }
    degrees += g.blocks.size() - 1;
  }
  return {degrees > 0 ? std::sqrt(squares / static_cast<double>(degrees)) : 0.0, degrees};
}

/// Meters of power or sound repeat their own error, so the mean is no better than one reading of it.
std::optional<Measured> mean_of_meter(const std::vector<Measured>& powers) {
  if (powers.empty()) {
    return std::nullopt;
  }
  double sum = 0.0, u = 0.0, low = powers.front().value, high = low;
  for (const Measured& p : powers) {
    sum += p.value;
    u = std::max(u, p.standard_uncertainty);
    low = std::min(low, p.value);
    high = std::max(high, p.value);
  }
  return Measured{sum / static_cast<double>(powers.size()),
                  std::hypot(u, (high - low) / std::sqrt(12.0))};
}

void finish(Group& group, const Lever& lever, double scatter_n, std::size_t degrees) {
  SettingThrust& s = group.setting;
  const double n = static_cast<double>(group.blocks.size());
  const double value = mean_of(group.blocks);
  double stated = 0.0;
  for (const Estimate& e : group.blocks) {
    stated = std::hypot(stated, e.standard_uncertainty);
  }
  stated /= n;
  const double shown =
      degrees > 0 ? scatter_n / std::sqrt(n) * student_95(static_cast<double>(degrees)) / normal_95
                  : 0.0;
  s.own_uncertainty_n = std::max(stated, shown);
  const double lever_relative = lever.ratio.standard_uncertainty / lever.ratio.value;
  s.thrust_n = symmetric_estimate(value, std::hypot(s.own_uncertainty_n, lever_relative * value));
  s.power_w = mean_of_meter(group.powers);
  if (const auto level = mean_of_meter(group.levels_db)) {
    s.sound->level_db = *level;
  }
  if (s.power_w && s.power_w->value > 0.0) {
    const double per_watt = value / s.power_w->value;
    const double relative = std::hypot(s.thrust_n.standard_uncertainty / value,
                                       s.power_w->standard_uncertainty / s.power_w->value);
    s.thrust_per_watt_n_w = symmetric_estimate(per_watt, std::abs(per_watt) * relative);
  }
  if (degrees > 0 && shown > stated) {
    s.remarks.emplace_back("the repeats scatter more than one block alone would say");
  }
}

}  // namespace

SessionThrust derive_session_thrust(const BalanceSession& session) {
  SessionThrust result;
  std::vector<Finding> faults;
  try {
    result.lever = lever_of(session);
  } catch (const InputError& e) {
    faults.push_back({{session.file, 0, 0}, std::string("check mass: ") + e.what()});
    result.lever.ratio = {1.0, 0.0};  // only so that the blocks can be looked at too
  }
  std::vector<Group> groups;
  for (const SessionReading& block : session.readings) {
    Thrust thrust;
    try {
      thrust = derive_thrust(balance_of(session, block, result.lever.ratio.value));
    } catch (const InputError& e) {
      faults.push_back({block.spot, block.fan + " at " + block.setting + ": " + e.what()});
      continue;
    }
    auto group = std::find_if(groups.begin(), groups.end(), [&](const Group& g) {
      return g.setting.fan == block.fan && g.setting.setting == block.setting &&
             g.setting.variant == block.variant;
    });
    if (group == groups.end()) {
      groups.emplace_back();
      group = groups.end() - 1;
      group->setting.fan = block.fan;
      group->setting.setting = block.setting;
      group->setting.variant = block.variant;
    }
    SettingThrust& s = group->setting;
    ++s.repeats;
    s.readings += block.from_log_n ? 1 : block.on_n.size();
    group->blocks.push_back(thrust.thrust_n);
    if (block.power_w) {
      group->powers.push_back(*block.power_w);
    }
    if (block.sound && (!s.sound || s.sound->distance_m == block.sound->distance_m)) {
      s.sound = block.sound;
      group->levels_db.push_back(block.sound->level_db);
    } else if (block.sound) {
      s.remarks.emplace_back("sound levels at another distance than the first were left out");
    }
    if (std::abs(thrust.zero_drift_n) > std::abs(s.largest_zero_drift_n)) {
      s.largest_zero_drift_n = thrust.zero_drift_n;
    }
    for (const std::string& remark : thrust.remarks) {
      if (std::find(s.remarks.begin(), s.remarks.end(), remark) == s.remarks.end()) {
        s.remarks.push_back(remark);
      }
    }
  }
  if (!faults.empty()) {
    throw SurveyError(std::move(faults));
  }
  const auto [scatter_n, degrees] = pooled_scatter(groups);
  for (Group& group : groups) {
    finish(group, result.lever, scatter_n, degrees);
    result.settings.push_back(std::move(group.setting));
  }
  if (session.air) {
    result.density_kg_m3 = air_density_kg_m3(*session.air);
  }
  return result;
}

}  // namespace sweepflux
