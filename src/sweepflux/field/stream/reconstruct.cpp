#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/stream/misfit_widening_private.hpp"
#include "sweepflux/field/stream/reconstruct_private.hpp"
#include "sweepflux/field/stream/root_guess_private.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace sweepflux {
namespace {

constexpr double temper = 4.0;  // log evidences are divided by this before they weigh
constexpr double lightest_to_spread = 0.02;
constexpr double lightest_to_drift = 0.1;  // the heaviest of five weighs twice that
constexpr double lightest_root = 0.1;      // it is the dearest part by far
constexpr double outlier_limit = 4.5;      // standard deviations

struct Fit {
  std::shared_ptr<ResidualProcess> process;
  std::shared_ptr<ResidualProcess> if_drifting;  // only of those that weigh, in a room not read
  double log_evidence = 0.0;                     // of the readings, and of the shape before them
  double log_score = 0.0;                        // sweeps left out
};

/// Evidence is tempered, a candidate's own odds are not.
std::vector<double> evidence_weights(const std::vector<Fit>& fits) {
  std::vector<double> w;
  for (const Fit& f : fits) {
    w.push_back(f.log_evidence / temper + f.process->model().log_prior_odds());
  }
  const double top = *std::max_element(w.begin(), w.end());
  double sum = 0.0;
  for (double& x : w) {
    x = std::exp(x - top);
    sum += x;
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
  // About the best shape; that one at odds with what was expected is not had for nothing.
  f.log_evidence =
      f.process->log_evidence() - 0.5 * model.prior_residuals(f.process->fitted().t).squaredNorm();
  for (const auto& s : f.process->left_out_sweeps()) {
    f.log_score += s.log_score;
  }
  return f;
}

/// What one plane says by itself.
struct Separate {
  std::vector<Fit> fits;
  std::vector<double> weights;
  std::shared_ptr<RootProcess> root, root_if_drifting;
  double root_weight = 0.0;
  double misfit = 0.0;
};

void weigh_separate(Separate& s) {
  s.weights = evidence_weights(s.fits);
  s.misfit = 0.0;
  for (std::size_t k = 0; k < s.fits.size(); ++k) {
    s.misfit += s.weights[k] * s.fits[k].process->fitted().misfit;
  }
  s.root_weight = 0.8 * std::clamp((s.misfit - 1.5) / 1.5, 0.0, 1.0);
  if (s.root_weight < lightest_root) {
    s.root_weight = 0.0;
  }
}

std::vector<GuessedShape> best_shapes(const Separate& s) {
  std::vector<GuessedShape> shapes;
  for (std::size_t k = 0; k < s.fits.size(); ++k) {
    shapes.push_back({s.weights[k], s.fits[k].process, s.fits[k].process->fitted().t});
  }
  return shapes;
}

/// As they stand in the middle of their spread.
std::vector<GuessedShape> shapes_if_drifting(const Separate& s) {
  std::vector<GuessedShape> shapes;
  double sum = 0.0;
  for (std::size_t k = 0; k < s.fits.size(); ++k) {
    if (s.fits[k].if_drifting) {
      shapes.push_back({s.weights[k], s.fits[k].if_drifting, s.fits[k].if_drifting->middle()});
      sum += s.weights[k];
    }
  }
  for (GuessedShape& shape : shapes) {
    shape.weight /= sum;
  }
  return shapes;
}

void add_separate_parts(PlaneField& field, const Separate& s, double share, std::size_t rows) {
  const auto add = [&](std::vector<WeightedPart>& parts,
                       const std::shared_ptr<const FieldPart>& process,
                       double weight,
                       double sd_factor,
                       double skirt_factor,
                       std::optional<Candidate> candidate) {
    if (process && weight > 0.0) {
      WeightedPart part;
      part.part = process;
      part.weight = share * weight;
      part.sd_factor = sd_factor;
      part.skirt_factor = skirt_factor;
      part.candidate = candidate;
      part.name = candidate ? candidate_name(*candidate) : "shape only as a first guess";
      parts.push_back(part);
    }
  };
  const double of_shape = shape_widening(s.misfit, rows);
  const double of_root = root_widening(s.misfit, rows);
  for (std::size_t k = 0; k < s.fits.size(); ++k) {
    const Fit& f = s.fits[k];
    const double weight = s.weights[k] * (1.0 - s.root_weight);
    const Candidate candidate = f.process->model().candidate();
    add(field.parts, f.process, weight, of_shape, 1.0, candidate);
    add(field.parts_if_drifting, f.if_drifting, weight, of_shape, 1.0, candidate);
  }
  add(field.parts, s.root, s.root_weight, of_root, root_skirt_doubt, {});
  add(field.parts_if_drifting, s.root_if_drifting, s.root_weight, of_root, root_skirt_doubt, {});
}

void check_stop(const Progress& progress) {
  if (progress.stop_wanted && progress.stop_wanted()) {
    throw Interrupted("stopped; nothing was written");
  }
}

/// All planes as one stream.
struct Pooled {
  std::vector<Fit> fits;  ///< empty: one plane only, or pooling not wanted
  std::vector<double> weights;
  double weight = 0.0;  ///< against each plane by itself
  double log_odds = 0.0;
  double misfit = 0.0;  ///< of the worst plane
};

/// One data set a plane, and, when they are pooled, last one of all planes.
void gather_all(SurveyField& field, const std::vector<PlaneSamples>& planes, bool pool) {
  std::vector<const PlaneSamples*> all;
  for (const PlaneSamples& p : planes) {
    all.push_back(&p);
    field.data.push_back(std::make_unique<FitData>(gather({&p})));
  }
  if (pool) {
    field.data.push_back(std::make_unique<FitData>(gather(all)));
  }
}

/// Fits every candidate: of all planes (the longest first), then plane by plane.
void fit_all(SurveyField& field,
             Pooled& pooled,
             std::vector<Separate>& separate,
             const ReconstructOptions& options,
             const Progress& progress) {
  struct Job {
    const FitData* data;
    const MeanModel* model;
    Fit* fit;
  };
  std::vector<Job> jobs;
  const auto add = [&](const FitData& data, Candidate candidate, Fit& fit) {
    field.models.push_back(std::make_unique<MeanModel>(candidate, data));
    jobs.push_back({&data, field.models.back().get(), &fit});
  };
  if (field.data.size() > separate.size()) {
    const std::vector<Candidate> candidates = usual_candidates(*field.data.back());
    pooled.fits.resize(candidates.size());
    for (std::size_t k = 0; k < candidates.size(); ++k) {
      add(*field.data.back(), candidates[k], pooled.fits[k]);
    }
  }
  for (std::size_t j = 0; j < separate.size(); ++j) {
    const std::vector<Candidate> candidates = usual_candidates(*field.data[j]);
    separate[j].fits.resize(candidates.size());
    for (std::size_t k = 0; k < candidates.size(); ++k) {
      add(*field.data[j], candidates[k], separate[j].fits[k]);
    }
  }
  parallel_for(jobs.size(), options.threads, [&](std::size_t k) {
    check_stop(progress);
    *jobs[k].fit = fit_candidate(*jobs[k].data, *jobs[k].model);
  });
}

/// Where none of the usual shapes fits, further ones are asked, one after the other.
void fit_further(SurveyField& field,
                 Pooled& pooled,
                 std::vector<Separate>& separate,
                 const ReconstructOptions& options,
                 const Progress& progress) {
  std::vector<std::vector<Fit>*> fits;  // of each data set
  for (Separate& s : separate) {
    fits.push_back(&s.fits);
  }
  if (!pooled.fits.empty()) {
    fits.push_back(&pooled.fits);
  }
  std::vector<std::vector<std::unique_ptr<MeanModel>>> models(fits.size());
  parallel_for(fits.size(), options.threads, [&](std::size_t i) {
    const auto misfits = [](const Fit& f) { return f.process->fitted().misfit > misfit_of_all; };
    for (const Candidate candidate : further_candidates(*field.data[i])) {
      if (!std::all_of(fits[i]->begin(), fits[i]->end(), misfits)) {
        break;
      }
      check_stop(progress);
      models[i].push_back(std::make_unique<MeanModel>(candidate, *field.data[i]));
      fits[i]->push_back(fit_candidate(*field.data[i], *models[i].back()));
    }
  });
  for (auto& of_one : models) {
    std::move(of_one.begin(), of_one.end(), std::back_inserter(field.models));
  }
}

/// Together or apart is asked of sweeps left out: the evidence judges only rows that were seen.
void weigh_pooled(Pooled& pooled, const std::vector<Separate>& separate) {
  if (pooled.fits.empty()) {
    return;
  }
  std::vector<double> score;
  for (const Fit& f : pooled.fits) {
    score.push_back(f.log_score);
  }
  pooled.weights = evidence_weights(pooled.fits);
  pooled.log_odds = log_mean_exp(score);
  for (std::size_t j = 0; j < separate.size(); ++j) {
    std::vector<double> own;
    for (const Fit& f : separate[j].fits) {
      own.push_back(f.log_score);
    }
    pooled.log_odds -= log_mean_exp(own);
    double misfit = 0.0;
    for (std::size_t k = 0; k < pooled.fits.size(); ++k) {
      const ResidualProcess& process = *pooled.fits[k].process;
      misfit += pooled.weights[k] * process.model().misfit(process.fitted().t, static_cast<int>(j));
    }
    pooled.misfit = std::max(pooled.misfit, misfit);
  }
  pooled.weight = 1.0 / (1.0 + std::exp(-pooled.log_odds / temper));
}

/// Spreads the shapes of all candidates that weigh, in one go; where the room was not read, also as
/// they are if it drifts.
void spread_all(SurveyField& field,
                Pooled& pooled,
                std::vector<Separate>& separate,
                const ReconstructOptions& options,
                const Progress& progress) {
  std::vector<ResidualProcess*> worth;
  const auto add = [&](const FitData& data,
                       std::vector<Fit>& fits,
                       const std::vector<double>& weights) {
    for (std::size_t k = 0; k < fits.size(); ++k) {
      if (weights[k] < lightest_to_spread) {
        continue;
      }
      worth.push_back(fits[k].process.get());
      if (options.allow_drift && data.unread_drift_m_s > 0.0 && weights[k] >= lightest_to_drift) {
        field.models.push_back(std::make_unique<MeanModel>(
            fits[k].process->model().candidate(), data, RoomAir::drifting));
        fits[k].if_drifting =
            std::make_shared<ResidualProcess>(*fits[k].process, *field.models.back());
        worth.push_back(fits[k].if_drifting.get());
      }
    }
  };
  if (!pooled.fits.empty()) {
    add(*field.data.back(), pooled.fits, pooled.weights);
  }
  for (std::size_t j = 0; j < separate.size(); ++j) {
    add(*field.data[j], separate[j].fits, separate[j].weights);
  }
  parallel_for(worth.size(), options.threads, [&](std::size_t k) {
    check_stop(progress);
    worth[k]->spread();
  });
}

/// About the shapes as fitted, and where the room was not read, about those if it drifts.
void add_roots(const SurveyField& field,
               std::vector<Separate>& separate,
               const ReconstructOptions& options,
               const Progress& progress) {
  parallel_for(separate.size(), options.threads, [&](std::size_t j) {
    Separate& s = separate[j];
    if (s.root_weight > 0.0) {
      check_stop(progress);
      s.root = root_about(*field.data[j], best_shapes(s));
      if (options.allow_drift && field.data[j]->unread_drift_m_s > 0.0) {
        s.root_if_drifting = root_about(*field.data[j], shapes_if_drifting(s));
      }
    }
  });
}

std::size_t heaviest(const std::vector<double>& weights) {
  return static_cast<std::size_t>(std::max_element(weights.begin(), weights.end()) -
                                  weights.begin());
}

void add_pooled_parts(PlaneField& field, const Pooled& pooled, int plane) {
  for (std::size_t k = 0; k < pooled.fits.size(); ++k) {
    WeightedPart part;
    part.part = pooled.fits[k].process;
    part.plane = plane;
    part.all_planes = true;
    part.weight = pooled.weight * pooled.weights[k];
    part.sd_factor = widening_together(pooled.misfit);
    part.candidate = pooled.fits[k].process->model().candidate();
    part.name = std::string("all planes: ") + candidate_name(*part.candidate);
    field.parts.push_back(part);
    if (pooled.fits[k].if_drifting) {
      part.part = pooled.fits[k].if_drifting;
      field.parts_if_drifting.push_back(part);
    }
  }
}

PlaneField mix(const FitData& data, const Pooled& pooled, const Separate& own, int plane) {
  PlaneField field;
  field.frame = data.planes.front();
  field.rows_m = field.frame.heights_m;
  field.pooled_weight = pooled.weight;
  field.log_odds_pooled = pooled.log_odds;
  field.misfit = pooled.weight * pooled.misfit + (1.0 - pooled.weight) * own.misfit;
  add_pooled_parts(field, pooled, plane);
  add_separate_parts(field, own, 1.0 - pooled.weight, field.rows_m.size());
  const ResidualProcess& best_own = *own.fits[heaviest(own.weights)].process;
  const ResidualProcess* leading = &best_own;
  int leading_plane = 0;
  if (pooled.weight > 0.5) {
    leading = pooled.fits[heaviest(pooled.weights)].process.get();
    leading_plane = plane;
    field.rows_m = leading->model().carried_heights(leading->fitted().t, plane);
  }
  const EllipseFrame frame = leading->model().frame_in_plane(leading->fitted().t, leading_plane);
  field.half_width_y_m = frame.a;
  field.half_width_z_m = frame.b;
  field.left_out_sweeps = best_own.left_out_sweeps();
  field.outlying = best_own.outlying(outlier_limit);
  return field;
}

}  // namespace

SurveyField reconstruct(const std::vector<PlaneSamples>& planes,
                        const ReconstructOptions& options,
                        const Progress& progress) {
  SurveyField out;
  gather_all(out, planes, options.pool && planes.size() > 1);
  Pooled pooled;
  std::vector<Separate> separate(planes.size());
  fit_all(out, pooled, separate, options, progress);
  fit_further(out, pooled, separate, options, progress);
  for (Separate& s : separate) {
    weigh_separate(s);
  }
  weigh_pooled(pooled, separate);
  spread_all(out, pooled, separate, options, progress);
  add_roots(out, separate, options, progress);
  for (std::size_t j = 0; j < planes.size(); ++j) {
    out.planes.push_back(mix(*out.data[j], pooled, separate[j], static_cast<int>(j)));
  }
  return out;
}

}  // namespace sweepflux
