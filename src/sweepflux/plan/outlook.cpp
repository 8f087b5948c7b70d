#include "sweepflux/plan/outlook_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>

namespace sweepflux {

Outlook::View::View(std::vector<double> weights,
                    std::vector<SweepPosterior> posteriors,
                    ReadingModel readings)
    : weights_(std::move(weights)),
      posteriors_(std::move(posteriors)),
      readings_(std::move(readings)) {
  begin();
}

void Outlook::View::begin() {
  start_variance_.clear();
  for (const SweepPosterior& p : posteriors_) {
    start_variance_.push_back(p.variance);
  }
}

double Outlook::View::left(std::size_t plane, int which) const {
  const auto k = static_cast<std::size_t>(which);
  const double start = start_variance_[plane][k];
  return start > 0.0 ? posteriors_[plane].variance[k] / start : 1.0;
}

double Outlook::View::fall(std::size_t plane, std::size_t candidate, PlanTarget target) const {
  const SweepPosterior& p = posteriors_[plane];
  const HeardSweep heard = hear(p, candidate, readings_);
  if (heard.places.empty()) {
    return 0.0;
  }
  if (target == PlanTarget::map) {
    Matrix rows = p.among(heard.places, Eigen::all);
    heard.factor.triangularView<Eigen::Lower>().solveInPlace(rows);
    return rows.squaredNorm() / p.mean.square().maxCoeff();
  }
  const int which = target == PlanTarget::flow ? 0 : 1;
  const double start = start_variance_[plane][static_cast<std::size_t>(which)];
  return start > 0.0 ? variance_taken(p, heard, which) / start : 0.0;
}

void Outlook::View::make(std::size_t candidate) {
  for (SweepPosterior& p : posteriors_) {
    const HeardSweep heard = hear(p, candidate, readings_);
    if (heard.places.empty()) {
      continue;
    }
    Matrix rows = p.among(heard.places, Eigen::all);
    Matrix c = p.with(heard.places, Eigen::all);
    heard.factor.triangularView<Eigen::Lower>().solveInPlace(rows);
    heard.factor.triangularView<Eigen::Lower>().solveInPlace(c);
    for (std::size_t k = 0; k < 2; ++k) {
      p.variance[k] =
          std::max(0.0, p.variance[k] - c.col(static_cast<Eigen::Index>(k)).squaredNorm());
    }
    p.with.noalias() -= rows.transpose() * c;
    p.among.noalias() -= rows.transpose() * rows;
  }
}

Outlook::Outlook(std::vector<Plane> planes, std::vector<View> views)
    : planes_(std::move(planes)), views_(std::move(views)) {}

double Outlook::gain(std::size_t candidate, PlanTarget target) const {
  const auto which = static_cast<std::size_t>(target == PlanTarget::flow ? 0 : 1);
  double total = 0.0;
  for (std::size_t j = 0; j < planes_.size(); ++j) {
    const Plane& plane = planes_[j];
    const double own = target == PlanTarget::map ? 1.0 : plane.own_sd[which] / plane.value[which];
    for (const View& view : views_) {
      if (view.weight(j) > 0.0) {
        total += plane.weight * own * own * view.weight(j) * view.fall(j, candidate, target);
      }
    }
  }
  return total;
}

void Outlook::make(std::size_t candidate) {
  for (View& view : views_) {
    view.make(candidate);
  }
}

double Outlook::sd(std::size_t plane, int which) const {
  double left = 0.0;
  for (const View& view : views_) {
    if (view.weight(plane) > 0.0) {
      left += view.weight(plane) * view.left(plane, which);
    }
  }
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
