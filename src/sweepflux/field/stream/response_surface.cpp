#include "sweepflux/field/stream/response_surface_private.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <utility>

namespace sweepflux {
namespace {

constexpr double fewest_a_term = 1.5, most_a_term = 10.0;  // places
constexpr float ridge = 1.0f;       // pulls what no place shows towards zero
constexpr std::size_t block = 256;  // places whose products are summed at once
constexpr float least_variance = 1e-12f;

}  // namespace

void ResponseSurface::add(std::span<const float> place, double value) {
  places_.insert(places_.end(), place.begin(), place.end());
  values_.push_back(value);
}

void ResponseSurface::fit(double least) {
  const std::size_t terms = 1 + d_ + d_ * (d_ + 1) / 2;
  const double most = most_a_term * static_cast<double>(terms);
  std::vector<std::size_t> taken;
  for (std::size_t i = values_.size(); i-- > 0 && static_cast<double>(taken.size()) < most;) {
    if (values_[i] >= least) {
      taken.push_back(i);
    }
  }
  const auto n = static_cast<double>(taken.size());
  if (n < fewest_a_term * static_cast<double>(terms)) {
    return;
  }
  ResponseSurface out(d_);
  out.highest_ = values_[taken.front()];
  double middle = 0.0;
  std::vector<double> mean(d_, 0.0), square(d_, 0.0);
  for (const std::size_t i : taken) {
    middle += values_[i] / n;
    out.highest_ = std::max(out.highest_, values_[i]);
    for (std::size_t j = 0; j < d_; ++j) {
      const auto v = static_cast<double>(places_[i * d_ + j]);
      mean[j] += v / n;
      square[j] += v * v / n;
    }
  }
  for (std::size_t j = 0; j < d_; ++j) {
    out.mean_.push_back(static_cast<float>(mean[j]));
    const auto variance = static_cast<float>(square[j] - mean[j] * mean[j]);
    out.scale_.push_back(1.0f / std::sqrt(std::max(variance, least_variance)));
  }

  const auto size = static_cast<Eigen::Index>(terms);
  Eigen::MatrixXf products = Eigen::MatrixXf::Zero(size, size);
  Eigen::VectorXf response = Eigen::VectorXf::Zero(size);
  std::vector<float> x(d_);
  for (std::size_t begin = 0; begin < taken.size(); begin += block) {
    const std::size_t count = std::min(block, taken.size() - begin);
    Eigen::MatrixXf columns(size, static_cast<Eigen::Index>(count));
    Eigen::VectorXf value(static_cast<Eigen::Index>(count));
    for (std::size_t k = 0; k < count; ++k) {
      const std::size_t i = taken[begin + k];
      out.standardise({&places_[i * d_], d_}, x);
      float* to = columns.col(static_cast<Eigen::Index>(k)).data();
      *to++ = 1.0f;
      for (std::size_t j = 0; j < d_; ++j) {
        *to++ = x[j];
        for (std::size_t l = j; l < d_; ++l) {
          *to++ = x[j] * x[l];
        }
      }
      value[static_cast<Eigen::Index>(k)] = static_cast<float>(values_[i] - middle);
    }
    products.selfadjointView<Eigen::Lower>().rankUpdate(columns);
    response += columns * value;
  }
  products.diagonal().array() += ridge;
  const Eigen::LLT<Eigen::Ref<Eigen::MatrixXf>> factor(products);
  if (factor.info() != Eigen::Success) {
    return;
  }
  factor.solveInPlace(response);
  mean_ = std::move(out.mean_);
  scale_ = std::move(out.scale_);
  highest_ = out.highest_;
  constant_ = middle + static_cast<double>(response[0]);
  terms_.assign(response.data() + 1, response.data() + size);
}

double ResponseSurface::at(std::span<const float> place) const {
  std::vector<float> x(d_);
  standardise(place, x);
  const float* term = terms_.data();
  double sum = constant_;
  for (std::size_t j = 0; j < d_; ++j) {
    float row = *term++;
    for (std::size_t l = j; l < d_; ++l) {
      row += *term++ * x[l];
    }
    sum += static_cast<double>(row * x[j]);
  }
  return std::min(sum, highest_);
}

void ResponseSurface::standardise(std::span<const float> place, std::span<float> out) const {
  for (std::size_t j = 0; j < d_; ++j) {
    out[j] = (place[j] - mean_[j]) * scale_[j];
  }
}

}  // namespace sweepflux
