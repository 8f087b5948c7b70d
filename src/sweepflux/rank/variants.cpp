#include "sweepflux/rank/variants.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/campaign_check.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

/// One quantity before and after, with the relative uncertainty that both share.
struct Sides {
  std::string quantity;
  std::string unit;
  std::optional<double> downstream_m;
  Estimate before;
  Estimate after;
  double shared = 0.0;
};

VariantDifference difference_of(const FanAtSetting& before,
                                const FanAtSetting& after,
                                const Sides& sides) {
  VariantDifference d;
  d.quantity = sides.quantity;
  d.unit = sides.unit;
  d.downstream_m = sides.downstream_m;
  const double gap = sides.after.value - sides.before.value;
  const double u = std::hypot(std::hypot(own_uncertainty(sides.before, sides.shared),
                                         own_uncertainty(sides.after, sides.shared)),
                              sides.shared * gap);
  d.difference = symmetric_estimate(gap, u);
  d.sure = std::abs(gap) > normal_95 * u;
  const double base = sides.before.value;
  // Of a ratio the shared error cancels whole.
  const double own = std::hypot(own_uncertainty(sides.after, sides.shared) / base,
                                sides.after.value / base *
                                    own_uncertainty(sides.before, sides.shared) / base);
  d.relative = symmetric_estimate(gap / base, own);
  const std::string at = sides.downstream_m ? " at " + metres_text(*sides.downstream_m) : "";
  const double u_percent[] = {100.0 * d.relative.standard_uncertainty};
  const int decimals = std::max(0, column_decimals(u_percent, 1));
  const auto percent = [decimals](double share) { return fixed_number(100.0 * share, decimals); };
  const std::string change =
      (gap < 0.0 ? "-" : "+") +
      format_with_uncertainty(std::abs(gap), u, sides.unit) + " (" + (gap < 0.0 ? "-" : "+") +
      percent(std::abs(d.relative.value)) + " %, 95 % interval " + percent(d.relative.low_95) +
      " to " + percent(d.relative.high_95) + " %)";
  d.words = after.name() + " against " +
            (before.variant.empty() ? "the fan unchanged" : before.variant) + ": " +
            sides.quantity + at + " " + change +
            (d.sure ? "" : ", which does not differ from zero at 95 %");
  return d;
}

std::vector<Sides> sides_of(const FanAtSetting& before,
                            const FanAtSetting& after,
                            const SharedErrors& shared) {
  std::vector<Sides> all;
  if (before.thrust_n && after.thrust_n && before.thrust_n->value > 0.0) {
    const bool same = shared.same_balance || before.balance == after.balance;
    all.push_back({"thrust",
                   "N",
                   std::nullopt,
                   *before.thrust_n,
                   *after.thrust_n,
                   same ? std::min(before.lever_share, after.lever_share) : 0.0});
  }
  if (before.power_w && after.power_w && before.power_w->value > 0.0) {
    const auto whole = [](const Measured& m) {
      return symmetric_estimate(m.value, m.standard_uncertainty);
    };
    all.push_back({"electrical power", "W", {}, whole(*before.power_w), whole(*after.power_w), 0.0});
  }
  const bool same_probe = shared.same_probe || (before.probe && after.probe &&
                                                alike(*before.probe, *after.probe));
  for (const PlaneFacts& p : before.planes) {
    const PlaneFacts* q = plane_at(after, p.downstream_m);
    if (!q || !(p.volume_flow_m3_s.value > 0.0) || !(p.momentum_flux_n.value > 0.0)) {
      continue;
    }
    const double carry = p.downstream_m / q->downstream_m;
    const auto least = [&](double a, double b) { return same_probe ? std::min(a, b) : 0.0; };
    all.push_back({"volume flow",
                   "m3/s",
                   p.downstream_m,
                   p.volume_flow_m3_s,
                   scaled(q->volume_flow_m3_s, carry),
                   least(p.probe_share_of_flow, q->probe_share_of_flow)});
    all.push_back({"momentum flux",
                   "N",
                   p.downstream_m,
                   p.momentum_flux_n,
                   q->momentum_flux_n,
                   least(p.probe_share_of_momentum, q->probe_share_of_momentum)});
  }
  return all;
}

}  // namespace

std::vector<VariantDifference> compare_variants(std::span<const FanAtSetting> entries,
                                                const SharedErrors& shared) {
  std::vector<VariantDifference> differences;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    for (std::size_t k = 0; k < entries.size(); ++k) {
      const FanAtSetting& before = entries[i];
      const FanAtSetting& after = entries[k];
      bool first = before.fan == after.fan && before.setting == after.setting && i != k;
      // The entry without a variant stands before the others; without such, the first of them.
      for (std::size_t j = 0; first && j < entries.size(); ++j) {
        if (entries[j].fan == before.fan && entries[j].setting == before.setting) {
          first = before.variant.empty() || (i <= j && !entries[j].variant.empty());
        }
      }
      if (!first) {
        continue;
      }
      for (const Sides& sides : sides_of(before, after, shared)) {
        differences.push_back(difference_of(before, after, sides));
        differences.back().before = i;
        differences.back().after = k;
      }
    }
  }
  return differences;
}

}  // namespace sweepflux
