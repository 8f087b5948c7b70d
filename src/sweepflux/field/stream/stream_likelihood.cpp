#include "sweepflux/field/stream/stream_likelihood_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace sweepflux {
namespace {

constexpr std::size_t lanes = 16;  // columns are padded to whole vector registers
constexpr double log_2_pi = 1.8378770664093453;
constexpr double clear_of_limit = 2.0;  // standard deviations; costs 0.02 of log likelihood at most

double share_of(const std::vector<double>& shares, int sweep) {
  return shares.empty() ? 1.0 : shares[static_cast<std::size_t>(sweep)];
}

/// Sum of products over whole registers, in an order that compilers may vectorise.
double dot(const float* __restrict a, const float* __restrict b, std::size_t count) {
  float lane[lanes] = {};
  for (std::size_t j = 0; j < count; j += lanes) {
    for (std::size_t k = 0; k < lanes; ++k) {
      lane[k] += a[j + k] * b[j + k];
    }
  }
  float sum = 0.0f;
  for (const float l : lane) {
    sum += l;
  }
  return sum;
}

double mean_of_two(const std::vector<float>& values, std::size_t place) {
  return 0.5 * static_cast<double>(values[place] + values[place + 1]);
}

}  // namespace

double PlaneLikelihood::seen_speed(const StreamSpeeds& speeds, const PlaneStream& stream,
                                   std::size_t place, double share) const {
  const PlaneReadings& r = *readings_;
  const double core = mean_of_two(speeds.u, place);
  return share == 0.0 ? core
                      : core + share * sideways_speed(stream, r.downstream, core,
                                                      mean_of_two(r.y, place), mean_of_two(r.z, place));
}

void PlaneLikelihood::fill_columns(const PlaneStream& stream, std::size_t place, float* out) const {
  const auto mean = [&](const std::vector<float>& v) { return 0.5f * (v[place] + v[place + 1]); };
  residual_row(stream, mean(speeds_.p), mean(speeds_.q), mean(speeds_.r), out);
}

void PlaneLikelihood::fill_rows(const PlaneStream& stream, const SurveyStream& survey,
                                const std::vector<double>& shares) {
  const PlaneReadings& r = *readings_;
  const std::size_t n = r.rows.size(), above = 2 * n + 2 * r.censored.size();
  const double common = survey.drift + survey.offset;
  const double factor_2 = survey.noise_factor * survey.noise_factor;
  const double share_2 = survey.noise_share * survey.noise_share;
  const std::size_t padded = (n + 3) / 4 * 4;
  rows_.assign(padded * stride_, 0.0f);
  mean_.assign(columns_, 0.0);
  weight_.assign(n, 0.0);
  departure_.assign(n, 0.0);
  log_likelihood_ = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    const PlaneReadings::Row& row = r.rows[i];
    const double share = share_of(shares, row.sweep);
    if (share <= 0.0) {
      continue;
    }
    const double core = mean_of_two(speeds_.u, 2 * i);
    const double seen = seen_speed(speeds_, stream, 2 * i, row.sideways);
    const double value = row.value, noise_2 = row.noise_2, count = row.count;
    const double variance = factor_2 * noise_2 + share_2 * core * core / count;
    const double weight = std::sqrt(share / variance), e = (value - seen - common) * weight;
    weight_[i] = weight;
    departure_[i] = e;
    log_likelihood_ -= 0.5 * (e * e + share * (std::log(variance) + log_2_pi));
    float* h = &rows_[i * stride_];
    fill_columns(stream, 2 * i, h);
    const auto f = static_cast<float>(seen * weight);
    for (std::size_t j = 0; j < residual_columns; ++j) {
      h[j] *= f;
    }
    if (r.sweeps > 0) {
      const auto sweep = static_cast<std::size_t>(row.sweep);
      h[residual_columns + sweep] = r.gain_sd * f;
      const double speed_above = speeds_.u[above + i], far = r.above, height_sd = r.height_sd;
      const double slope = (speed_above - core) / far;
      h[residual_columns + r.sweeps + sweep] = static_cast<float>(height_sd * slope * weight);
    }
    for (std::size_t j = 0; j < columns_; ++j) {
      mean_[j] += static_cast<double>(h[j]) * e;
    }
  }
}

void PlaneLikelihood::factorise() {
  gram_.assign(columns_ * stride_, 0.0f);
  for (std::size_t i = 0; i + 3 < rows_.size() / stride_; i += 4) {
    const float* h0 = &rows_[i * stride_];
    const float *h1 = h0 + stride_, *h2 = h1 + stride_, *h3 = h2 + stride_;
    for (std::size_t j = 0; j < columns_; ++j) {
      float* __restrict g = &gram_[j * stride_];
      const float a = h0[j], b = h1[j], c = h2[j], d = h3[j];
      for (std::size_t k = j / lanes * lanes; k < stride_; ++k) {
        g[k] += a * h0[k] + b * h1[k] + c * h2[k] + d * h3[k];
      }
    }
  }
  double log_determinant = 0.0;
  for (std::size_t i = 0; i < columns_; ++i) {
    gram_[i * stride_ + i] += 1.0f;
  }
  for (std::size_t i = 0; i < columns_; ++i) {
    float* __restrict gi = &gram_[i * stride_];
    const float pivot = std::sqrt(gi[i]), inverse = 1.0f / pivot;
    log_determinant += std::log(static_cast<double>(pivot));
    for (std::size_t j = i / lanes * lanes; j < stride_; ++j) {
      gi[j] *= inverse;
    }
    gi[i] = pivot;
    for (std::size_t k = i + 1; k < columns_; ++k) {
      const float f = gi[k];
      float* __restrict gk = &gram_[k * stride_];
      for (std::size_t j = k / lanes * lanes; j < stride_; ++j) {
        gk[j] -= f * gi[j];
      }
    }
  }
  double square = 0.0;
  for (std::size_t i = 0; i < columns_; ++i) {
    double v = mean_[i];
    for (std::size_t k = 0; k < i; ++k) {
      v -= static_cast<double>(gram_[k * stride_ + i]) * mean_[k];
    }
    mean_[i] = v / static_cast<double>(gram_[i * stride_ + i]);
    square += mean_[i] * mean_[i];
  }
  for (std::size_t i = columns_; i-- > 0;) {
    double v = mean_[i];
    for (std::size_t k = i + 1; k < columns_; ++k) {
      v -= static_cast<double>(gram_[i * stride_ + k]) * mean_[k];
    }
    mean_[i] = v / static_cast<double>(gram_[i * stride_ + i]);
  }
  log_likelihood_ += 0.5 * square - log_determinant;
}

void PlaneLikelihood::invert() {
  inverted_ = true;
  inverse_.assign(columns_ * stride_, 0.0f);
  for (std::size_t i = columns_; i-- > 0;) {
    float* __restrict v = &inverse_[i * stride_];
    const float* g = &gram_[i * stride_];
    const float inverse = 1.0f / g[i];
    for (std::size_t k = i + 1; k < columns_; ++k) {
      const float f = -g[k] * inverse;
      const float* __restrict o = &inverse_[k * stride_];
      for (std::size_t j = k / lanes * lanes; j < stride_; ++j) {
        v[j] += f * o[j];
      }
    }
    v[i] += inverse;
  }
}

void PlaneLikelihood::times_covariance(const float* column, float* __restrict out) {
  half_.assign(stride_, 0.0f);
  float* __restrict y = half_.data();
  for (std::size_t i = 0; i < columns_; ++i) {
    const float f = column[i];
    const float* __restrict v = &inverse_[i * stride_];
    for (std::size_t j = i / lanes * lanes; j < stride_; ++j) {
      y[j] += f * v[j];
    }
  }
  for (std::size_t i = 0; i < columns_; ++i) {
    const std::size_t from = i / lanes * lanes;
    out[i] = static_cast<float>(dot(&inverse_[i * stride_ + from], y + from, stride_ - from));
  }
}

double PlaneLikelihood::censored(const PlaneStream& stream, const SurveyStream& survey,
                                 const std::vector<double>& shares) {
  const PlaneReadings& r = *readings_;
  const std::size_t first = 2 * r.rows.size();
  const double common = survey.drift + survey.offset;
  double log_sum = 0.0;
  pull_.assign(r.censored.size(), 0.0);
  curve_.assign(r.censored.size(), 0.0);
  for (std::size_t c = 0; c < r.censored.size(); ++c) {
    const PlaneReadings::Censored& site = r.censored[c];
    const double limit = site.limit, weight = site.weight, site_noise_2 = site.noise_2;
    const double share = share_of(shares, site.sweep) * weight;
    const std::size_t k = first + 2 * c;
    const double u = seen_speed(speeds_, stream, k, site.sideways);
    const double noise_2 = survey.noise_factor * survey.noise_factor * site_noise_2 +
                           survey.noise_share * survey.noise_share * u * u;
    const double gap = limit - u - common;
    if (share <= 0.0 || gap > 8.0 * std::sqrt(noise_2 + u * u)) {
      continue;
    }
    if (gap > 3.0 * std::sqrt(noise_2 + 0.02 * u * u)) {
      log_sum += share * log_normal_cdf(gap / std::sqrt(noise_2));
      continue;
    }
    if (sites_.size() == site_count_) {
      sites_.emplace_back();
    }
    Site& s = sites_[site_count_];
    s.column.assign(stride_, 0.0f);
    s.along.assign(stride_, 0.0f);
    fill_columns(stream, k, s.column.data());
    if (r.sweeps > 0) {
      s.column[residual_columns + static_cast<std::size_t>(site.sweep)] = r.gain_sd;
    }
    double mean = u + common;
    for (std::size_t j = 0; j < columns_; ++j) {
      s.column[j] *= static_cast<float>(u);
      mean += static_cast<double>(s.column[j]) * mean_[j];
    }
    // Readings tell more than the prior, so its variance bounds the site's own; where even that leaves
    // little chance of a reading, the site says too little to move the coefficients.
    const double bound = noise_2 + dot(s.column.data(), s.column.data(), stride_);
    const double clear = (limit - mean) / std::sqrt(bound);
    if (clear > clear_of_limit) {
      log_sum += share * log_normal_cdf(clear);
      continue;
    }
    if (!inverted_) {
      invert();
    }
    times_covariance(s.column.data(), s.along.data());
    for (std::size_t q = 0; q < site_count_; ++q) {
      const Site& earlier = sites_[q];
      const auto f = static_cast<float>(
          dot(earlier.along.data(), s.column.data(), stride_) * earlier.scale);
      const float* __restrict from = earlier.along.data();
      float* __restrict to = s.along.data();
      for (std::size_t j = 0; j < stride_; ++j) {
        to[j] -= f * from[j];
      }
    }
    const double variance = std::max(dot(s.along.data(), s.column.data(), stride_), 0.0);
    const double sd = std::sqrt(variance + noise_2), x = (limit - mean) / sd;
    const double log_p = log_normal_cdf(x);
    log_sum += share * log_p;
    const double rate = share * std::exp(-0.5 * x * x - 0.5 * log_2_pi - log_p);
    if (rate < 1e-3) {
      continue;
    }
    const double own = rate / share;
    s.scale = std::min(rate * (own + x) / (variance + noise_2),
                       1.0 / (variance + noise_2 / std::max(share, 1.0)));
    s.scale = std::max(s.scale, 1e-9);
    s.left = std::max(0.0, 1.0 / s.scale - variance);
    pull_[c] = -rate / sd;
    curve_[c] = s.scale;
    for (std::size_t j = 0; j < columns_; ++j) {
      mean_[j] -= static_cast<double>(s.along[j]) * rate / sd;
    }
    ++site_count_;
  }
  return log_sum;
}

double PlaneLikelihood::log_likelihood(const PlaneStream& stream, const SurveyStream& survey,
                                       const std::vector<double>& shares) {
  const PlaneReadings& r = *readings_;
  columns_ = residual_columns + 2 * r.sweeps;
  stride_ = (columns_ + lanes - 1) / lanes * lanes;
  inverted_ = false;
  site_count_ = 0;
  stream_speeds(stream, r.y.data(), r.z.data(), r.y.size(), speeds_);
  fill_rows(stream, survey, shares);
  factorise();
  log_likelihood_ += censored(stream, survey, shares);
  return std::isfinite(log_likelihood_) ? log_likelihood_ : -1e30;
}

void PlaneLikelihood::means(const PlaneStream& stream, const SurveyStream& survey,
                            std::vector<double>& out) {
  const PlaneReadings& r = *readings_;
  const std::size_t n = r.rows.size(), all = n + r.censored.size();
  stream_speeds(stream, r.y.data(), r.z.data(), 2 * all, other_);
  out.resize(all);
  for (std::size_t i = 0; i < all; ++i) {
    const double share = i < n ? r.rows[i].sideways : r.censored[i - n].sideways;
    out[i] = seen_speed(other_, stream, 2 * i, share) + survey.drift + survey.offset;
  }
}

void PlaneLikelihood::add_normal_equations(const std::vector<std::vector<double>>& slopes,
                                           std::vector<double>& hessian,
                                           std::vector<double>& gradient) const {
  const std::size_t n = departure_.size(), d = slopes.size();
  // U'^-1 R' of each whitened slope and of the departures, R the columns and U'U = 1 + R'R.
  const auto through_columns = [&](const std::vector<double>& whitened) {
    std::vector<double> t(columns_, 0.0);
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < columns_; ++j) {
        t[j] += whitened[i] * static_cast<double>(rows_[i * stride_ + j]);
      }
    }
    for (std::size_t j = 0; j < columns_; ++j) {
      t[j] /= static_cast<double>(gram_[j * stride_ + j]);
      for (std::size_t k = j + 1; k < columns_; ++k) {
        t[k] -= t[j] * static_cast<double>(gram_[j * stride_ + k]);
      }
    }
    return t;
  };
  const auto product = [](const std::vector<double>& a, const std::vector<double>& b) {
    return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
  };
  const std::vector<double> e = through_columns(departure_);
  std::vector<std::vector<double>> whitened(d), through(d);
  for (std::size_t j = 0; j < d; ++j) {
    if (slopes[j].empty()) {
      continue;
    }
    for (std::size_t i = 0; i < n; ++i) {
      whitened[j].push_back(slopes[j][i] * weight_[i]);
    }
    through[j] = through_columns(whitened[j]);
    gradient[j] += product(whitened[j], departure_) - product(through[j], e);
    for (std::size_t c = 0; c < pull_.size(); ++c) {
      gradient[j] += pull_[c] * slopes[j][n + c];
    }
    for (std::size_t k = 0; k <= j; ++k) {
      if (slopes[k].empty()) {
        continue;
      }
      double v = product(whitened[j], whitened[k]) - product(through[j], through[k]);
      for (std::size_t c = 0; c < pull_.size(); ++c) {
        v += curve_[c] * slopes[j][n + c] * slopes[k][n + c];
      }
      hessian[j * d + k] += v;
      hessian[k * d + j] += j == k ? 0.0 : v;
    }
  }
}

void PlaneLikelihood::departures(const PlaneStream& stream, const SurveyStream& survey, int sweep,
                                 const std::vector<float>& coefficients,
                                 std::vector<double>& departure,
                                 std::vector<double>& noise) const {
  const PlaneReadings& r = *readings_;
  departure.clear();
  noise.clear();
  std::vector<float> h(residual_columns);
  for (std::size_t i = 0; i < r.rows.size(); ++i) {
    const PlaneReadings::Row& row = r.rows[i];
    if (row.sweep != sweep) {
      continue;
    }
    fill_columns(stream, 2 * i, h.data());
    double g = 1.0 + static_cast<double>(r.gain_sd *
                                         coefficients[residual_columns +
                                                      static_cast<std::size_t>(sweep)]);
    for (std::size_t j = 0; j < residual_columns; ++j) {
      g += static_cast<double>(h[j] * coefficients[j]);
    }
    const double seen = seen_speed(speeds_, stream, 2 * i, row.sideways);
    const double value = row.value, noise_2 = row.noise_2, count = row.count;
    departure.push_back(value - seen * std::max(g, 0.0) - survey.drift - survey.offset);
    noise.push_back(std::sqrt(survey.noise_factor * survey.noise_factor * noise_2 +
                              survey.noise_share * survey.noise_share * seen * seen / count));
  }
}

std::vector<float> PlaneLikelihood::draw(const std::function<double()>& normal) {
  if (!inverted_) {
    invert();
  }
  std::vector<double> e(columns_), c(columns_, 0.0);
  for (double& v : e) {
    v = normal();
  }
  for (std::size_t i = 0; i < columns_; ++i) {
    for (std::size_t j = i; j < columns_; ++j) {
      c[i] += static_cast<double>(inverse_[i * stride_ + j]) * e[j];
    }
  }
  for (std::size_t q = 0; q < site_count_; ++q) {
    const Site& s = sites_[q];
    double d = std::sqrt(s.left) * normal();
    for (std::size_t j = 0; j < columns_; ++j) {
      d += static_cast<double>(s.column[j]) * c[j];
    }
    for (std::size_t j = 0; j < columns_; ++j) {
      c[j] -= d * s.scale * static_cast<double>(s.along[j]);
    }
  }
  std::vector<float> out(columns_);
  for (std::size_t j = 0; j < columns_; ++j) {
    out[j] = static_cast<float>(c[j] + mean_[j]);
  }
  return out;
}

}  // namespace sweepflux
