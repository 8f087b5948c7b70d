#include "sweepflux/rank/survey_summary.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/fan_at_setting.hpp"
#include "sweepflux/rank/growth.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double little_gain = 0.96;  // of the uncertainty that a sweep leaves: not worth its time

/// The numbers themselves stand in tables beside the summary, once.
void say_withheld(const SurveyResult& result, std::vector<std::string>& said) {
  for (const PlaneResult& plane : result.planes) {
    if (!plane.withheld.empty()) {
      said.push_back("At " + metres_text(plane.distance_m) +
                     " there is no number for the whole plane: " + plane.withheld + ".");
    }
  }
}

void say_growth(const SurveyResult& result, std::vector<std::string>& said) {
  const Growth growth = growth_of(summarise(result));
  if (!growth.per_metre_m2_s) {
    return;
  }
  const Measured& g = *growth.per_metre_m2_s;
  const std::string size = format_with_uncertainty(g.value, g.standard_uncertainty, "m3/s");
  if (std::abs(g.value) <= 1.96 * g.standard_uncertainty) {
    said.push_back("These planes do not show whether the flow grows with distance: " + size +
                   " a metre.");
  } else {
    said.push_back(g.value > 0.0
                       ? "The stream entrains " + size + " of room air a metre."
                       : "The flow falls with distance, by " + size +
                             " a metre: a free stream would grow, so look for what takes it.");
  }
}

void say_balance(const SurveyResult& result, std::vector<std::string>& said) {
  if (!result.thrust_n) {
    if (!result.planes.empty()) {
      said.emplace_back(
          "There is no balance reading, so nothing outside the sweeps checks "
          "these numbers.");
    }
    return;
  }
  if (result.cross_check.empty()) {
    const Estimate& t = *result.thrust_n;
    said.push_back("Thrust at the balance: " +
                   format_with_uncertainty(t.value, t.standard_uncertainty, "N") + ".");
    return;
  }
  for (const bool agree : {true, false}) {
    std::string where;
    for (const CrossCheck& c : result.cross_check) {
      if (c.agrees == agree) {
        where += (where.empty() ? "" : ", ") + metres_text(c.distance_m);
      }
    }
    if (!where.empty()) {
      said.push_back(std::string("The momentum flux ") + (agree ? "agrees" : "does not agree") +
                     " with the thrust at " + where + ".");
    }
  }
  for (const CrossCheck& c : result.cross_check) {
    if (!c.agrees && !c.explanations.empty()) {
      said.push_back("What could explain the gap at " + metres_text(c.distance_m) +
                     " best: " + c.explanations.front().text);
      break;
    }
  }
}

void say_uncertainty(const SurveyResult& result, std::vector<std::string>& said) {
  if (result.planes.empty()) {
    return;
  }
  const auto& budget = result.planes.front().budget;
  const auto most = [&](auto member) {
    return std::max_element(
        budget.begin(), budget.end(), [&](const BudgetRow& a, const BudgetRow& b) {
          return a.*member < b.*member;
        });
  };
  if (budget.empty()) {
    return;
  }
  const auto flow = most(&BudgetRow::volume_flow_m3_s);
  const auto momentum = most(&BudgetRow::momentum_flux_n);
  said.push_back(
      flow == momentum
          ? "The largest contribution to the uncertainty of flow and momentum flux alike: " +
                flow->source + "."
          : "The largest contribution to the uncertainty of the flow: " + flow->source +
                "; of the momentum flux: " + momentum->source + ".");
  if (!result.survey.air.ambient_speed_m_s) {
    said.emplace_back(
        "The ambient air speed was not measured: the values take the room to be at rest, and the "
        "intervals allow for a drift. Measure it with the fan off, and state it as ambient_speed "
        "under [air]: "
        "most of that uncertainty then goes.");
  }
}

}  // namespace

std::vector<std::string> survey_summary(const SurveyResult& result) {
  std::vector<std::string> said;
  say_withheld(result, said);
  say_growth(result, said);
  say_balance(result, said);
  say_uncertainty(result, said);
  if (std::string next = next_sweep_text(result); !next.empty()) {
    next[0] = 'M';
    said.push_back(next + ".");
  }
  return said;
}

std::string next_sweep_text(const SurveyResult& result) {
  if (!result.next_sweep) {
    return {};
  }
  const NextSweep& next = *result.next_sweep;
  const double after_n = next.momentum_uncertainty_after_n;
  const std::string text = "most informative next sweep: at " + metres_text(next.distance_m) +
                           ", height " + metres_text(next.height_m);
  for (const PlaneResult& plane : result.planes) {
    const double now_n = plane.momentum_flux_n.standard_uncertainty;
    if (std::abs(plane.distance_m - next.distance_m) < 1e-3 && plane.withheld.empty()) {
      return text +
             (after_n < little_gain * now_n
                  ? "; it lowers the uncertainty of the momentum flux there from +- " +
                        format_number(now_n, 2) + " to +- " + format_number(after_n, 2) + " N"
                  : "; it would hardly lower the uncertainty of the momentum flux there (+- " +
                        format_number(now_n, 2) + " N)");
    }
  }
  return text + "; the momentum flux there is then known to +- " + format_number(after_n, 2) + " N";
}

}  // namespace sweepflux
