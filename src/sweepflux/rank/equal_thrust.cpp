#include "sweepflux/rank/equal_thrust.hpp"

#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace sweepflux {
namespace {

/// One setting of a fan as the interpolation needs it.
struct ThrustPoint {
  std::string written;
  std::optional<double> setting;
  Estimate thrust_n;
  double own_u_n = 0.0;  ///< the part that the other fan does not share
};

double own_part(const Estimate& thrust, double lever_share, bool same_balance) {
  const double shared = same_balance ? lever_share * thrust.value : 0.0;
  const double own = thrust.standard_uncertainty * thrust.standard_uncertainty - shared * shared;
  return std::sqrt(std::max(0.0, own));
}

/// The settings of a fan by number, then by thrust; entries of one setting averaged.
std::vector<ThrustPoint> points_of(std::span<const FanAtSetting> entries,
                                 const std::string& fan,
                                 bool same_balance) {
  std::vector<ThrustPoint> points;
  std::vector<double> count;
  for (const FanAtSetting& e : entries) {
    if (e.series() != fan || !e.thrust_n) {
      continue;
    }
    const double own = own_part(*e.thrust_n, e.lever_share, same_balance);
    const auto same = std::find_if(
        points.begin(), points.end(), [&](const ThrustPoint& p) { return p.written == e.setting; });
    if (same == points.end()) {
      points.push_back({e.setting, setting_number(e.setting), *e.thrust_n, own});
      count.push_back(1.0);
      continue;
    }
    double& n = count[static_cast<std::size_t>(same - points.begin())];
    same->thrust_n.value += (e.thrust_n->value - same->thrust_n.value) / (n + 1.0);
    same->thrust_n.standard_uncertainty =
        std::max(same->thrust_n.standard_uncertainty, e.thrust_n->standard_uncertainty);
    same->own_u_n = std::max(same->own_u_n, own);
    n += 1.0;
  }
  const bool numbers = std::all_of(
      points.begin(), points.end(), [](const ThrustPoint& p) { return p.setting.has_value(); });
  std::stable_sort(points.begin(), points.end(), [&](const ThrustPoint& a, const ThrustPoint& b) {
    return numbers ? *a.setting < *b.setting : a.thrust_n.value < b.thrust_n.value;
  });
  return points;
}

/// Where the line between two points carries the wanted thrust, with its uncertainty; empty: it does not.
std::optional<Estimate> crossing(const ThrustPoint& a, const ThrustPoint& b, const ThrustPoint& wanted) {
  const double ta = a.thrust_n.value, tb = b.thrust_n.value, t = wanted.thrust_n.value;
  if (!(std::min(ta, tb) <= t && t <= std::max(ta, tb)) || ta == tb) {
    return std::nullopt;
  }
  const double sa = *a.setting, sb = *b.setting;
  const double root = (std::sqrt(std::max(t, 0.0)) - std::sqrt(std::max(ta, 0.0))) /
                      (std::sqrt(std::max(tb, 0.0)) - std::sqrt(std::max(ta, 0.0)));
  const double straight = (t - ta) / (tb - ta);
  // The slope of the thrust at the crossing, from T = (ra + (rb - ra) w)^2.
  const double slope = 2.0 * std::sqrt(t) *
                       (std::sqrt(std::max(tb, 0.0)) - std::sqrt(std::max(ta, 0.0))) / (sb - sa);
  const double other_u = std::hypot((1.0 - root) * a.own_u_n, root * b.own_u_n);
  const double thrust_u = std::hypot(wanted.own_u_n, other_u) / std::abs(slope);
  const double shape_u = std::abs(root - straight) * (sb - sa) / std::sqrt(12.0);
  return symmetric_estimate(sa + root * (sb - sa), std::hypot(thrust_u, shape_u));
}

std::string setting_with_uncertainty(const Estimate& e) {
  return format_with_uncertainty(e.value, e.standard_uncertainty, "");
}

std::string sentence(const EqualThrust& p) {
  const std::string head = p.fan + " at " + p.setting;
  std::string nearest = "; the nearest is " + p.other + " at " + p.nearest_written;
  if (p.nearest_equal) {
    nearest += ", which does not differ from it at 95 %";
  }
  switch (p.match) {
    case ThrustMatch::between:
      if (p.steps) {
        // A switch with steps has nothing between them.
        return head + " has a thrust between those of " + p.other + " at " + p.step_below +
               " and at " + p.step_above + nearest;
      }
      return head + " has the thrust of " + p.other + " at " + setting_with_uncertainty(p.other_setting) +
             nearest;
    case ThrustMatch::below_all:
    case ThrustMatch::above_all: {
      const bool below = p.match == ThrustMatch::below_all;
      return p.nearest_equal ? head + " has the thrust of " + p.other + " at its " +
                                   (below ? "lowest" : "highest") + " setting, " +
                                   p.nearest_written + ": they do not differ at 95 %"
                             : head + " has " + (below ? "less" : "more") + " thrust than " +
                                   p.other + " at any of its settings";
    }
    case ThrustMatch::several:
      break;
  }
  return head + " is met by " + p.other + " at more than one place" + nearest;
}

EqualThrust match(const ThrustPoint& wanted, const std::vector<ThrustPoint>& others) {
  EqualThrust result;
  result.setting = wanted.written;
  result.thrust_n = wanted.thrust_n;
  const auto by_thrust = [](const ThrustPoint& a, const ThrustPoint& b) {
    return a.thrust_n.value < b.thrust_n.value;
  };
  const auto lowest = std::min_element(others.begin(), others.end(), by_thrust);
  const auto highest = std::max_element(others.begin(), others.end(), by_thrust);
  const auto nearest =
      std::min_element(others.begin(), others.end(), [&](const ThrustPoint& a, const ThrustPoint& b) {
        return std::abs(a.thrust_n.value - wanted.thrust_n.value) <
               std::abs(b.thrust_n.value - wanted.thrust_n.value);
      });
  result.nearest_written = nearest->written;
  result.nearest_equal = std::abs(nearest->thrust_n.value - wanted.thrust_n.value) <=
                        normal_95 * std::hypot(nearest->own_u_n, wanted.own_u_n);
  if (wanted.thrust_n.value < lowest->thrust_n.value) {
    result.match = ThrustMatch::below_all;
    return result;
  }
  if (wanted.thrust_n.value > highest->thrust_n.value) {
    result.match = ThrustMatch::above_all;
    return result;
  }
  result.match = ThrustMatch::several;  // until exactly one crossing is found
  std::vector<Estimate> found;
  result.steps = std::all_of(others.begin(), others.end(), [](const ThrustPoint& p) {
    return p.setting && *p.setting == std::floor(*p.setting) &&
           p.written.find('%') == std::string::npos;
  });
  for (std::size_t i = 0; i + 1 < others.size(); ++i) {
    if (!others[i].setting || !others[i + 1].setting) {
      continue;
    }
    const auto at = crossing(others[i], others[i + 1], wanted);
    // A crossing on a measured setting belongs to both its neighbours.
    if (at && (found.empty() || std::abs(found.back().value - at->value) > 1e-9)) {
      found.push_back(*at);
      result.step_below = others[i].written;
      result.step_above = others[i + 1].written;
    }
  }
  if (found.size() == 1) {
    result.match = ThrustMatch::between;
    result.other_setting = found.front();
  }
  return result;
}

}  // namespace

std::vector<EqualThrust> equal_thrust_of(std::span<const FanAtSetting> entries,
                                  const std::string& fan,
                                  const std::string& other,
                                  bool same_balance) {
  const std::vector<ThrustPoint> own = points_of(entries, fan, same_balance);
  const std::vector<ThrustPoint> others = points_of(entries, other, same_balance);
  std::vector<EqualThrust> result;
  if (others.empty()) {
    return result;
  }
  const bool numbers = std::all_of(
      others.begin(), others.end(), [](const ThrustPoint& p) { return p.setting.has_value(); });
  for (const ThrustPoint& wanted : own) {
    EqualThrust p = match(wanted, others);
    p.fan = fan;
    p.other = other;
    p.words = sentence(p);
    if (p.match == ThrustMatch::several && (!numbers || others.size() < 2)) {
      p.words = p.fan + " at " + p.setting + " comes nearest to " + p.other + " at " +
                p.nearest_written +
                (p.nearest_equal ? ": they do not differ at 95 %" : ", but not equal") +
                (numbers ? "" : "; settings that are names cannot be interpolated");
    }
    result.push_back(std::move(p));
  }
  return result;
}

}  // namespace sweepflux
