#include "sweepflux/field/stream/residual_process_private.hpp"

#include <algorithm>
#include <cmath>

// The terms of a residual process: what it sees of places, its covariance, its noise.

namespace sweepflux {
namespace {

constexpr double jitter = 1e-8;  // share of the squared peak; below any noise
constexpr double step = 0.25;    // of the prior deviation, both ways

}  // namespace

Features ResidualProcess::features(int plane, const Array& y, const Array& z) const {
  Features f;
  const Vector& t = fitted_.t;
  model_->coordinates(t, plane, y, z, f.p, f.r);
  f.w = model_->envelope(t, plane, y, z);
  f.lx = Array::Constant(y.size(), model_->log_distance(t, plane));
  f.plane = Eigen::ArrayXi::Constant(y.size(), plane);
  Matrix j(y.size(), t.size());
  for (Eigen::Index k = 0; k < t.size(); ++k) {
    Vector up = t, down = t;
    up[k] += step * prior_sd_[k];
    down[k] -= step * prior_sd_[k];
    j.col(k) =
        (model_->evaluate(up, plane, y, z) - model_->evaluate(down, plane, y, z)) / (2.0 * step);
  }
  f.j_shape = j.leftCols(model_->shape_size());
  f.j_structure = j.rightCols(t.size() - model_->shape_size());
  return f;
}

Features ResidualProcess::sample_features(const std::vector<Eigen::Index>& which) const {
  Features all;
  const std::size_t n = which.size();
  for (std::size_t done = 0; done < n;) {
    const int plane = data_.plane[static_cast<std::size_t>(which[done])];
    std::size_t end = done;
    while (end < n && data_.plane[static_cast<std::size_t>(which[end])] == plane) {
      ++end;
    }
    Array y(static_cast<Eigen::Index>(end - done)), z(static_cast<Eigen::Index>(end - done));
    for (std::size_t i = done; i < end; ++i) {
      y[static_cast<Eigen::Index>(i - done)] = data_.y[which[i]];
      z[static_cast<Eigen::Index>(i - done)] = data_.z[which[i]];
    }
    all.append(features(plane, y, z));
    done = end;
  }
  all.j_structure.col(0).setConstant(prior_sd_[model_->background_index()]);  // readings show it
  return all;
}

Matrix ResidualProcess::kernel(const Features& a, const Features& b) const {
  Matrix k = matern(a, b, hyper_);
  k *= std::exp(2.0 * hyper_.ln_sigma);
  if (model_->pooled()) {
    const double own = std::exp(2.0 * hyper_.ln_own);
    k.array() += own * same_plane(a, b).array() * (a.j_shape * b.j_shape.transpose()).array();
  }
  return k;
}

Array ResidualProcess::kernel_diagonal(const Features& f) const {
  Array d = std::exp(2.0 * hyper_.ln_sigma) * f.w.square();
  if (model_->pooled()) {
    d += std::exp(2.0 * hyper_.ln_own) * f.j_shape.rowwise().squaredNorm().array();
  }
  return d;
}

Matrix ResidualProcess::same_sweep(const std::vector<Eigen::Index>& which,
                                   const Array& value) const {
  const auto n = static_cast<Eigen::Index>(which.size());
  Matrix k = Matrix::Zero(n, n);
  for (Eigen::Index j = 0; j < n; ++j) {
    const Eigen::Index sj = which[static_cast<std::size_t>(j)];
    for (Eigen::Index i = 0; i < n; ++i) {
      const Eigen::Index si = which[static_cast<std::size_t>(i)];
      if (data_.sweep[static_cast<std::size_t>(si)] == data_.sweep[static_cast<std::size_t>(sj)]) {
        k(i, j) = value[si] * value[sj];
      }
    }
  }
  return k;
}

void ResidualProcess::add_noise(Matrix& k,
                                const std::vector<Eigen::Index>& which,
                                const Array& sd) const {
  k += std::exp(2.0 * hyper_.ln_gain) * same_sweep(which, all_mean_.max(0.0));
  k += data_.height_sd_m * data_.height_sd_m * same_sweep(which, all_slope_);
  const double floor = jitter * data_.peak_m_s * data_.peak_m_s;
  k.diagonal().array() += std::exp(2.0 * hyper_.ln_noise) * sd.square() + floor;
}

}  // namespace sweepflux
