#include "sweepflux/judge/probe_check.hpp"

#include "sweepflux/base/combination.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sweepflux {
namespace {

double relative(const Measured& m) { return m.standard_uncertainty / m.value; }

/// Half of ln(momentum / thrust) of each pair, what is its own and what others share.
struct Logs {
  std::vector<double> value;
  Covariance own;
  Covariance common;  ///< by one lever
  Covariance whole;
};

Logs logs_of(std::span<const MomentumThrustPair> pairs) {
  const std::size_t n = pairs.size();
  Logs logs{{}, Covariance(n), Covariance(n), Covariance(n)};
  for (std::size_t i = 0; i < n; ++i) {
    const MomentumThrustPair& a = pairs[i];
    logs.value.push_back(0.5 * std::log(a.momentum_flux_n.value / a.thrust_n.value));
    for (std::size_t j = i; j < n; ++j) {
      const MomentumThrustPair& b = pairs[j];
      double own = i == j ? relative(a.momentum_flux_n) * relative(a.momentum_flux_n) : 0.0;
      own += i == j || a.thrust_of == b.thrust_of
                 ? relative(a.thrust_n) * relative(b.thrust_n)
                 : 0.0;
      const double lever = i == j || a.balance == b.balance ? a.lever_share * b.lever_share : 0.0;
      logs.own.add(i, j, 0.25 * own);
      logs.common.add(i, j, 0.25 * lever);
      logs.whole.add(i, j, 0.25 * (own + lever));
    }
  }
  return logs;
}

Estimate scale_of(double log_scale, double log_u) {
  const double half = normal_95 * log_u;
  const double scale = std::exp(log_scale);
  return {scale, scale * log_u, scale * std::exp(-half), scale * std::exp(half)};
}

/// Of all pairs: what is their own is widened by the Birge ratio where they disagree.
Estimate scale_of(const WeightedMean& mean, const Logs& logs) {
  const double own = propagated_covariance(mean.weights, mean.weights, logs.own);
  const double common = propagated_covariance(mean.weights, mean.weights, logs.common);
  const double widen = mean.consistent() ? 1.0 : mean.birge_ratio;
  return scale_of(mean.value, std::sqrt(widen * widen * own + common));
}

std::vector<MomentumThrustPair> without(std::span<const MomentumThrustPair> pairs, std::size_t i) {
  std::vector<MomentumThrustPair> left(pairs.begin(), pairs.end());
  left.erase(left.begin() + static_cast<std::ptrdiff_t>(i));
  return left;
}

/// Each pair against the mean of the others, correlations included.
std::vector<PairCheck> check_each(std::span<const MomentumThrustPair> pairs, const Logs& logs) {
  std::vector<PairCheck> checks;
  const auto n = static_cast<double>(pairs.size());
  // Of so many pairs the farthest one is beyond this in 5 % of campaigns with nothing wrong.
  const double limit = normal_quantile(1.0 - 0.025 / n);
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    PairCheck check;
    check.ratio = pairs[i].momentum_flux_n.value / pairs[i].thrust_n.value;
    if (pairs.size() > 2) {
      const Logs others = logs_of(without(pairs, i));
      const WeightedMean mean = weighted_mean(others.value, others.whole);
      std::vector<double> difference;
      for (const double w : mean.weights) {
        difference.push_back(-w);
      }
      difference.insert(difference.begin() + static_cast<std::ptrdiff_t>(i), 1.0);
      const double u = std::sqrt(propagated_covariance(difference, difference, logs.whole));
      check.z_score = (logs.value[i] - mean.value) / u;
      check.stands_out = std::abs(check.z_score) > limit;
    }
    checks.push_back(check);
  }
  return checks;
}

/// Half the log as ln(scale) + offset * slowness, each row known by its covariance.
void fit_offset(ProbeCheck& result, const Logs& logs) {
  const std::size_t n = logs.value.size();
  if (n < 3) {
    return;
  }
  // Weighted mean of y - d z is linear in d: two means and one straight line.
  std::vector<double> slowness;
  for (const MomentumThrustPair& p : result.pairs) {
    slowness.push_back(p.slowness_s_m);
  }
  const WeightedMean y = weighted_mean(logs.value, logs.whole);
  const WeightedMean z = weighted_mean(slowness, logs.whole);
  if (!(z.chi_square > 1e-9)) {
    return;
  }
  // chi square of the sum gives the mixed term of the quadratic form.
  std::vector<double> sum;
  for (std::size_t i = 0; i < n; ++i) {
    sum.push_back(logs.value[i] + slowness[i]);
  }
  const double mixed =
      0.5 * (weighted_mean(sum, logs.whole).chi_square - y.chi_square - z.chi_square);
  const double offset = mixed / z.chi_square;
  const double u_offset = 1.0 / std::sqrt(z.chi_square);
  const double left = std::max(0.0, y.chi_square - mixed * offset);
  result.chance_with_offset = 1.0 - chi_square_probability(left, static_cast<double>(n - 2));
  const double log_scale = y.value - offset * z.value;
  const double u_log = std::hypot(y.standard_uncertainty, z.value * u_offset);
  result.scale_beside_offset = scale_of(log_scale, u_log);
  const double k = std::exp(log_scale);
  result.offset_m_s = symmetric_estimate(k * offset, k * u_offset);
}

std::string scale_words(const Estimate& scale) {
  const double percent = 100.0 * (scale.value - 1.0);
  const std::string size = format_with_uncertainty(
      std::abs(percent), 100.0 * scale.standard_uncertainty, "%");
  return scale.low_95 <= 1.0 && scale.high_95 >= 1.0
             ? "does not differ from a true one at 95 % (" + std::string(percent < 0.0 ? "-" : "+") +
                   size + ")"
             : "reads " + size + (percent > 0.0 ? " high" : " low");
}

/// @param without_it  the scale of all other pairs, where one stands out
void say(ProbeCheck& result, const Estimate& without_it) {
  const std::size_t n = result.pairs.size();
  std::vector<std::string>& said = result.words;
  said.push_back("From " + std::to_string(n) +
                 (n == 1 ? " pair" : " pairs") + " of momentum flux and thrust the probe " +
                 scale_words(result.scale) + "; scale " +
                 format_with_uncertainty(
                     result.scale.value, result.scale.standard_uncertainty, "") +
                 ", indicated over true speed.");
  if (n > 1) {
    const std::string figures = "chi square " + format_number(result.chi_square, 3) + " for " +
                                format_number(result.degrees, 3) + " degree" +
                                (n == 2 ? "" : "s") + " of freedom, chance " +
                                chance_text(result.chance);
    said.push_back(result.explains_all
                       ? "One factor explains all gaps (" + figures + ")."
                       : "One factor does not explain all gaps (" + figures +
                             "); the interval is widened by the Birge ratio " +
                             format_number(result.birge_ratio, 2) + ".");
  } else {
    said.emplace_back("One pair alone cannot show whether a factor explains the gap.");
  }
  if (result.stands_out) {
    const MomentumThrustPair& p = result.pairs[*result.stands_out];
    said.push_back(p.name + " (" + p.survey + ") stands out, by " +
                   format_number(result.checks[*result.stands_out].z_score, 2) +
                   " standard uncertainties from what the others say: look there first. Without it "
                   "the scale is " +
                   format_with_uncertainty(without_it.value, without_it.standard_uncertainty, "") +
                   ".");
  }
  if (result.offset_m_s) {
    const Estimate& d = *result.offset_m_s;
    const bool sure = d.low_95 > 0.0 || d.high_95 < 0.0;
    said.push_back("Fitted beside the scale, the offset is " +
                   format_with_uncertainty(d.value, d.standard_uncertainty, "m/s") +
                   (sure ? "." : ", which does not differ from zero at 95 %."));
  }
  if (result.scale_if_neglected_high > result.scale_if_neglected_low + 1e-9) {
    said.push_back(
        "Turbulence and pressure are neglected. In a developed jet they may take 2 to 12 % off the "
        "momentum flux of the mean speed; at these distances the scale would then be " +
        format_number(result.scale_if_neglected_low, 4) + " to " +
        format_number(result.scale_if_neglected_high, 4) + ".");
  }
}

}  // namespace

ProbeCheck check_probe(std::span<const MomentumThrustPair> pairs) {
  if (pairs.empty()) {
    throw InputError("a check of the probe needs a pair of momentum flux and thrust");
  }
  for (const MomentumThrustPair& p : pairs) {
    const bool fit = p.momentum_flux_n.value > 0.0 && p.thrust_n.value > 0.0 &&
                     p.momentum_flux_n.standard_uncertainty > 0.0;
    if (!fit) {
      throw InputError(p.name + ": momentum flux, its uncertainty and thrust must be above zero");
    }
  }
  ProbeCheck result;
  result.pairs.assign(pairs.begin(), pairs.end());
  const Logs logs = logs_of(pairs);
  const WeightedMean mean = weighted_mean(logs.value, logs.whole);
  result.chi_square = mean.chi_square;
  result.degrees = mean.degrees;
  result.chance = mean.chance;
  result.birge_ratio = mean.birge_ratio;
  result.explains_all = mean.consistent();
  result.scale = scale_of(mean, logs);
  result.checks = check_each(pairs, logs);
  const auto farthest = std::max_element(
      result.checks.begin(), result.checks.end(), [](const PairCheck& a, const PairCheck& b) {
        return std::abs(a.z_score) < std::abs(b.z_score);
      });
  Estimate without_it = result.scale;
  if (farthest->stands_out) {
    result.stands_out = static_cast<std::size_t>(farthest - result.checks.begin());
    const Logs others = logs_of(without(pairs, *result.stands_out));
    without_it = scale_of(weighted_mean(others.value, others.whole), others);
  }
  double least = 0.0, most = 0.0;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    least += mean.weights[i] * std::log1p(pairs[i].neglected.high);
    most += mean.weights[i] * std::log1p(pairs[i].neglected.low);
  }
  result.scale_if_neglected_low = result.scale.value * std::exp(-0.5 * least);
  result.scale_if_neglected_high = result.scale.value * std::exp(-0.5 * most);
  fit_offset(result, logs);
  say(result, without_it);
  return result;
}

std::string calibration_block(const ProbeCheck& check,
                              std::span<const std::pair<double, double>> earlier,
                              double top_m_s) {
  // An offset goes in only where a factor alone does not do and its sign is certain.
  const bool with_offset = !check.explains_all && check.chance_with_offset >= 0.05 &&
                           check.offset_m_s &&
                           (check.offset_m_s->low_95 > 0.0 || check.offset_m_s->high_95 < 0.0);
  const Estimate& scale = with_offset ? *check.scale_beside_offset : check.scale;
  const double offset_m_s = with_offset ? check.offset_m_s->value : 0.0;
  std::vector<std::pair<double, double>> taken(earlier.begin(), earlier.end());
  if (taken.empty()) {
    const double top = std::ceil(std::max(top_m_s, 1.0));
    const double zero = std::max(offset_m_s, 0.0);
    taken = {{zero, zero}, {top, top}};
  }
  // What was taken for true so far is what this check found to be indicated.
  std::vector<std::pair<double, double>> pairs;
  for (const auto& [was_true, indicated] : taken) {
    const double now_true = (was_true - offset_m_s) / scale.value;
    if (now_true >= 0.0) {
      pairs.emplace_back(now_true, indicated);
    }
  }
  std::string text = "# under [probe]; from " + std::to_string(check.pairs.size()) +
                     (check.pairs.size() == 1 ? " pair" : " pairs") + " of momentum flux and thrust\ncalibration = [";
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    text += (i == 0 ? "[\"" : ", [\"") + format_number(pairs[i].first, 5) +
            " m/s\", \"" + format_number(pairs[i].second, 5) + " m/s\"]";
  }
  // Within what was neglected any value is as likely as any other [JCGM 100, 4.3.7].
  const double neglected = std::max(check.scale.value, check.scale_if_neglected_high) -
                           std::min(check.scale.value, check.scale_if_neglected_low);
  const double u = std::hypot(scale.standard_uncertainty, neglected / std::sqrt(12.0));
  return text + "]\nscale_uncertainty = \"" + format_number(100.0 * u / scale.value, 2) +
         " %\"  # with neglected turbulence and pressure\n";
}

}  // namespace sweepflux
