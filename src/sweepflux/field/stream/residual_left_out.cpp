#include "sweepflux/field/stream/residual_process_private.hpp"

#include <cmath>

// How well a process foretells what it was not told: readings and sweeps left out, in closed form
// [Dubrule 1983], parameters held; and the evidence by which candidates are weighed.

namespace sweepflux {

void ResidualProcess::judge() {
  std::vector<Eigen::Index> which;
  for (Eigen::Index i = 0; i < data_.size(); ++i) {
    if (!data_.censored[static_cast<std::size_t>(i)]) {
      which.push_back(i);
    }
  }
  const auto n = static_cast<Eigen::Index>(which.size());
  const Features f = sample_features(which);
  Array sd(n);
  Vector residual(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index s = which[static_cast<std::size_t>(i)];
    sd[i] = data_.sd[s];
    residual[i] = data_.v[s] - all_mean_[s];
  }
  Matrix k = kernel(f, f) + f.j_shape * f.j_shape.transpose();
  k.noalias() += f.j_structure * f.j_structure.transpose();
  add_noise(k, which, sd);
  const Eigen::LLT<Matrix> llt(k);
  const Vector a = llt.solve(residual);
  log_evidence_ = -0.5 * residual.dot(a) - llt.matrixLLT().diagonal().array().log().sum();
  const Matrix inverse = llt.solve(Matrix::Identity(n, n));
  loo_.clear();
  for (Eigen::Index i = 0; i < n; ++i) {
    const double error = a[i] / inverse(i, i);  // reading minus expectation from all others
    loo_.push_back({which[static_cast<std::size_t>(i)],
                    data_.v[which[static_cast<std::size_t>(i)]] - error,
                    error * std::sqrt(inverse(i, i))});
  }
  left_out_.clear();
  Eigen::Index begin = 0;
  while (begin < n) {
    const int sweep = data_.sweep[static_cast<std::size_t>(which[static_cast<std::size_t>(begin)])];
    Eigen::Index end = begin;
    while (end < n &&
           data_.sweep[static_cast<std::size_t>(which[static_cast<std::size_t>(end)])] == sweep) {
      ++end;
    }
    const Eigen::Index m = end - begin;
    const Matrix b = inverse.block(begin, begin, m, m);
    const Eigen::LLT<Matrix> b_llt(b);
    const Vector error = b_llt.solve(a.segment(begin, m));
    const Matrix cov = b_llt.solve(Matrix::Identity(m, m));
    LeftOutSweep out;
    out.sweep = sweep;
    out.log_score =
        -0.5 * error.dot(a.segment(begin, m)) + b_llt.matrixLLT().diagonal().array().log().sum();
    out.rms_error = std::sqrt(error.squaredNorm() / static_cast<double>(m));
    out.z = std::sqrt((error.array().square() / cov.diagonal().array()).mean());
    left_out_.push_back(out);
    begin = end;
  }
}

std::vector<ResidualProcess::LeftOutReading> ResidualProcess::outlying(double limit) const {
  std::vector<LeftOutReading> far;
  for (const LeftOutReading& r : loo_) {
    if (std::abs(r.z) > limit) {
      far.push_back(r);
    }
  }
  return far;
}

}  // namespace sweepflux
