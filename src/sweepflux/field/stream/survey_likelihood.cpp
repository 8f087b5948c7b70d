#include "sweepflux/field/stream/core_pursuit_private.hpp"
#include "sweepflux/field/stream/survey_likelihood_private.hpp"

#include <algorithm>
#include <utility>

namespace sweepflux {
namespace {

bool is_read(const PlaneReadings& r) { return !r.rows.empty() || !r.censored.empty(); }

}  // namespace

SurveyLikelihood::SurveyLikelihood(const StreamPrior& prior,
                                   const std::vector<PlaneReadings>& readings)
    : prior_(prior), readings_(readings) {
  for (const PlaneReadings& r : readings) {
    planes_.emplace_back(r);
  }
}

double SurveyLikelihood::log_likelihood(std::span<const double> z, double least) {
  const SurveyStream s = prior_.stream(z);
  double sum = 0.0;
  for (std::size_t p = 0; p < planes_.size(); ++p) {
    sum += is_read(readings_[p]) ? planes_[p].of_rows(s.planes[p], s) : 0.0;
  }
  const double enough = std::max(least, 0.5 * not_computable);
  for (std::size_t p = 0; p < planes_.size() && sum > enough; ++p) {
    sum += is_read(readings_[p]) ? planes_[p].of_censored(s.planes[p], s, {}, least - sum) : 0.0;
  }
  return sum;
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
          StreamPrior::spreads(),
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
  const std::vector<std::size_t> spreads = StreamPrior::spreads();
  const SurveyStream here = prior_.stream(z);
  std::vector<SurveyStream> there(entries.size());
  std::vector<double> at(z.begin(), z.end());
  for (std::size_t j = 0; j < entries.size(); ++j) {
    at[entries[j]] += steps[j];
    there[j] = prior_.stream(at);
    at[entries[j]] = z[entries[j]];
  }
  for (std::size_t p = 0; p < planes_.size(); ++p) {
    if (!is_read(readings_[p])) {
      continue;
    }
    (void)planes_[p].log_likelihood(here.planes[p], here);
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
    planes_[p].add_normal_equations(slopes, hessian, gradient);
  }
}

std::vector<PlaneDraw> SurveyLikelihood::draw(const SurveyStream& stream,
                                              const std::function<double()>& normal) {
  std::vector<PlaneDraw> out;
  for (std::size_t p = 0; p < planes_.size(); ++p) {
    const double log_likelihood = planes_[p].log_likelihood(stream.planes[p], stream);
    out.push_back({log_likelihood, planes_[p].draw(normal)});
  }
  return out;
}

}  // namespace sweepflux
