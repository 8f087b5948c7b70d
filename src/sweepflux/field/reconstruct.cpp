#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/reconstruct_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr double temper = 4.0;  // log evidences are divided by this before they weigh
constexpr double lightest_to_spread = 0.02;
constexpr double outlier_limit = 4.5;  // standard deviations

struct Fit {
  std::shared_ptr<ResidualProcess> process;
  double log_evidence = 0.0;
  double log_score = 0.0;  // sweeps left out
};

std::vector<double> evidence_weights(const std::vector<double>& log_evidence) {
  const double top = *std::max_element(log_evidence.begin(), log_evidence.end());
  std::vector<double> w;
  double sum = 0.0;
  for (const double e : log_evidence) {
    w.push_back(std::exp((e - top) / temper));
    sum += w.back();
  }
  for (double& x : w) {
    x /= sum;
  }
  return w;
}

double log_mean_exp(const std::vector<double>& x) {
  const double top = *std::max_element(x.begin(), x.end());
  double sum = 0.0;
  for (const double v : x) {
    sum += std::exp(v - top);
  }
  return top + std::log(sum / static_cast<double>(x.size()));
}

Fit fit_candidate(const FitData& data, const MeanModel& model) {
  Fit f;
  f.process = std::make_shared<ResidualProcess>(data, model, model.fit());
  f.log_evidence = f.process->log_evidence();
  for (const auto& s : f.process->left_out_sweeps()) {
    f.log_score += s.log_score;
  }
  return f;
}

/// What one plane says by itself.
struct Separate {
  std::vector<Fit> fits;
  std::vector<double> weights;
  std::shared_ptr<RootProcess> root;
  double root_weight = 0.0;
  double misfit = 0.0;
};

void weigh_separate(Separate& s) {
  std::vector<double> evidence;
  for (const Fit& f : s.fits) {
    evidence.push_back(f.log_evidence);
  }
  s.weights = evidence_weights(evidence);
  s.misfit = 0.0;
  for (std::size_t k = 0; k < s.fits.size(); ++k) {
    s.misfit += s.weights[k] * s.fits[k].process->fitted().misfit;
  }
  s.root_weight = 0.8 * std::clamp((s.misfit - 1.5) / 1.5, 0.0, 1.0);
}

/// About the candidates' mean shape, best parameters, each by its weight.
std::shared_ptr<RootProcess> make_root(const FitData& data, const Separate& s) {
  std::vector<std::pair<double, std::shared_ptr<ResidualProcess>>> shapes;
  for (std::size_t k = 0; k < s.fits.size(); ++k) {
    shapes.emplace_back(s.weights[k], s.fits[k].process);
  }
  const auto guess = [shapes](const Array& y, const Array& z) {
    Array mean = Array::Zero(y.size());
    for (const auto& [weight, process] : shapes) {
      mean += weight * process->model().evaluate(process->fitted().t, 0, y, z);
    }
    return mean;
  };
  const auto envelope = [shapes](const Array& y, const Array& z) {
    Array w = Array::Zero(y.size());
    for (const auto& [weight, process] : shapes) {
      w += weight * process->model().envelope(process->fitted().t, 0, y, z);
    }
    return Array(w.min(1.0));
  };
  double background = 0.0;
  for (const auto& [weight, process] : shapes) {
    background += weight * process->fitted().t[process->model().background_index()];
  }
  return std::make_shared<RootProcess>(data, guess, envelope, background);
}

void add_separate_parts(PlaneField& field, const Separate& s, double share, std::size_t rows) {
  const double factor = rows >= 7 ? 1.0 : std::clamp(s.misfit / 1.2, 1.0, 2.0);
  for (std::size_t k = 0; k < s.fits.size(); ++k) {
    WeightedPart part;
    part.part = s.fits[k].process;
    part.weight = share * s.weights[k] * (1.0 - s.root_weight);
    part.sd_factor = factor;
    part.name = candidate_name(s.fits[k].process->model().candidate());
    field.parts.push_back(part);
  }
  if (s.root_weight > 0.0) {
    WeightedPart part;
    part.part = s.root;
    part.weight = share * s.root_weight;
    part.sd_factor = factor;
    part.name = "shape only as a first guess";
    field.parts.push_back(part);
  }
}

void name_outliers(PlaneField& field,
                   const ResidualProcess& process,
                   const FitData& data,
                   std::size_t plane,
                   int first_sweep) {
  const FitData::Plane& p = data.planes[plane];
  for (auto r : process.outlying(outlier_limit)) {
    if (r.sample >= p.begin && r.sample < p.end) {
      r.sample -= p.begin;
      field.outlying.push_back(r);
    }
  }
  const int sweeps = first_sweep;
  for (auto s : process.left_out_sweeps()) {
    const bool here = std::any_of(data.sweep.begin() + p.begin,
                                  data.sweep.begin() + p.end,
                                  [&](int k) { return k == s.sweep; });
    if (here) {
      s.sweep -= sweeps;
      field.left_out_sweeps.push_back(s);
    }
  }
}

void check_stop(const Progress& progress) {
  if (progress.stop_wanted && progress.stop_wanted()) {
    throw Interrupted("stopped; nothing was written");
  }
}

}  // namespace

SurveyField reconstruct(const std::vector<PlaneSamples>& planes,
                        const ReconstructOptions& options,
                        const Progress& progress) {
  SurveyField out;
  const std::size_t count = planes.size();
  // One data set a plane, and, last, one of all planes.
  const bool pool = options.pool && count > 1;
  std::vector<const PlaneSamples*> all;
  for (const PlaneSamples& p : planes) {
    all.push_back(&p);
    out.data.push_back(std::make_unique<FitData>(gather({&p})));
  }
  if (pool) {
    out.data.push_back(std::make_unique<FitData>(gather(all)));
  }
  const std::vector<Candidate> alone = {Candidate::core, Candidate::two_cores, Candidate::gaussian};
  const std::vector<Candidate> together = {
      Candidate::changing_core, Candidate::core, Candidate::two_cores, Candidate::gaussian};
  struct Job {
    std::size_t data;
    MeanModel* model;  // null: the root process of this plane
  };
  std::vector<Job> jobs;
  if (pool) {  // the longest first
    for (const Candidate c : together) {
      out.models.push_back(std::make_unique<MeanModel>(c, *out.data.back()));
      jobs.push_back({count, out.models.back().get()});
    }
  }
  for (std::size_t j = 0; j < count; ++j) {
    for (const Candidate c : alone) {
      out.models.push_back(std::make_unique<MeanModel>(c, *out.data[j]));
      jobs.push_back({j, out.models.back().get()});
    }
  }
  std::vector<Fit> fits(jobs.size());
  parallel_for(jobs.size(), options.threads, [&](std::size_t k) {
    check_stop(progress);
    fits[k] = fit_candidate(*out.data[jobs[k].data], *jobs[k].model);
  });
  const auto spread = [&](const std::vector<Fit>& candidates, const std::vector<double>& weights) {
    std::vector<ResidualProcess*> worth;
    for (std::size_t k = 0; k < candidates.size(); ++k) {
      if (weights[k] >= lightest_to_spread) {
        worth.push_back(candidates[k].process.get());
      }
    }
    parallel_for(worth.size(), options.threads, [&](std::size_t k) {
      check_stop(progress);
      worth[k]->spread();
    });
  };
  std::vector<Separate> separate(count);
  const std::size_t offset = pool ? together.size() : 0;
  for (std::size_t j = 0; j < count; ++j) {
    const auto from = fits.begin() + static_cast<std::ptrdiff_t>(offset + j * alone.size());
    separate[j].fits.assign(from, from + static_cast<std::ptrdiff_t>(alone.size()));
    weigh_separate(separate[j]);
  }
  parallel_for(count, options.threads, [&](std::size_t j) {
    if (separate[j].root_weight > 0.0) {
      separate[j].root = make_root(*out.data[j], separate[j]);
    }
  });
  for (const Separate& s : separate) {
    spread(s.fits, s.weights);
  }
  double pooled_weight = 0.0, log_odds = 0.0, pooled_misfit = 0.0;
  std::vector<double> pooled_weights;
  if (pool) {
    std::vector<double> evidence, score;
    for (std::size_t k = 0; k < together.size(); ++k) {
      evidence.push_back(fits[k].log_evidence);
      score.push_back(fits[k].log_score);
    }
    pooled_weights = evidence_weights(evidence);
    log_odds = log_mean_exp(score);
    for (std::size_t j = 0; j < count; ++j) {
      std::vector<double> own;
      for (const Fit& f : separate[j].fits) {
        own.push_back(f.log_score);
      }
      log_odds -= log_mean_exp(own);
      double chi = 0.0;
      for (std::size_t k = 0; k < together.size(); ++k) {
        chi += pooled_weights[k] *
               fits[k].process->model().misfit(fits[k].process->fitted().t, static_cast<int>(j));
      }
      pooled_misfit = std::max(pooled_misfit, chi);
    }
    pooled_weight = 1.0 / (1.0 + std::exp(-log_odds / temper));
    spread({fits.begin(), fits.begin() + static_cast<std::ptrdiff_t>(together.size())},
         pooled_weights);
  }
  for (std::size_t j = 0; j < count; ++j) {
    PlaneField field;
    field.frame = out.data[j]->planes.front();
    field.pooled_weight = pooled_weight;
    field.log_odds_pooled = log_odds;
    const Separate& own = separate[j];
    const std::size_t rows = field.frame.heights_m.size();
    field.misfit =
        pool ? pooled_weight * pooled_misfit + (1.0 - pooled_weight) * own.misfit : own.misfit;
    const auto best_own = static_cast<std::size_t>(
        std::max_element(own.weights.begin(), own.weights.end()) - own.weights.begin());
    const ResidualProcess* leading = own.fits[best_own].process.get();
    int leading_plane = 0;
    field.rows_m = field.frame.heights_m;
    if (pool) {
      const auto best = static_cast<std::size_t>(
          std::max_element(pooled_weights.begin(), pooled_weights.end()) - pooled_weights.begin());
      const ResidualProcess& process = *fits[best].process;
      if (pooled_weight > 0.5) {
        leading = &process;
        leading_plane = static_cast<int>(j);
        field.rows_m = process.model().carried_heights(process.fitted().t, leading_plane);
      }
      const double factor = std::clamp(pooled_misfit / 1.2, 1.0, 4.0);
      for (std::size_t k = 0; k < together.size(); ++k) {
        WeightedPart part;
        part.part = fits[k].process;
        part.plane = static_cast<int>(j);
        part.all_planes = true;
        part.weight = pooled_weight * pooled_weights[k];
        part.sd_factor = factor;
        part.name = std::string("all planes: ") + candidate_name(together[k]);
        field.parts.push_back(part);
      }
    }
    add_separate_parts(field, own, 1.0 - pooled_weight, rows);
    const EllipseFrame frame = leading->model().frame_in_plane(leading->fitted().t, leading_plane);
    field.half_width_y_m = frame.a;
    field.half_width_z_m = frame.b;
    name_outliers(field, *own.fits[best_own].process, *out.data[j], 0, 0);
    out.planes.push_back(std::move(field));
  }
  return out;
}

}  // namespace sweepflux
