#include "sweepflux/base/error.hpp"
#include "sweepflux/field/stream/root_process_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr std::size_t most_for_root_hyper = 140;

/// A root's noise from a speed's, to first order; under a floor the root is too bent for that.
double root_noise(double sd, double speed, double floor) {
  return sd / (2.0 * std::sqrt(std::max(speed, floor)));
}

}  // namespace

RootProcess::RootProcess(const FitData& data, Guess guess, Guess envelope, double background_m_s)
    : guess_(std::move(guess)),
      envelope_(std::move(envelope)),
      window_(data.planes.front().window) {
  const FitData::Plane& p = data.planes.front();
  const Eigen::Index n = p.end - p.begin;
  const double floor = 0.05 * data.peak_m_s;
  Array value(n), sd(n);
  std::vector<Eigen::Index> open, thin;
  std::size_t stride = (static_cast<std::size_t>(n) + most_for_root_hyper - 1) / most_for_hyper;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index s = p.begin + i;
    const auto u = static_cast<std::size_t>(s);
    if (data.censored[u]) {
      value[i] = 0.27 * std::sqrt(data.v[s]);
      sd[i] = std::max(0.18 * std::sqrt(data.v[s]), 1e-3 * std::sqrt(data.peak_m_s));
    } else {
      value[i] = std::sqrt(std::max(data.v[s] - background_m_s, 0.0));
      sd[i] = root_noise(data.sd[s], data.smooth[s], floor);
      open.push_back(i);
    }
    if ((u + static_cast<std::size_t>(data.sweep[u])) % stride == 0) {
      thin.push_back(i);
    }
  }
  samples_ = features(data.y.segment(p.begin, n), data.z.segment(p.begin, n));
  // Of a calm reading only its being calm is known: a guess that is calm there needs no pull.
  const Array root_guess = guessed_root(samples_.p, samples_.r);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index s = p.begin + i;
    if (data.censored[static_cast<std::size_t>(s)]) {
      value[i] = std::min(root_guess[i], 0.87 * std::sqrt(data.v[s]));
    }
  }
  value -= root_guess;
  const auto pick = [](const Array& from, const std::vector<Eigen::Index>& which) {
    Array out(static_cast<Eigen::Index>(which.size()));
    for (Eigen::Index i = 0; i < out.size(); ++i) {
      out[i] = from[which[static_cast<std::size_t>(i)]];
    }
    return out;
  };
  const double top = std::log(std::sqrt(data.peak_m_s));
  const double extent = std::max(p.window.width_m(), p.window.height_m());
  HyperSearch search;
  // Correlation as long across the rows as along them, unless the readings speak.
  search.prior_mean[2] = 0.0;
  search.prior_sd[2] = 0.5;
  search.prior_sd[3] = 0.3;
  search.starts = {{top + std::log(0.2), std::log(0.125 * extent), 0.0, 0.0, 0.0, 0.0, 0.0}};
  search.lower = {
      top + std::log(0.01), std::log(0.025 * extent), std::log(0.25), -1.0, 0.0, 0.0, 0.0};
  search.upper = {top + std::log(3.0), std::log(0.625 * extent), std::log(4.0), 1.0, 0.0, 0.0, 0.0};
  const Features few = features(pick(samples_.p, thin), pick(samples_.r, thin));
  const auto m = static_cast<Eigen::Index>(thin.size());
  const double jitter = 1e-8 * data.peak_m_s;
  hyper_ = choose_hyper(search,
                        few,
                        pick(value, thin).matrix(),
                        pick(sd, thin),
                        jitter * Matrix::Identity(m, m),
                        Matrix());
  const auto covariance_of = [&](const Features& f, const Array& noise) {
    Matrix k = std::exp(2.0 * hyper_.ln_sigma) * matern(f, f, hyper_);
    k.diagonal().array() += std::exp(2.0 * hyper_.ln_noise) * noise.square() + jitter;
    return k;
  };
  llt_.compute(covariance_of(samples_, sd));
  if (llt_.info() != Eigen::Success) {
    throw NumericalError("the covariance of the readings' roots is not positive definite");
  }
  alpha_ = llt_.solve(value.matrix());
  const Features uncensored = features(pick(samples_.p, open), pick(samples_.r, open));
  const Vector root = pick(value, open).matrix();
  const Eigen::LLT<Matrix> llt(covariance_of(uncensored, pick(sd, open)));
  log_evidence_ = -0.5 * root.dot(llt.solve(root)) -
                  llt.matrixLLT().diagonal().array().log().sum() -
                  (2.0 * (root + pick(root_guess, open).matrix()).array().max(1e-6)).log().sum();
}

Features RootProcess::features(const Array& y, const Array& z) const {
  Features f;
  f.p = y;
  f.r = z;
  // Outside the window the small allowance dies away within an eighth of its width.
  const double fade = 8.0 / window_.width_m();
  const Array out_y = (window_.y_min_m - y).max(y - window_.y_max_m).max(0.0) * fade;
  const Array out_z = (window_.z_min_m - z).max(z - window_.z_max_m).max(0.0) * fade;
  f.w = envelope_(y, z).max(0.12 * (-(out_y.square() + out_z.square())).exp());
  f.lx = Array::Zero(y.size());
  f.plane = Eigen::ArrayXi::Zero(y.size());
  f.j_shape.resize(y.size(), 0);
  f.j_structure.resize(y.size(), 0);
  return f;
}

Array RootProcess::guessed_root(const Array& y, const Array& z) const {
  return guess_(y, z).max(0.0).sqrt();
}

NodeFunctionals RootProcess::functionals(int /*plane*/,
                                         const Array& y,
                                         const Array& z,
                                         const NodeWeights& weights) const {
  const double s2 = std::exp(2.0 * hyper_.ln_sigma);
  const Features f = features(y, z);
  const Array guess = guessed_root(y, z);
  NodeFunctionals out;
  out.at.mean.resize(y.size());
  out.at.variance.resize(y.size());
  Matrix root_w, projected;
  for (Eigen::Index from = 0; from < y.size(); from += nodes_at_once) {
    const Eigen::Index n = std::min(nodes_at_once, y.size() - from);
    const Features run = f.rows(from, n);
    Matrix k = s2 * matern(samples_, run, hyper_);
    const Array m = ((k.transpose() * alpha_).array() + guess.segment(from, n)).max(0.0);
    llt_.matrixL().solveInPlace(k);
    const Array v = (s2 * run.w.square() - k.colwise().squaredNorm().transpose().array()).max(0.0);
    out.at.mean.segment(from, n) = m.square() + v;
    out.at.variance.segment(from, n) = 4.0 * m.square() * v + 2.0 * v.square();
    const Matrix w = (2.0 * m).matrix().asDiagonal() * weights(from, out.at.mean.segment(from, n));
    if (from == 0) {
      root_w.resize(y.size(), w.cols());
      projected = Matrix::Zero(k.rows(), w.cols());
    }
    root_w.middleRows(from, n) = w;
    projected.noalias() += k * w;
  }
  out.covariance =
      root_w.transpose() * matern_times(f, hyper_, root_w) - projected.transpose() * projected;
  return out;
}

CrossPosterior RootProcess::cross(int /*plane*/,
                                  const Array& y,
                                  const Array& z,
                                  const Functionals& of,
                                  const Places& places) const {
  const double s2 = std::exp(2.0 * hyper_.ln_sigma);
  const Features f = features(y, z), g = features(places.y, places.z);
  const Matrix kf = s2 * matern(samples_, f, hyper_);
  Matrix kg = s2 * matern(samples_, g, hyper_);
  const Array mf = ((kf.transpose() * alpha_).array() + guessed_root(y, z)).max(0.0);
  Array mg = ((kg.transpose() * alpha_).array() + guessed_root(places.y, places.z)).max(0.0);
  for (Eigen::Index i = 0; i < mg.size(); ++i) {
    if (places.plane[static_cast<std::size_t>(i)] < 0) {
      mg[i] = 0.0;  // another plane: takes its covariances to nought as well
    }
  }
  const Matrix root_c = (2.0 * mf).matrix().asDiagonal() * of.linear;
  Matrix kc = kf * root_c;
  llt_.matrixL().solveInPlace(kc);
  llt_.matrixL().solveInPlace(kg);
  const auto scale = (2.0 * mg).matrix().asDiagonal();
  CrossPosterior out;
  out.with_functionals = scale * (s2 * matern(g, f, hyper_) * root_c - kg.transpose() * kc);
  out.among = scale * (s2 * matern(g, g, hyper_) - kg.transpose() * kg) * scale;
  out.mean = mg.square();
  out.of_squares = Vector::Zero(of.linear.cols());
  return out;
}

}  // namespace sweepflux
