#include "sweepflux/base/error.hpp"
#include "sweepflux/field/stream/bounded_fit_private.hpp"
#include "sweepflux/field/stream/covariance_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

const double sqrt5 = std::sqrt(5.0);

Hyper unpack(const Vector& h) {
  Hyper out;
  out.ln_sigma = h[0];
  out.ln_length = h[1];
  out.ln_ratio = h[2];
  out.ln_noise = h[3];
  out.ln_gain = h[4];
  if (h.size() == 7) {
    out.ln_reach = h[5];
    out.ln_own = h[6];
  }
  return out;
}

/// Without columns there is no memory whose middle could be pointed at.
Matrix rows_of(const Matrix& m, Eigen::Index from, Eigen::Index count) {
  return m.cols() == 0 ? Matrix(count, 0) : Matrix(m.middleRows(from, count));
}

}  // namespace

Features Features::rows(Eigen::Index from, Eigen::Index count) const {
  Features part;
  part.p = p.segment(from, count);
  part.r = r.segment(from, count);
  part.w = w.segment(from, count);
  part.lx = lx.segment(from, count);
  part.plane = plane.segment(from, count);
  part.j_shape = rows_of(j_shape, from, count);
  part.j_structure = rows_of(j_structure, from, count);
  return part;
}

void Features::append(const Features& more) {
  const Eigen::Index n = size(), m = more.size();
  const auto grow = [&](Array& a, const Array& b) {
    a.conservativeResize(n + m);
    a.tail(m) = b;
  };
  grow(p, more.p);
  grow(r, more.r);
  grow(w, more.w);
  grow(lx, more.lx);
  plane.conservativeResize(n + m);
  plane.tail(m) = more.plane;
  j_shape.conservativeResize(n + m, more.j_shape.cols());
  j_shape.bottomRows(m) = more.j_shape;
  j_structure.conservativeResize(n + m, more.j_structure.cols());
  j_structure.bottomRows(m) = more.j_structure;
}

Matrix same_plane(const Features& a, const Features& b) {
  Matrix same(a.size(), b.size());
  for (Eigen::Index j = 0; j < b.size(); ++j) {
    same.col(j) = (a.plane == b.plane[j]).cast<double>();
  }
  return same;
}

Matrix matern(const Features& a, const Features& b, const Hyper& h, Matrix* distance) {
  const double ip = sqrt5 * std::exp(-h.ln_length);
  const double ir = sqrt5 * std::exp(-h.ln_length - h.ln_ratio);
  const double reach = std::exp(-h.ln_reach);
  const Array ap = a.p * ip, ar = a.r * ir;
  const bool many =
      a.size() > 0 && ((a.plane != a.plane[0]).any() || (b.plane != a.plane[0]).any());
  Matrix k(a.size(), b.size());
  if (distance != nullptr) {
    distance->resize(a.size(), b.size());
  }
  Array d(a.size());
  for (Eigen::Index j = 0; j < b.size(); ++j) {
    d = ((ap - b.p[j] * ip).square() + (ar - b.r[j] * ir).square()).sqrt();
    if (distance != nullptr) {
      distance->col(j) = d;
    }
    if (many) {
      k.col(j) = a.w * b.w[j] * (1.0 + d + d.square() * (1.0 / 3.0)) *
                 (-d - reach * (a.lx - b.lx[j]).abs()).exp();
    } else {
      k.col(j) = a.w * b.w[j] * (1.0 + d + d.square() * (1.0 / 3.0)) * (-d).exp();
    }
  }
  return k;
}

Matrix matern_times(const Features& f, const Hyper& h, const Matrix& w) {
  using Row = Eigen::ArrayXf;
  const Eigen::Index n = f.size();
  const Row p = (f.p * (sqrt5 * std::exp(-h.ln_length))).cast<float>();
  const Row r = (f.r * (sqrt5 * std::exp(-h.ln_length - h.ln_ratio))).cast<float>();
  const Row envelope = (f.w * std::exp(h.ln_sigma)).cast<float>();
  Matrix out = Matrix::Zero(n, w.cols());
  Matrix k;
  Row d, single;
  constexpr Eigen::Index block = 64;
  for (Eigen::Index from = 0; from < n; from += block) {
    // Symmetric: a block of columns against all rows from its own first on.
    const Eigen::Index columns = std::min(block, n - from), rest = n - from;
    k.resize(rest, columns);
    for (Eigen::Index j = 0; j < columns; ++j) {
      d = ((p.tail(rest) - p[from + j]).square() + (r.tail(rest) - r[from + j]).square()).sqrt();
      single = envelope.tail(rest) * envelope[from + j] * (1.0F + d + d.square() * (1.0F / 3.0F)) *
               (-d).exp();
      k.col(j) = single.cast<double>();  // by itself: a mixed expression is not vectorised
    }
    out.middleRows(from, columns).noalias() += k.transpose() * w.bottomRows(rest);
    if (rest > columns) {
      out.bottomRows(rest - columns).noalias() +=
          k.bottomRows(rest - columns) * w.middleRows(from, columns);
    }
  }
  return out;
}

Hyper choose_hyper(const HyperSearch& search,
                   const Features& f,
                   const Vector& residual,
                   const Array& sd,
                   const Matrix& fixed,
                   const Matrix& gain) {
  const Eigen::Index n = f.size();
  const bool several = search.several_planes;
  const Eigen::Index m = several ? 7 : 5;
  const Matrix jj = f.j_shape * f.j_shape.transpose();
  Matrix own_part, apart;
  if (several) {
    own_part = same_plane(f, f).cwiseProduct(jj);
    apart.resize(n, n);
    for (Eigen::Index j = 0; j < n; ++j) {
      apart.col(j) = (f.lx - f.lx[j]).abs();
    }
  }
  const auto objective = [&](const Vector& h, Vector& gradient) {
    const double s2 = std::exp(2.0 * h[0]);
    const double own = several ? std::exp(2.0 * h[6]) : 0.0;
    Matrix d;
    Matrix gp = matern(f, f, unpack(h), &d);
    gp *= s2;
    Matrix k = gp + jj + fixed;
    const double gain2 = gain.size() > 0 ? std::exp(2.0 * h[4]) : 0.0;
    if (gain2 > 0.0) {
      k += gain2 * gain;
    }
    if (several) {
      k += own * own_part;
    }
    const Array noise = std::exp(2.0 * h[3]) * sd.square();
    k.diagonal().array() += noise;
    gradient.setZero(m);
    const Eigen::LLT<Matrix> llt(k);
    if (llt.info() != Eigen::Success) {
      return 1e10;
    }
    const Vector a = llt.solve(residual);
    Matrix g = llt.solve(Matrix::Identity(n, n));
    g.noalias() -= a * a.transpose();
    double value = 0.5 * residual.dot(a) + llt.matrixLLT().diagonal().array().log().sum();
    gradient[0] = g.cwiseProduct(gp).sum();
    const double ir = sqrt5 * std::exp(-h[1] - h[2]);
    double length = 0.0, ratio = 0.0;
    for (Eigen::Index j = 0; j < n; ++j) {
      // d matern / d ln length = (d^2/3)(1 + d) exp(-d), d holding sqrt(5).
      const Array d2 = d.col(j).array().square();
      const Array g_dl = g.col(j).array() * gp.col(j).array() * (d2 / 3.0) *
                         (1.0 + d.col(j).array()) / (1.0 + d.col(j).array() + d2 / 3.0);
      length += g_dl.sum();
      ratio += (g_dl * ((f.r - f.r[j]) * ir).square() / d2.max(1e-12)).sum();
    }
    gradient[1] = 0.5 * length;
    gradient[2] = 0.5 * ratio;
    gradient[3] = (g.diagonal().array() * noise).sum();
    gradient[4] = gain2 > 0.0 ? gain2 * g.cwiseProduct(gain).sum() : 0.0;
    if (several) {
      gradient[5] = 0.5 * std::exp(-h[5]) * (g.array() * gp.array() * apart.array()).sum();
      gradient[6] = own * g.cwiseProduct(own_part).sum();
    }
    for (Eigen::Index i = 0; i < m; ++i) {
      const auto u = static_cast<std::size_t>(i);
      const double z = (h[i] - search.prior_mean[u]) / search.prior_sd[u];
      value += 0.5 * z * z;
      gradient[i] += z / search.prior_sd[u];
    }
    return value;
  };
  const auto head = [&](const std::array<double, 7>& a) {
    return Vector(Eigen::Map<const Vector>(a.data(), m));
  };
  BoundedFit best;
  best.cost = 1e300;
  for (const auto& start : search.starts) {
    const BoundedFit fit =
        minimise(objective, head(start), head(search.lower), head(search.upper), 30);
    if (fit.cost < best.cost) {
      best = fit;
    }
  }
  if (best.at.size() == 0) {
    throw NumericalError(
        "no field can be fitted: the numbers overflow; a distance, a height or an angle is far "
        "from "
        "any that a fan is measured at");
  }
  return unpack(best.at);
}

}  // namespace sweepflux
