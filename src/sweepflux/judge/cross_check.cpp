#include "sweepflux/judge/cross_check.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/judge/suspects_private.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

constexpr double least_weight = 0.05;  ///< below it a suspect is set aside
constexpr double least_uncertainty = 0.01;   ///< relative, of a plane against the others

/// Half of the 95 % interval that faces the other value.
double reach_towards(const Estimate& from, const Estimate& to) {
  return to.value >= from.value ? from.high_95 - from.value : from.value - from.low_95;
}

/// With two decimals: "0.90".
std::string ratio_text(double ratio) {
  const long hundredths = std::lround(100.0 * ratio);
  const std::string rest = std::to_string(hundredths % 100);
  return std::to_string(hundredths / 100) + (rest.size() < 2 ? ".0" : ".") + rest;
}

/// How the ratio runs along the stream.
struct Run {
  double z = 0.0;    ///< rises by so many standard uncertainties; beyond 2 it is not level
  std::string text;  ///< empty where it is not known
};

/// Uncertainty of a plane's momentum that the other planes do not share, relative. The scale is common.
double own_uncertainty(const PlaneResult& plane) {
  const Estimate& m = plane.momentum_flux_n;
  const double all = m.standard_uncertainty / std::max(std::abs(m.value), 1e-300);
  const double scale = 2.0 * plane.samples.common.scale;
  return std::max(least_uncertainty, std::sqrt(std::max(0.0, all * all - scale * scale)));
}

/// A straight line through the ratios over the logarithm of the distance, weighed by own uncertainty.
Run run_of(const CheckedPlanes& c) {
  Run run;
  if (c.planes.size() < 2) {
    return run;
  }
  double sw = 0.0, swx = 0.0, swy = 0.0, swxx = 0.0, swxy = 0.0;
  for (std::size_t i = 0; i < c.planes.size(); ++i) {
    const double uncertainty = own_uncertainty(*c.planes[i]) * std::max(c.ratio[i], 1e-9);
    const double w = 1.0 / (uncertainty * uncertainty);
    const double x = std::log(c.planes[i]->downstream_m);
    sw += w;
    swx += w * x;
    swy += w * c.ratio[i];
    swxx += w * x * x;
    swxy += w * x * c.ratio[i];
  }
  const double spread = swxx - swx * swx / sw;
  if (!(spread > 0.0)) {
    return run;
  }
  const double slope = (swxy - swx * swy / sw) / spread;
  run.z = slope * std::sqrt(spread);
  const std::string ends = "from " + ratio_text(c.ratio.front()) + " at " +
                           format_number(c.planes.front()->distance_m, 3) + " m to " +
                           ratio_text(c.ratio.back()) + " at " +
                           format_number(c.planes.back()->distance_m, 3) + " m";
  run.text = std::string(" The ratio ") +
             (run.z < -2.0  ? "falls along the stream, "
              : run.z > 2.0 ? "rises along the stream, "
                            : "is level along the stream within its uncertainty, ") +
             ends + ".";
  return run;
}

/// Share of the gaps' chi square that goes away when the suspect acts at one strength everywhere;
/// halved by and by where what is left does not look like chance.
double fit_of(const Suspect& suspect, const CheckedPlanes& c, const Estimate& thrust) {
  const double thrust_uncertainty = thrust.standard_uncertainty / thrust.value;
  double before = 0.0, along = 0.0, across = 0.0;
  std::vector<double> weight;
  for (std::size_t i = 0; i < c.planes.size(); ++i) {
    const double uncertainty =
        std::hypot(own_uncertainty(*c.planes[i]), thrust_uncertainty) * std::max(c.ratio[i], 0.1);
    weight.push_back(1.0 / (uncertainty * uncertainty));
    const double gap = c.ratio[i] - 1.0;
    const ShareRange& s = suspect.effects[i].shift;
    const double width = s.high - s.low;
    before += weight[i] * gap * gap;
    along += weight[i] * width * (gap - s.low);
    across += weight[i] * width * width;
  }
  const double strength = across > 0.0 ? std::clamp(along / across, 0.0, 1.0) : 0.0;
  double after = 0.0;
  for (std::size_t i = 0; i < c.planes.size(); ++i) {
    const ShareRange& s = suspect.effects[i].shift;
    const double left = c.ratio[i] - 1.0 - s.low - strength * (s.high - s.low);
    after += weight[i] * left * left;
  }
  const double explained = before > 0.0 ? std::max(0.0, 1.0 - after / before) : 0.0;
  const double left = after / static_cast<double>(c.planes.size());
  return explained * (0.5 + 0.5 * std::exp(-0.5 * left));
}

bool acts(const Suspect& suspect, std::size_t plane) {
  const ShareRange& shift = suspect.effects[plane].shift;
  return std::max(std::abs(shift.low), std::abs(shift.high)) >= 5e-4;
}

/// "turbulence and pressure (-12 to -2 %), ..."; empty when none acts.
std::string list_of(const std::vector<const Suspect*>& suspects, std::size_t plane) {
  std::string text;
  for (const Suspect* s : suspects) {
    if (acts(*s, plane)) {
      text +=
          (text.empty() ? "" : ", ") + s->name + " (" + share_text(s->effects[plane].shift) + ")";
    }
  }
  return text;
}

Explanation all_well(const std::vector<Suspect>& suspects, std::size_t plane) {
  std::vector<const Suspect*> neglected;
  for (const Suspect& s : suspects) {
    if (!s.in_uncertainty) {
      neglected.push_back(&s);
    }
  }
  const std::string list = list_of(neglected, plane);
  return {"Momentum flux and thrust agree" +
              (list.empty() ? "" : "; neglected, by what each may shift the ratio: " + list) + ".",
          0.0,
          0.0,
          1.0};
}

std::vector<Explanation> ranked(const std::vector<Suspect>& suspects,
                                const std::vector<double>& weight,
                                const Run& run,
                                std::size_t plane) {
  std::vector<Explanation> list;
  std::vector<const Suspect*> aside;
  for (std::size_t i = 0; i < suspects.size(); ++i) {
    const Suspect& s = suspects[i];
    if (!acts(s, plane)) {
      continue;
    }
    if (weight[i] < least_weight) {
      aside.push_back(&s);
      continue;
    }
    const Suspect::Effect& effect = s.effects[plane];
    list.push_back({effect.text, effect.shift.low, effect.shift.high, weight[i]});
  }
  std::stable_sort(
      list.begin(), list.end(), [](const auto& a, const auto& b) { return a.weight > b.weight; });
  if (!list.empty()) {
    list.front().text += run.text;
  }
  const std::string rest = list_of(aside, plane);
  if (!rest.empty()) {
    list.push_back({"Set aside, too small or of the wrong sign: " + rest + ".", 0.0, 0.0, 0.0});
  }
  return list;
}

}  // namespace

std::string share_text(ShareRange range) {
  if (range.low == range.high) {
    return percent_text(range.low);
  }
  if (range.low == -range.high) {
    return "+-" + percent_text(range.high);
  }
  return format_number(100.0 * range.low, 2) + " to " + percent_text(range.high);
}

double normalised_error(const Estimate& a, const Estimate& b) {
  const double uncertainty = std::hypot(reach_towards(a, b), reach_towards(b, a));
  const double least = 1e-9 * std::max(std::abs(a.value), std::abs(b.value));
  return a.value == b.value ? 0.0 : (a.value - b.value) / std::max(uncertainty, least);
}

CrossCheck check_momentum(const Estimate& m, const Estimate& thrust) {
  CrossCheck check;
  check.ratio = m.value / thrust.value;
  // The ends of a ratio: each takes the halves that move it that way.
  const double down = std::hypot(m.value - m.low_95, check.ratio * (thrust.high_95 - thrust.value));
  const double up = std::hypot(m.high_95 - m.value, check.ratio * (thrust.value - thrust.low_95));
  check.ratio_low_95 = std::max(0.0, check.ratio - down / thrust.value);
  check.ratio_high_95 = check.ratio + up / thrust.value;
  check.normalised_error = normalised_error(m, thrust);
  check.agrees = std::abs(check.normalised_error) <= 1.0;
  return check;
}

std::vector<CrossCheck> cross_check(const std::vector<PlaneResult>& planes,
                                    const Estimate& thrust_n,
                                    const Survey& survey,
                                    bool head_corrected) {
  if (!(thrust_n.value > 0.0) || !std::isfinite(thrust_n.value)) {
    throw InputError("the thrust must be above zero to be compared with the momentum flux");
  }
  CheckedPlanes checked{
      {}, {}, survey, thrust_n.value, air_density_kg_m3(survey.air).value, head_corrected};
  std::vector<CrossCheck> checks;
  for (const PlaneResult& plane : planes) {
    if (std::isfinite(plane.momentum_flux_n.value)) {
      checks.push_back(check_momentum(plane.momentum_flux_n, thrust_n));
      checks.back().distance_m = plane.distance_m;
      checked.planes.push_back(&plane);
      checked.ratio.push_back(checks.back().ratio);
    }
  }
  if (checks.empty()) {
    return checks;
  }
  const std::vector<Suspect> suspects = all_suspects(checked);
  const Run run = run_of(checked);
  const bool steady = !(std::abs(run.z) > 2.0);
  std::vector<double> weight;
  for (const Suspect& s : suspects) {
    weight.push_back(s.plausibility * fit_of(s, checked, thrust_n));
  }
  for (std::size_t i = 0; i < checks.size(); ++i) {
    if (checks[i].agrees && steady) {
      checks[i].explanations = {all_well(suspects, i)};
    } else {
      checks[i].explanations = ranked(suspects, weight, run, i);
    }
  }
  return checks;
}

}  // namespace sweepflux
