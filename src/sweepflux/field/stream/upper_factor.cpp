#include "sweepflux/field/stream/upper_factor_private.hpp"

#include "sweepflux/field/stream/stream_likelihood_private.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sweepflux {
namespace {

/// Squared pivots of 1 plus what readings say are 1 or more; less is lost by single precision.
constexpr float least_pivot_2 = 0.5f;

}  // namespace

void UpperFactor::assign(std::size_t columns, std::size_t padded) {
  columns_ = columns;
  stride_ = in_lanes(columns);
  values_.assign(padded * stride_ + padded, 0.0f);
}

double UpperFactor::factorise() {
  double log_determinant = 0.0;
  for (std::size_t i = 0; i < columns_; ++i) {
    float* __restrict gi = row(i);
    if (!(gi[i] > least_pivot_2)) {
      return std::numeric_limits<double>::quiet_NaN();
    }
    const float pivot = std::sqrt(gi[i]), inverse = 1.0f / pivot;
    log_determinant += std::log(static_cast<double>(pivot));
    for (std::size_t j = i / lanes * lanes; j < stride_; ++j) {
      gi[j] *= inverse;
    }
    gi[i] = pivot;
    std::fill(gi + i / lanes * lanes, gi + i, 0.0f);
    for (std::size_t k = i + 1; k < columns_; ++k) {
      const float f = gi[k];
      if (f == 0.0f) {  // sweeps do not touch each other
        continue;
      }
      float* __restrict gk = row(k);
      for (std::size_t j = k / lanes * lanes; j < stride_; ++j) {
        gk[j] -= f * gi[j];
      }
    }
  }
  return log_determinant;
}

void UpperFactor::solve_transposed(std::vector<double>& v) const {
  for (std::size_t j = 0; j < columns_; ++j) {
    const float* g = row(j);
    v[j] /= static_cast<double>(g[j]);
    for (std::size_t k = j + 1; k < columns_; ++k) {
      v[k] -= v[j] * static_cast<double>(g[k]);
    }
  }
}

void UpperFactor::solve(std::vector<double>& v) const {
  std::vector<float> solved(stride_, 0.0f);  // zero where still to come: whole registers serve
  for (std::size_t i = columns_; i-- > 0;) {
    const float* g = row(i);
    const std::size_t from = i / lanes * lanes;
    v[i] -= dot(g + from, solved.data() + from, stride_ - from);
    v[i] /= static_cast<double>(g[i]);
    solved[i] = static_cast<float>(v[i]);
  }
}

}  // namespace sweepflux
