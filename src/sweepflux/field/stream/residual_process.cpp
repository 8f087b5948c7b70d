#include "sweepflux/base/error.hpp"
#include "sweepflux/field/stream/below_start_private.hpp"
#include "sweepflux/field/stream/residual_process_private.hpp"
#include "sweepflux/field/stream/shape_spread_private.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace sweepflux {
namespace {

constexpr std::size_t most_for_hyper = 120;
constexpr double never_near = 0.1;  // of the starting speed: a shape that fits comes no nearer
constexpr double vague = 3.0;       // deviations, beyond which a rotor at rest tells nothing
constexpr double least_noise_factor = 1e-2;  // on the stated noise

}  // namespace

ResidualProcess::ResidualProcess(const FitData& data,
                                 const MeanModel& model,
                                 MeanModel::Fitted fitted)
    : data_(data),
      model_(&model),
      fitted_(std::move(fitted)),
      prior_sd_(model.prior_sd(fitted_.t)) {
  all_mean_ = model_->evaluate_all(fitted_.t);
  all_slope_.resize(data_.size());
  for (std::size_t j = 0; j < data_.planes.size(); ++j) {
    const FitData::Plane& p = data_.planes[j];
    const Eigen::Index n = p.end - p.begin;
    const Array y = data_.y.segment(p.begin, n), z = data_.z.segment(p.begin, n);
    const double h = 1e-3;
    all_slope_.segment(p.begin, n) = (model_->evaluate(fitted_.t, static_cast<int>(j), y, z + h) -
                                      model_->evaluate(fitted_.t, static_cast<int>(j), y, z - h)) /
                                     (2.0 * h);
  }
  select(all_mean_);
  choose();
  points_ = {fitted_.t};
  factor();
  judge();
}

ResidualProcess::ResidualProcess(const FitData& data,
                                 const MeanModel& model,
                                 const Vector& guess,
                                 const Vector& guess_sd,
                                 const Hyper& hyper)
    : data_(data), model_(&model), fitted_{guess, 0.0, 0.0}, prior_sd_(guess_sd), hyper_(hyper) {
  kept_features_ = features(0, Array(0), Array(0));
  llt_.compute(Matrix(0, 0));
  points_ = spread_guess(guess, guess_sd, model_->lower(), model_->upper());
  alpha_.resize(0, static_cast<Eigen::Index>(points_.size()));
}

ResidualProcess::ResidualProcess(const ResidualProcess& other, const MeanModel& model)
    : ResidualProcess(other) {
  model_ = &model;
  prior_sd_ = model.prior_sd(fitted_.t);
}

void ResidualProcess::spread() {
  spread_shapes();
  explain();
  if (std::any_of(data_.censored.begin(), data_.censored.end(), [](char c) { return c != 0; })) {
    // Which censored samples bind is asked of the field itself.
    select(field_at_samples());
    factor();
  }
}

void ResidualProcess::select(const Array& field) {
  kept_.clear();
  std::vector<double> value, sd;
  for (Eigen::Index i = 0; i < data_.size(); ++i) {
    if (!data_.censored[static_cast<std::size_t>(i)]) {
      kept_.push_back(i);
      value.push_back(data_.v[i]);
      sd.push_back(data_.sd[i]);
    } else {
      const BelowStart below = below_start(data_.v[i], data_.sd[i]);
      const BelowStart::Reading reading = below.stand_in(field[i]);
      if (reading.sd_m_s < vague * below.sd_m_s) {
        kept_.push_back(i);
        value.push_back(reading.value_m_s);
        sd.push_back(reading.sd_m_s);
      }
    }
  }
  kept_value_ = Eigen::Map<Array>(value.data(), static_cast<Eigen::Index>(value.size()));
  kept_sd_ = Eigen::Map<Array>(sd.data(), static_cast<Eigen::Index>(sd.size()));
}

void ResidualProcess::choose() {
  // Where the stream is strong the process has most to say; thinned by what is left, so that a
  // dense survey is not read too coarsely to see what varies over half a half-width.
  std::vector<std::size_t> strong;
  for (std::size_t i = 0; i < kept_.size(); ++i) {
    if (all_mean_[kept_[i]] > 0.1 * data_.peak_m_s) {
      strong.push_back(i);
    }
  }
  if (strong.size() < most_for_hyper / 2) {
    strong.resize(kept_.size());
    std::iota(strong.begin(), strong.end(), std::size_t{0});
  }
  const std::size_t stride = (strong.size() + most_for_hyper - 1) / most_for_hyper;
  std::vector<Eigen::Index> which;
  std::vector<Eigen::Index> in_kept;
  for (const std::size_t i : strong) {
    const auto sweep = static_cast<std::size_t>(data_.sweep[static_cast<std::size_t>(kept_[i])]);
    if ((i + sweep) % stride == 0) {
      which.push_back(kept_[i]);
      in_kept.push_back(static_cast<Eigen::Index>(i));
    }
  }
  const auto n = static_cast<Eigen::Index>(which.size());
  const Features f = sample_features(which);
  Vector residual(n);
  Array sd(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index k = in_kept[static_cast<std::size_t>(i)];
    residual[i] = kept_value_[k] - all_mean_[which[static_cast<std::size_t>(i)]];
    sd[i] = kept_sd_[k];
  }
  Matrix fixed = f.j_structure * f.j_structure.transpose();
  add_noise(fixed, which, Array::Zero(n));  // the gain is not chosen yet and counts for nothing
  double amplitude = 0.0;
  for (std::size_t j = 0; j < data_.planes.size(); ++j) {
    amplitude = std::max(amplitude, model_->amplitude(fitted_.t, static_cast<int>(j)));
  }
  const double s = std::log(data_.peak_m_s / amplitude);
  HyperSearch search;
  search.several_planes = model_->pooled();
  const double gain = std::log(std::max(data_.sweep_gain_sd, 1e-3));
  search.prior_mean = {s + std::log(0.05), std::log(0.9), 0.0, 0.0, gain, 0.0, std::log(0.1)};
  search.prior_sd = {1.0, 0.7, 0.5, 0.3, 0.7, 1.0, 0.8};
  search.starts = {{s + std::log(0.08), std::log(0.9), 0.0, 0.0, gain, 0.0, std::log(0.15)}};
  search.lower = {s + std::log(0.01),
                  std::log(0.3),
                  std::log(0.4),
                  0.0,
                  gain - 4.0,
                  std::log(0.1),
                  std::log(0.01)};
  search.upper = {
      s + std::log(0.6), std::log(3.0), std::log(2.5), 1.0, gain + 1.2, std::log(20.0), 0.0};
  if (fitted_.misfit < 0.3) {
    // No noise as stated leaves so little: readings without error, or with rounding alone.
    search.prior_mean[3] = std::log(std::max(fitted_.misfit, least_noise_factor));
    search.lower[3] = std::log(least_noise_factor);
    search.lower[4] = gain - 9.0;
    search.starts.front()[3] = search.prior_mean[3];
    search.starts.front()[4] = gain + search.prior_mean[3];
    search.prior_mean[4] = gain + search.prior_mean[3];
  }
  if (fitted_.misfit > 2.0) {
    // Much is left to explain, perhaps on a short scale: the usual start may run past it.
    const double left = std::sqrt(residual.squaredNorm() / static_cast<double>(n));
    std::array<double, 7> rough = search.starts.front();
    rough[0] = std::clamp(std::log(3.0 * left), search.lower[0], search.upper[0]);
    rough[1] = std::log(0.45);
    search.starts.push_back(rough);
  }
  hyper_ = choose_hyper(search, f, residual, sd, fixed, same_sweep(which, all_mean_.max(0.0)));
}

void ResidualProcess::factor() {
  kept_features_ = sample_features(kept_);
  Matrix k = kernel(kept_features_, kept_features_);
  add_noise(k, kept_, kept_sd_);
  llt_.compute(k);
  if (llt_.info() != Eigen::Success) {
    throw NumericalError("the covariance of the readings is not positive definite");
  }
  explain();
}

void ResidualProcess::explain() {
  Matrix residual(kept_value_.size(), static_cast<Eigen::Index>(points_.size()));
  for (std::size_t d = 0; d < points_.size(); ++d) {
    const Array mean = model_->evaluate_all(points_[d]);
    for (Eigen::Index i = 0; i < residual.rows(); ++i) {
      residual(i, static_cast<Eigen::Index>(d)) =
          kept_value_[i] - mean[kept_[static_cast<std::size_t>(i)]];
    }
  }
  alpha_ = llt_.solve(residual);
}

Matrix ResidualProcess::points_at(int plane,
                                  const Array& y,
                                  const Array& z,
                                  const Matrix& cross_kernel) const {
  Matrix u = cross_kernel.transpose() * alpha_;
  for (std::size_t d = 0; d < points_.size(); ++d) {
    u.col(static_cast<Eigen::Index>(d)).array() += model_->evaluate(points_[d], plane, y, z);
  }
  return u;
}

Array ResidualProcess::field_at_samples() const {
  Array field(data_.size());
  for (std::size_t j = 0; j < data_.planes.size(); ++j) {
    const FitData::Plane& p = data_.planes[j];
    const Eigen::Index n = p.end - p.begin;
    const Array y = data_.y.segment(p.begin, n), z = data_.z.segment(p.begin, n);
    const Matrix k = kernel(kept_features_, features(static_cast<int>(j), y, z));
    field.segment(p.begin, n) = mean_over_points(points_at(static_cast<int>(j), y, z, k)).array();
  }
  return field + points_.front()[model_->background_index()];
}

void ResidualProcess::spread_shapes() {
  // A thinned set decides: neighbours along a sweep say almost the same.
  std::vector<Eigen::Index> open, bound;
  std::vector<double> sds;
  const std::size_t stride =
      std::max<std::size_t>(1, (kept_.size() + most_for_hyper - 1) / most_for_hyper);
  for (Eigen::Index i = 0; i < data_.size(); ++i) {
    const auto u = static_cast<std::size_t>(i);
    if ((u + static_cast<std::size_t>(data_.sweep[u])) % stride != 0) {
      continue;  // of both kinds alike: else those above the start would draw the skirt up
    }
    if (!data_.censored[u]) {
      open.push_back(i);
      sds.push_back(data_.sd[i]);
    } else if (all_mean_[i] > never_near * data_.v[i]) {
      bound.push_back(i);
    }
  }
  const Features f = sample_features(open);
  Matrix k = kernel(f, f);
  add_noise(k, open, Eigen::Map<Array>(sds.data(), static_cast<Eigen::Index>(sds.size())));
  const Eigen::LLT<Matrix> llt(k);
  const auto n = static_cast<Eigen::Index>(open.size());
  const auto m = static_cast<Eigen::Index>(bound.size());
  // Places of both kinds, plane by plane.
  struct Piece {
    int plane;
    Array y, z;
    std::vector<Eigen::Index> open, bound;  // where its places stand in the lists above
  };
  std::vector<Piece> pieces;
  for (std::size_t j = 0; j < data_.planes.size(); ++j) {
    Piece piece;
    piece.plane = static_cast<int>(j);
    std::vector<double> y, z;
    const auto take = [&](const std::vector<Eigen::Index>& from, std::vector<Eigen::Index>& to) {
      for (std::size_t i = 0; i < from.size(); ++i) {
        if (data_.plane[static_cast<std::size_t>(from[i])] == piece.plane) {
          to.push_back(static_cast<Eigen::Index>(i));
          y.push_back(data_.y[from[i]]);
          z.push_back(data_.z[from[i]]);
        }
      }
    };
    take(open, piece.open);
    take(bound, piece.bound);
    piece.y = Eigen::Map<Array>(y.data(), static_cast<Eigen::Index>(y.size()));
    piece.z = Eigen::Map<Array>(z.data(), static_cast<Eigen::Index>(z.size()));
    pieces.push_back(std::move(piece));
  }
  Vector value(n);
  std::vector<BelowStart> limits;
  for (Eigen::Index i = 0; i < n; ++i) {
    value[i] = data_.v[open[static_cast<std::size_t>(i)]];
  }
  for (Eigen::Index i = 0; i < m; ++i) {
    const Eigen::Index s = bound[static_cast<std::size_t>(i)];
    limits.push_back(below_start(data_.v[s], data_.sd[s]));
  }
  const auto residuals = [&](const Vector& t) {
    Vector residual(n);
    Vector over(m);
    for (const Piece& piece : pieces) {
      const Array mean =
          model_->evaluate(t, piece.plane, piece.y, piece.z) + t[model_->background_index()];
      Eigen::Index at = 0;
      for (const Eigen::Index i : piece.open) {
        residual[i] = value[i] - mean[at++];
      }
      for (const Eigen::Index i : piece.bound) {
        over[i] = limits[static_cast<std::size_t>(i)].residual(mean[at++]);
      }
    }
    llt.matrixL().solveInPlace(residual);
    const Vector prior = model_->prior_residuals(t);
    Vector all(n + m + prior.size());
    all << residual, over, prior;
    return all;
  };
  points_ = spread_posterior(residuals, fitted_.t, prior_sd_, model_->lower(), model_->upper());
}

NodeFunctionals ResidualProcess::functionals(int plane,
                                             const Array& y,
                                             const Array& z,
                                             const NodeWeights& weights) const {
  const Features f = features(plane, y, z);
  NodeFunctionals out;
  out.at.mean.resize(y.size());
  out.at.variance.resize(y.size());
  Matrix w, projected, by_point;
  for (Eigen::Index from = 0; from < y.size(); from += nodes_at_once) {
    const Eigen::Index n = std::min(nodes_at_once, y.size() - from);
    const Features run = f.rows(from, n);
    Matrix k = kernel(kept_features_, run);
    const Matrix u = points_at(plane, y.segment(from, n), z.segment(from, n), k);
    const Matrix departures = departures_over_points(u);
    const Array mean = mean_over_points(u).array();
    const Matrix w_run = weights(from, mean);
    llt_.matrixL().solveInPlace(k);
    out.at.mean.segment(from, n) = mean;
    out.at.variance.segment(from, n) =
        (kernel_diagonal(run) - k.colwise().squaredNorm().transpose().array()).max(0.0) +
        departures.rowwise().squaredNorm().array();
    if (from == 0) {
      w.resize(y.size(), w_run.cols());
      projected = Matrix::Zero(k.rows(), w_run.cols());
      by_point = Matrix::Zero(w_run.cols(), departures.cols());
    }
    w.middleRows(from, n) = w_run;
    projected.noalias() += k * w_run;
    by_point.noalias() += w_run.transpose() * departures;
  }
  const double own = model_->pooled() ? std::exp(2.0 * hyper_.ln_own) : 0.0;
  const Matrix js = f.j_shape.transpose() * w;
  out.covariance = w.transpose() * matern_times(f, hyper_, w) + own * js.transpose() * js -
                   projected.transpose() * projected + by_point * by_point.transpose();
  return out;
}

CrossPosterior ResidualProcess::cross(
    int plane, const Array& y, const Array& z, const Functionals& of, const Places& places) const {
  const Features f = features(plane, y, z);
  struct Run {
    int plane;
    Array y, z;
  };
  std::vector<Run> runs;
  Features g;
  CrossPosterior out;
  out.with_functionals = Matrix::Zero(places.size(), of.linear.cols());
  out.of_squares = Vector::Zero(of.linear.cols());
  out.among = Matrix::Zero(places.size(), places.size());
  out.mean = Array::Zero(places.size());
  std::vector<Eigen::Index> known;
  for (Eigen::Index begin = 0; begin < places.size();) {
    const int at = places.plane[static_cast<std::size_t>(begin)];
    Eigen::Index end = begin;
    while (end < places.size() && places.plane[static_cast<std::size_t>(end)] == at) {
      ++end;
    }
    if (at >= 0) {
      const Array yn = places.y.segment(begin, end - begin);
      const Array zn = places.z.segment(begin, end - begin);
      g.append(features(at, yn, zn));
      runs.push_back({at, yn, zn});
      for (Eigen::Index i = begin; i < end; ++i) {
        known.push_back(i);
      }
    }
    begin = end;
  }
  if (known.empty()) {
    return out;
  }
  const Matrix kf = kernel(kept_features_, f);
  Matrix kc = kf * of.linear;
  Matrix kg = kernel(kept_features_, g), u = kg.transpose() * alpha_;
  for (std::size_t d = 0; d < points_.size(); ++d) {
    Eigen::Index row = 0;
    for (const Run& run : runs) {
      u.col(static_cast<Eigen::Index>(d)).segment(row, run.y.size()).array() +=
          model_->evaluate(points_[d], run.plane, run.y, run.z);
      row += run.y.size();
    }
  }
  const Vector mean = mean_over_points(u);
  const Matrix departures = departures_over_points(u);
  const Matrix at_nodes = points_at(plane, y, z, kf);
  const Matrix off = at_nodes.colwise() - mean_over_points(at_nodes);
  const Matrix linear = departures_over_points(of.linear.transpose() * off);
  const Matrix by_point =
      linear + departures_over_points(of.square.transpose() * off.array().square().matrix());
  out.of_squares = by_point.rowwise().squaredNorm() - linear.rowwise().squaredNorm();
  llt_.matrixL().solveInPlace(kc);
  llt_.matrixL().solveInPlace(kg);
  const Matrix with =
      kernel(g, f) * of.linear - kg.transpose() * kc + departures * by_point.transpose();
  const Matrix among = kernel(g, g) - kg.transpose() * kg + departures * departures.transpose();
  out.mean(known) = mean.array();
  out.with_functionals(known, Eigen::all) = with;
  out.among(known, known) = among;
  return out;
}

}  // namespace sweepflux
