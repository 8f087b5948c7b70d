#include "sweepflux/field/stream/mean_model_private.hpp"

#include <algorithm>
#include <cmath>

// What is held of a mean model before any reading: bounds and priors of its parameters.

namespace sweepflux {
namespace {

/// What all planes share is most often near to what a free jet does, and sometimes far from it: a
/// plane read on another day, an outlet named wrongly. Student's t with two degrees of freedom, as
/// residuals whose squares are twice its negative logarithm: near nought almost those of a normal
/// distribution, far out hardly dearer the further they go, so that readings overrule them.
double heavy_tailed(double scales) {
  constexpr double degrees = 2.0;
  return std::copysign(std::sqrt((degrees + 1.0) * std::log1p(scales * scales / degrees)), scales);
}

}  // namespace

Vector MeanModel::structure_prior_mean() const {
  Vector v = Vector::Zero(structure_size_);
  if (pooled()) {
    v[growth_z] = 1.0;
  }
  return v;
}

Vector MeanModel::structure_prior_sd() const {
  // Found in a study on known fields, no published source. The origin's is 0.3 m at 1.8 m. All but
  // the origin and how the core changes are scales of `heavy_tailed`.
  Vector v = Vector::Constant(structure_size_, 0.01);  // each plane's own
  if (pooled()) {
    v[virtual_origin] = 0.17 * reference_m_;
    v[decay] = 0.02;  // a jet keeps its momentum, so its peak falls as its width grows
    // The axis leaves from the outlet's middle, named to some centimetres: at 1.8 m this misses it
    // by 4 cm. Rows of planes that slide against one another say hardly how tall the stream is.
    v[slope_y] = 0.02;
    v[slope_z] = 0.02;
    v[growth_z] = 0.1;
    if (candidate_ == Candidate::changing_core) {
      v.tail(2).setConstant(0.7);
    }
  }
  return v;
}

double MeanModel::log_prior_odds() const {
  switch (candidate_) {
    case Candidate::gaussian:
    case Candidate::bent_gaussian:
    case Candidate::two_cores: {
      const double y = setting_.expected_flatness_y / flatness_sd_y;
      const double z = setting_.expected_flatness_z / flatness_sd_z;
      return -0.5 * (y * y + z * z);
    }
    case Candidate::three_cores:
    case Candidate::four_cores:
    case Candidate::outlet_shape:
    case Candidate::core:
    case Candidate::changing_core:
      break;
  }
  return 0.0;
}

Vector MeanModel::prior_sd(const Vector& t) const {
  Vector v(size());
  v << shape_->prior_sd(t.head(shape_size())), background_sd_m_s_, structure_prior_sd();
  return v;
}

Vector MeanModel::lower() const {
  Vector v(size());
  v.head(shape_size()) = shape_->lower();
  v[background_index()] = background_low_m_s_;
  if (pooled()) {
    auto low = v.tail(structure_size_);
    low.setConstant(-0.3);
    low[virtual_origin] = -0.8 * reference_m_;
    low[growth_z] = -0.2;
    for (const int k : {decay, slope_y, slope_z}) {
      low[k] = -0.6;
    }
    if (candidate_ == Candidate::changing_core) {
      low.tail(2).setConstant(-4.0);
    }
  }
  return v;
}

Vector MeanModel::upper() const {
  Vector v(size());
  v.head(shape_size()) = shape_->upper();
  v[background_index()] = 5.0 * background_sd_m_s_;
  if (pooled()) {
    auto high = v.tail(structure_size_);
    high.setConstant(0.3);
    double nearest = 1e300;
    for (const FitData::Plane& p : data_.planes) {
      nearest = std::min(nearest, p.downstream_m);
    }
    high[virtual_origin] = 0.6 * nearest;
    high[growth_z] = 1.5;
    for (const int k : {decay, slope_y, slope_z}) {
      high[k] = 0.6;
    }
    if (candidate_ == Candidate::changing_core) {
      high.tail(2).setConstant(4.0);
    }
  }
  return v;
}

Vector MeanModel::prior_residuals(const Vector& t) const {
  const Vector shape_prior = shape_->prior_residuals(t.head(shape_size()));
  Vector structure =
      (t.tail(structure_size_) - structure_prior_mean()).cwiseQuotient(structure_prior_sd());
  if (pooled()) {
    const int changing = candidate_ == Candidate::changing_core ? 2 : 0;
    for (int k = 0; k < structure_size_ - changing; ++k) {
      if (k != virtual_origin) {
        structure[k] = heavy_tailed(structure[k]);
      }
    }
  }
  Vector all(shape_prior.size() + 1 + structure_size_);
  all << shape_prior, t[background_index()] / background_sd_m_s_, structure;
  return all;
}

}  // namespace sweepflux
