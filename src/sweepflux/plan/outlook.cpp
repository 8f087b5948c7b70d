#include "sweepflux/plan/outlook_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>

namespace sweepflux {

Outlook::Outlook(std::vector<Plane> planes,
                 std::vector<std::vector<SweepPosterior>> flow,
                 std::vector<std::vector<SweepPosterior>> momentum,
                 double starting_speed_m_s,
                 double sweep_gain_sd,
                 double per_place,
                 std::function<double(double)> noise)
    : planes_(std::move(planes)),
      starting_speed_(starting_speed_m_s),
      gain_sd_(sweep_gain_sd),
      per_place_(per_place),
      noise_(std::move(noise)) {
  states_[0].resize(planes_.size());
  states_[1].resize(planes_.size());
  for (std::size_t j = 0; j < planes_.size(); ++j) {
    for (std::size_t k = 0; k < momentum[j].size(); ++k) {
      // One shape's joint posterior serves both integrals of the plane.
      joint_.push_back({std::move(momentum[j][k].cross.among), momentum[j][k].cross.mean});
      if (begin_.empty()) {
        begin_ = momentum[j][k].begin;
      }
      const std::size_t joint = joint_.size() - 1;
      for (int which = 0; which < 2; ++which) {
        SweepPosterior& p = which == 0 ? flow[j][k] : momentum[j][k];
        states_[which][j].push_back(
            {p.weight, p.variance, p.variance, std::move(p.cross.with_functional), joint});
      }
    }
  }
}

Outlook::Heard Outlook::hear(const Joint& joint, std::size_t candidate) const {
  Heard h;
  for (Eigen::Index i = begin_[candidate]; i < begin_[candidate + 1]; ++i) {
    if (joint.mean[i] > 0.8 * starting_speed_ && joint.among(i, i) > 0.0) {
      h.places.push_back(i);
    }
  }
  const auto n = static_cast<Eigen::Index>(h.places.size());
  Matrix k(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index a = h.places[static_cast<std::size_t>(i)];
    for (Eigen::Index j = 0; j < n; ++j) {
      const Eigen::Index b = h.places[static_cast<std::size_t>(j)];
      k(i, j) = joint.among(a, b) + gain_sd_ * gain_sd_ * joint.mean[a] * joint.mean[b];
    }
    const double sd = noise_(std::max(joint.mean[a], 0.0));
    k(i, i) += sd * sd / per_place_;
  }
  h.factor = Eigen::LLT<Matrix>(k).matrixL();
  return h;
}

double Outlook::gain(std::size_t candidate, PlanTarget target) const {
  const int which = target == PlanTarget::flow ? 0 : 1;
  double total = 0.0;
  for (std::size_t j = 0; j < planes_.size(); ++j) {
    const Plane& p = planes_[j];
    double now = 0.0, taken = 0.0;
    for (const State& s : states_[which][j]) {
      const Joint& joint = joint_[s.joint];
      const Heard h = hear(joint, candidate);
      const auto n = static_cast<Eigen::Index>(h.places.size());
      now += s.weight * s.start_variance;
      if (n == 0) {
        continue;
      }
      if (target == PlanTarget::map) {
        Matrix rows(n, joint.among.cols());
        for (Eigen::Index i = 0; i < n; ++i) {
          rows.row(i) = joint.among.row(h.places[static_cast<std::size_t>(i)]);
        }
        h.factor.triangularView<Eigen::Lower>().solveInPlace(rows);
        total += s.weight * rows.squaredNorm() / joint.mean.square().maxCoeff();
        continue;
      }
      Vector c(n);
      for (Eigen::Index i = 0; i < n; ++i) {
        c[i] = s.c[h.places[static_cast<std::size_t>(i)]];
      }
      h.factor.triangularView<Eigen::Lower>().solveInPlace(c);
      taken += s.weight * c.squaredNorm();
    }
    if (target != PlanTarget::map && now > 0.0) {
      const double own = p.own_sd[which] / p.value[which];
      total += p.weight * own * own * taken / now;
    }
  }
  return total;
}

void Outlook::make(std::size_t candidate) {
  for (std::size_t index = 0; index < joint_.size(); ++index) {
    Joint& joint = joint_[index];
    const Heard h = hear(joint, candidate);
    const auto n = static_cast<Eigen::Index>(h.places.size());
    if (n == 0) {
      continue;
    }
    Matrix rows(n, joint.among.cols());
    for (Eigen::Index i = 0; i < n; ++i) {
      rows.row(i) = joint.among.row(h.places[static_cast<std::size_t>(i)]);
    }
    h.factor.triangularView<Eigen::Lower>().solveInPlace(rows);
    for (int which = 0; which < 2; ++which) {
      for (auto& plane : states_[which]) {
        for (State& s : plane) {
          if (s.joint != index) {
            continue;
          }
          Vector c(n);
          for (Eigen::Index i = 0; i < n; ++i) {
            c[i] = s.c[h.places[static_cast<std::size_t>(i)]];
          }
          h.factor.triangularView<Eigen::Lower>().solveInPlace(c);
          s.variance = std::max(0.0, s.variance - c.squaredNorm());
          s.c -= rows.transpose() * c;
        }
      }
    }
    joint.among.noalias() -= rows.transpose() * rows;
  }
}

double Outlook::sd(std::size_t plane, int which) const {
  double start = 0.0, now = 0.0;
  for (const State& s : states_[which][plane]) {
    start += s.weight * s.start_variance;
    now += s.weight * s.variance;
  }
  const double left = start > 0.0 ? now / start : 1.0;
  const Plane& p = planes_[plane];
  return std::sqrt(left * p.own_sd[which] * p.own_sd[which] +
                   p.common_sd[which] * p.common_sd[which]);
}

double Outlook::share(std::size_t plane, int which) const {
  return sd(plane, which) / planes_[plane].value[which];
}

double Outlook::worst_share(PlanTarget target) const {
  double worst = 0.0;
  for (std::size_t j = 0; j < planes_.size(); ++j) {
    worst = std::max(worst, share(j, target == PlanTarget::flow ? 0 : 1));
  }
  return worst;
}

double Outlook::floor_share(PlanTarget target) const {
  const int which = target == PlanTarget::flow ? 0 : 1;
  double worst = 0.0;
  for (const Plane& p : planes_) {
    worst = std::max(worst, p.common_sd[which] / p.value[which]);
  }
  return worst;
}

}  // namespace sweepflux
