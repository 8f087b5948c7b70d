#include "sweepflux/field/stream/core_pursuit_private.hpp"
#include "sweepflux/field/stream/survey_likelihood_private.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

bool is_read(const PlaneReadings& r) { return !r.rows.empty() || !r.censored.empty(); }

bool shares_residual(const SurveyStream& s) { return s.own_residual < 1.0; }

}  // namespace

SurveyLikelihood::SurveyLikelihood(const StreamPrior& prior,
                                   const std::vector<PlaneReadings>& readings)
    : prior_(prior), readings_(readings) {
  for (const PlaneReadings& r : readings) {
    planes_.emplace_back(r);
  }
}

double SurveyLikelihood::of_rows(const SurveyStream& s) {
  double sum = 0.0;
  common_.clear();
  for (std::size_t p = 0; p < planes_.size(); ++p) {
    if (!is_read(readings_[p])) {
      continue;
    }
    sum += planes_[p].of_rows(s.planes[p], s);
    if (shares_residual(s) && sum > not_computable) {
      planes_[p].add_to(common_);
    }
  }
  if (shares_residual(s) && sum > not_computable) {
    sum += common_.log_evidence();
  }
  return std::isfinite(sum) ? sum : not_computable;
}

double SurveyLikelihood::with_censored(const SurveyStream& s, double sum, double least) {
  const double enough = std::max(least, 0.5 * not_computable);
  for (std::size_t p = 0; p < planes_.size() && sum > enough; ++p) {
    if (!is_read(readings_[p])) {
      continue;
    }
    if (shares_residual(s)) {
      (void)planes_[p].given(common_.mean());
    }
    sum += planes_[p].of_censored(s.planes[p], s, {}, least - sum,
                                  shares_residual(s) ? &common_.precision() : nullptr);
  }
  return sum;
}

double SurveyLikelihood::log_likelihood(std::span<const double> z, double least) {
  const SurveyStream s = prior_.stream(z);
  return with_censored(s, of_rows(s), least);
}

SamplerTarget SurveyLikelihood::target(std::function<bool()> stop,
                                       std::vector<StartingNormal> start) {
  SamplerTarget t;
  t.dimension = prior_.dimension();
  t.active = prior_.entries();
  t.straight = [this, active = t.active](std::span<const double> z) {
    const std::vector<double> all = prior_.straight(z);
    std::vector<float> out;
    for (const std::size_t j : active) {
      out.push_back(static_cast<float>(all[j]));
    }
    return out;
  };
  t.blocks = prior_.blocks();
  t.start = std::move(start);
  t.stop = std::move(stop);
  t.log_likelihood = [this](std::span<const double> z, double least) {
    return log_likelihood(z, least);
  };
  return t;
}

ModeSearch SurveyLikelihood::search() {
  return {[this](std::span<const double> z,
                 const std::vector<std::size_t>& entries,
                 const std::vector<double>& steps,
                 std::vector<double>& hessian,
                 std::vector<double>& gradient) {
            add_normal_equations(z, entries, steps, hessian, gradient);
          },
          prior_.spreads(),
          [this](Dice& dice) {
            return pursue_cores(
                prior_, readings_, [this](const SurveyStream& s) { return means(s); }, dice);
          }};
}

std::vector<double> SurveyLikelihood::means(const SurveyStream& stream) {
  std::vector<double> out, of_plane;
  for (std::size_t p = 0; p < planes_.size(); ++p) {
    planes_[p].means(stream.planes[p], stream, of_plane);
    out.insert(out.end(), of_plane.begin(), of_plane.end());
  }
  return out;
}

void SurveyLikelihood::add_normal_equations(std::span<const double> z,
                                            const std::vector<std::size_t>& entries,
                                            const std::vector<double>& steps,
                                            std::vector<double>& hessian,
                                            std::vector<double>& gradient) {
  const std::vector<std::size_t> spreads = prior_.spreads();
  const SurveyStream here = prior_.stream(z);
  std::vector<SurveyStream> there(entries.size());
  std::vector<double> at(z.begin(), z.end());
  for (std::size_t j = 0; j < entries.size(); ++j) {
    at[entries[j]] += steps[j];
    there[j] = prior_.stream(at);
    at[entries[j]] = z[entries[j]];
  }
  (void)with_censored(here, of_rows(here), 2.0 * not_computable);
  std::vector<std::vector<double>> in_common(entries.size(),
                                             std::vector<double>(residual_columns, 0.0));
  for (std::size_t p = 0; p < planes_.size(); ++p) {
    if (!is_read(readings_[p])) {
      continue;
    }
    std::vector<double> mean;
    std::vector<std::vector<double>> slopes(entries.size());
    planes_[p].means(here.planes[p], here, mean);
    for (std::size_t j = 0; j < entries.size(); ++j) {
      if (!prior_.touches(entries[j], p) ||
          std::find(spreads.begin(), spreads.end(), entries[j]) != spreads.end()) {
        continue;
      }
      planes_[p].means(there[j].planes[p], there[j], slopes[j]);
      for (std::size_t i = 0; i < mean.size(); ++i) {
        slopes[j][i] = (slopes[j][i] - mean[i]) / steps[j];
      }
    }
    planes_[p].add_normal_equations(slopes, hessian, gradient, in_common);
  }
  if (shares_residual(here)) {
    common_.correct(in_common, hessian, gradient);
  }
}

std::vector<PlaneDraw> SurveyLikelihood::draw(const SurveyStream& stream,
                                              const std::function<double()>& normal) {
  std::vector<PlaneDraw> out;
  std::vector<double> common;
  if (shares_residual(stream)) {
    (void)of_rows(stream);
    common = common_.draw(normal);
  }
  for (std::size_t p = 0; p < planes_.size(); ++p) {
    const double log_likelihood =
        planes_[p].log_likelihood(stream.planes[p], stream, {}, common);
    out.push_back({log_likelihood, planes_[p].draw(normal), common});
  }
  return out;
}

}  // namespace sweepflux
