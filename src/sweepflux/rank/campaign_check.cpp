#include "sweepflux/rank/campaign_check.hpp"

#include "sweepflux/base/quantiles.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

/// Pairs with the row that each belongs to.
struct RowPair {
  std::size_t entry = 0;
  const MomentumThrustPair* pair = nullptr;
};

bool same_probe(const FanAtSetting& a, const FanAtSetting& b) {
  // A result of an earlier version does not describe its probe: it may be the same.
  return !a.probe || !b.probe || alike(*a.probe, *b.probe);
}

std::vector<FlowChange> flow_changes(std::span<const FanAtSetting> rows,
                                     const FanAtSetting& of_probe,
                                     const Estimate& scale) {
  std::vector<FlowChange> changes;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (!same_probe(rows[i], of_probe)) {
      continue;
    }
    for (const PlaneFacts& p : rows[i].planes) {
      const double flow = p.volume_flow_m3_s.value / scale.value;
      const double own =
          own_uncertainty(p.volume_flow_m3_s, p.probe_share_of_flow) / scale.value;
      const double of_scale = flow * scale.standard_uncertainty / scale.value;
      changes.push_back({i,
                         p.downstream_m,
                         p.volume_flow_m3_s,
                         symmetric_estimate(flow, std::hypot(own, of_scale))});
    }
  }
  return changes;
}

}  // namespace

double own_uncertainty(const Estimate& value, double shared) {
  const double u = value.standard_uncertainty;
  const double common = shared * value.value;
  return std::sqrt(std::max(u * u - common * common, 0.01 * u * u));
}

bool alike(const Probe& a, const Probe& b) {
  return a.kind == b.kind && a.head_diameter_m == b.head_diameter_m &&
         a.scale_uncertainty == b.scale_uncertainty &&
         a.offset_uncertainty_m_s == b.offset_uncertainty_m_s &&
         a.resolution_m_s == b.resolution_m_s && a.calibration == b.calibration;
}

std::optional<MomentumThrustPair> pair_of(const FanAtSetting& survey, const FanAtSetting& row) {
  const bool both = row.thrust_n && row.thrust_n->value > 0.0 && survey.momentum_flux_n &&
                    survey.momentum_flux_n->value > 0.0 && !survey.planes.empty();
  if (!both || !(survey.momentum_flux_n->standard_uncertainty > 0.0)) {
    return std::nullopt;
  }
  const PlaneFacts& plane = survey.planes.front();
  MomentumThrustPair pair;
  pair.survey = survey.source;
  pair.name = row.name();
  pair.momentum_flux_n = {survey.momentum_flux_n->value,
                     own_uncertainty(*survey.momentum_flux_n, plane.probe_share_of_momentum)};
  pair.thrust_n = {row.thrust_n->value, own_uncertainty(*row.thrust_n, row.lever_share)};
  pair.thrust_of = row.name();
  pair.balance = row.balance;
  pair.lever_share = row.lever_share;
  if (survey.density_kg_m3) {
    pair.slowness_s_m =
        survey.density_kg_m3->value * plane.volume_flow_m3_s.value / plane.momentum_flux_n.value;
  }
  const double area = survey.outlet ? survey.outlet->area_m2() : 0.0;
  const double diameters =
      area > 0.0 ? plane.downstream_m / std::sqrt(4.0 * area / std::numbers::pi) : 8.0;
  // As in the check of one survey: built up over the first eight diameters.
  const double developed = std::min(1.0, diameters / 8.0);
  pair.neglected = {-0.12 * developed, -0.02 * developed};
  return pair;
}

std::optional<CampaignCheck> check_campaign(std::span<const FanAtSetting> rows) {
  std::vector<RowPair> most;
  for (const FanAtSetting& first : rows) {
    std::vector<RowPair> pairs;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      for (const MomentumThrustPair& pair : rows[i].pairs) {
        if (!first.pairs.empty() && same_probe(first, rows[i])) {
          pairs.push_back({i, &pair});
        }
      }
    }
    if (pairs.size() > most.size()) {
      most = std::move(pairs);
    }
  }
  if (most.empty()) {
    return std::nullopt;
  }
  const FanAtSetting& of_probe = rows[most.front().entry];
  CampaignCheck check;
  std::vector<MomentumThrustPair> pairs;
  double top_m_s = 0.0;
  for (const RowPair& p : most) {
    pairs.push_back(*p.pair);
    for (const PlaneFacts& plane : rows[p.entry].planes) {
      top_m_s = std::max(top_m_s, plane.peak_speed_m_s);
    }
  }
  for (const FanAtSetting& row : rows) {
    if (!row.pairs.empty() && !same_probe(of_probe, row)) {
      check.left_out.push_back(row.name() +
                               ": its probe is described otherwise than that of the check of the "
                               "probe, so it took no part in it");
    }
  }
  check.probe = check_probe(pairs);
  check.stated = {1.0, of_probe.probe ? of_probe.probe->scale_uncertainty : 0.0};
  check.flows = flow_changes(rows, of_probe, check.probe.scale);
  check.calibration = calibration_block(
      check.probe,
      of_probe.probe ? of_probe.probe->calibration : std::vector<std::pair<double, double>>{},
      top_m_s);
  return check;
}

}  // namespace sweepflux
