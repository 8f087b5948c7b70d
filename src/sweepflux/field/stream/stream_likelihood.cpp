#include "sweepflux/field/stream/stream_likelihood_private.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numbers>
#include <numeric>
#include <utility>

namespace sweepflux {
namespace {

constexpr double log_2_pi = 1.8378770664093453;
/// Squared pivots of 1 + R'R are 1 or more; less is what single precision has lost.
constexpr float least_pivot_2 = 0.5f;
constexpr double clear_of_limit = 2.0;  // standard deviations; costs 0.02 of log likelihood at most

double share_of(const std::vector<double>& shares, int sweep) {
  return shares.empty() ? 1.0 : shares[static_cast<std::size_t>(sweep)];
}

/// The higher of two normal variables of one variance [Clark 1961], less the mean of theirs.
///
/// @param apart  how far their means lie apart
Normal higher_of_two(double apart, double variance) {
  const double spread = std::sqrt(2.0 * variance), x = apart / spread;
  const double mean = 0.5 * apart * std::erf(x / std::numbers::sqrt2) +
                      spread * std::exp(-0.5 * (x * x + log_2_pi));
  return {mean, std::sqrt(variance + 0.25 * apart * apart - mean * mean)};
}

/// Products of three columns with four, each `count` long.
void add_tile(
    const float* a, const float* b, std::size_t stride, std::size_t count, float (&out)[3][4]) {
  using Register = float __attribute__((vector_size(32)));
  constexpr std::size_t wide = 8;
  Register sum[3][4] = {};
  for (std::size_t i = 0; i < count; i += wide) {
    Register x[3];
    for (std::size_t j = 0; j < 3; ++j) {
      std::memcpy(&x[j], a + j * stride + i, sizeof(Register));
    }
    for (std::size_t k = 0; k < 4; ++k) {
      Register y;
      std::memcpy(&y, b + k * stride + i, sizeof(Register));
      for (std::size_t j = 0; j < 3; ++j) {
        sum[j][k] += x[j] * y;
      }
    }
  }
  for (std::size_t j = 0; j < 3; ++j) {
    for (std::size_t k = 0; k < 4; ++k) {
      out[j][k] = 0.0f;
      for (std::size_t t = 0; t < wide; ++t) {
        out[j][k] += sum[j][k][t];
      }
    }
  }
}

double mean_of_two(const std::vector<float>& values, std::size_t place) {
  return 0.5 * static_cast<double>(values[place] + values[place + 1]);
}

/// Of the residual's columns, with one of zeros: a multiple of 3 and of 4.
constexpr std::size_t padded_residual = 36;
static_assert(residual_columns <= padded_residual && padded_residual % 12 == 0);

}  // namespace

PlaneLikelihood::PlaneLikelihood(const PlaneReadings& readings) : readings_(&readings) {
  const std::size_t n = readings.rows.size();
  columns_ = 2 * readings.sweeps + residual_columns;
  stride_ = in_lanes(columns_);
  rows_stride_ = in_lanes(n);
  begin_.assign(readings.sweeps, 0);
  end_.assign(readings.sweeps, 0);
  for (std::size_t i = 0; i < n && readings.sweeps > 0; ++i) {
    const auto s = static_cast<std::size_t>(readings.rows[i].sweep);
    begin_[s] = end_[s] == 0 ? i / lanes * lanes : begin_[s];
    end_[s] = in_lanes(i + 1);
  }
}

double PlaneLikelihood::seen_speed(const StreamSpeeds& speeds,
                                   const PlaneStream& stream,
                                   std::size_t place,
                                   double share) const {
  const PlaneReadings& r = *readings_;
  const double core = mean_of_two(speeds.u, place);
  return share == 0.0 ? core
                      : core + share * sideways_speed(stream,
                                                      r.downstream,
                                                      core,
                                                      mean_of_two(r.y, place),
                                                      mean_of_two(r.z, place));
}

void PlaneLikelihood::columns_at(const PlaneStream& stream,
                                 const std::vector<std::size_t>& places,
                                 std::vector<float>& out) const {
  const std::size_t n = places.size();
  std::vector<float> at(3 * n);
  for (std::size_t i = 0; i < n; ++i) {
    at[i] = 0.5f * (speeds_.p[places[i]] + speeds_.p[places[i] + 1]);
    at[n + i] = 0.5f * (speeds_.q[places[i]] + speeds_.q[places[i] + 1]);
    at[2 * n + i] = 0.5f * (speeds_.r[places[i]] + speeds_.r[places[i] + 1]);
  }
  out.resize(residual_columns * in_lanes(n));
  residual_at(stream, at.data(), at.data() + n, at.data() + 2 * n, n, out.data());
}

void PlaneLikelihood::fill_rows(const PlaneStream& stream,
                                const SurveyStream& survey,
                                const std::vector<double>& shares) {
  const PlaneReadings& r = *readings_;
  const std::size_t n = r.rows.size(), first = 2 * r.sweeps;
  const std::size_t above = 2 * (n + r.censored.size());
  const double common = survey.drift + survey.offset;
  const double factor_2 = survey.noise_factor * survey.noise_factor;
  const double share_2 = survey.noise_share * survey.noise_share;
  rows_.assign((first + padded_residual) * rows_stride_, 0.0f);
  weight_.assign(n, 0.0);
  departure_.assign(rows_stride_, 0.0f);
  log_likelihood_ = 0.0;
  std::vector<float> factor(rows_stride_, 0.0f);
  places_.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    places_[i] = 2 * i;
    const PlaneReadings::Row& row = r.rows[i];
    const double share = share_of(shares, row.sweep);
    if (share <= 0.0) {
      continue;
    }
    const double core = mean_of_two(speeds_.u, 2 * i);
    const double seen = seen_speed(speeds_, stream, 2 * i, row.sideways);
    const double variance =
        factor_2 * row.noise_2 + (share_2 * core * core + least_noise_2) / row.count;
    const double weight = std::sqrt(share / variance), e = (row.value - seen - common) * weight;
    weight_[i] = weight;
    departure_[i] = static_cast<float>(e);
    log_likelihood_ -= 0.5 * (e * e + share * (std::log(variance) + log_2_pi));
    factor[i] = static_cast<float>(seen * weight);
    if (r.sweeps > 0) {
      const std::size_t column = 2 * static_cast<std::size_t>(row.sweep) * rows_stride_ + i;
      rows_[column] = static_cast<float>(r.gain_sd) * factor[i];
      const double rise = static_cast<double>(speeds_.u[above + i]) - core;
      rows_[column + rows_stride_] = static_cast<float>(r.height_sd * rise / r.above * weight);
    }
  }
  columns_at(stream, places_, block_);
  for (std::size_t j = 0; j < residual_columns; ++j) {
    float* __restrict to = &rows_[(first + j) * rows_stride_];
    const float* __restrict from = &block_[j * rows_stride_];
    for (std::size_t i = 0; i < rows_stride_; ++i) {
      to[i] = from[i] * factor[i];
    }
  }
}

void PlaneLikelihood::sum_products() {
  const std::size_t first = 2 * readings_->sweeps;
  gram_.assign((first + padded_residual) * stride_ + padded_residual, 0.0f);
  const auto column = [&](std::size_t j) { return &rows_[j * rows_stride_]; };
  for (std::size_t s = 0; s < readings_->sweeps; ++s) {
    const std::size_t from = begin_[s], count = end_[s] - from;
    for (std::size_t j = 2 * s; j < 2 * s + 2; ++j) {
      float* g = &gram_[j * stride_];
      for (std::size_t k = j; k < columns_; k = k + 1 == 2 * s + 2 ? first : k + 1) {
        g[k] = static_cast<float>(dot(column(j) + from, column(k) + from, count));
      }
    }
  }
  float tile[3][4];
  for (std::size_t j = 0; j < padded_residual; j += 3) {
    for (std::size_t k = j / 4 * 4; k < padded_residual; k += 4) {
      add_tile(column(first + j), column(first + k), rows_stride_, rows_stride_, tile);
      for (std::size_t a = 0; a < 3; ++a) {
        for (std::size_t b = 0; b < 4; ++b) {
          if (first + k + b < columns_) {
            gram_[(first + j + a) * stride_ + first + k + b] = tile[a][b];
          }
        }
      }
    }
  }
  mean_.resize(columns_);
  for (std::size_t j = 0; j < columns_; ++j) {
    gram_[j * stride_ + j] += 1.0f;
    mean_[j] = dot(column(j), departure_.data(), rows_stride_);
  }
}

bool PlaneLikelihood::factorise() {
  double log_determinant = 0.0;
  for (std::size_t i = 0; i < columns_; ++i) {
    float* __restrict gi = &gram_[i * stride_];
    if (!(gi[i] > least_pivot_2)) {
      return false;
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
      float* __restrict gk = &gram_[k * stride_];
      for (std::size_t j = k / lanes * lanes; j < stride_; ++j) {
        gk[j] -= f * gi[j];
      }
    }
  }
  solve_transposed(mean_);
  const double square = std::inner_product(mean_.begin(), mean_.end(), mean_.begin(), 0.0);
  solve(mean_);
  log_likelihood_ += 0.5 * square - log_determinant;
  return true;
}

double PlaneLikelihood::find_sites(const PlaneStream& stream,
                                   const SurveyStream& survey,
                                   const std::vector<double>& shares) {
  const PlaneReadings& r = *readings_;
  const double common = survey.drift + survey.offset;
  const std::size_t above = 3 * r.rows.size() + 2 * r.censored.size();
  double log_sum = 0.0;
  pull_.assign(r.censored.size(), 0.0);
  curve_.assign(r.censored.size(), 0.0);
  site_count_ = 0;
  places_.clear();
  for (std::size_t c = 0; c < r.censored.size(); ++c) {
    const PlaneReadings::Censored& site = r.censored[c];
    const std::size_t place = 2 * (r.rows.size() + c);
    const double u = seen_speed(speeds_, stream, place, site.sideways);
    double noise_2 = survey.noise_factor * survey.noise_factor * site.noise_2 +
                     survey.noise_share * survey.noise_share * u * u + least_noise_2;
    double limit = site.limit;
    if (share_of(shares, site.sweep) <= 0.0 ||
        limit - u - common > 8.0 * std::sqrt(noise_2 + u * u)) {
      continue;
    }
    if (site.count == 2) {
      const Normal higher = higher_of_two(
          static_cast<double>(speeds_.u[place]) - static_cast<double>(speeds_.u[place + 1]),
          noise_2);
      limit -= higher.mean;
      noise_2 = higher.sd * higher.sd;
    }
    const double gap = limit - u - common;
    if (gap > 3.0 * std::sqrt(noise_2 + 0.02 * u * u)) {
      log_sum += log_normal_cdf(gap / std::sqrt(noise_2));
      continue;
    }
    places_.push_back(place);
    if (sites_.size() == site_count_) {
      sites_.emplace_back();
    }
    Site& s = sites_[site_count_++];
    s.index = c;
    s.limit = limit;
    s.mean = u;  // its columns to come
    s.noise_2 = noise_2;
    s.slope = (static_cast<double>(speeds_.u[above + c]) - mean_of_two(speeds_.u, place)) / r.above;
  }
  if (site_count_ == 0) {
    return log_sum;
  }
  columns_at(stream, places_, block_);
  const std::size_t first = 2 * r.sweeps, stride = in_lanes(site_count_);
  std::size_t kept = 0;
  for (std::size_t i = 0; i < site_count_; ++i) {
    Site& s = sites_[i];
    const double u = s.mean;
    const auto scale = static_cast<float>(u);
    s.column.assign(stride_, 0.0f);
    s.mean = u + common;
    if (r.sweeps > 0) {
      const std::size_t gain = 2 * static_cast<std::size_t>(r.censored[s.index].sweep);
      s.column[gain] = static_cast<float>(r.gain_sd) * scale;
      s.column[gain + 1] = static_cast<float>(r.height_sd * s.slope);
      s.mean += static_cast<double>(s.column[gain]) * mean_[gain] +
                static_cast<double>(s.column[gain + 1]) * mean_[gain + 1];
    }
    for (std::size_t j = 0; j < residual_columns; ++j) {
      s.column[first + j] = block_[j * stride + i] * scale;
      s.mean += static_cast<double>(s.column[first + j]) * mean_[first + j];
    }
    // Readings tell more than the prior, so its variance bounds the site's own; where even that
    // leaves little chance of a reading, the site says too little to move the coefficients.
    const double bound = s.noise_2 + dot(s.column.data(), s.column.data(), stride_);
    const double clear = (s.limit - s.mean) / std::sqrt(bound);
    if (clear > clear_of_limit) {
      log_sum += log_normal_cdf(clear);
      continue;
    }
    std::swap(sites_[kept++], s);
  }
  site_count_ = kept;
  reduce_sites();
  kept = 0;
  for (std::size_t i = 0; i < site_count_; ++i) {
    Site& s = sites_[i];
    const double variance = s.noise_2 + dot(s.reduced.data(), s.reduced.data(), stride_);
    const double clear_too = (s.limit - s.mean) / std::sqrt(variance);
    if (clear_too > clear_of_limit) {
      log_sum += log_normal_cdf(clear_too);
      continue;
    }
    std::swap(sites_[kept++], s);
  }
  site_count_ = kept;
  return log_sum;
}

void PlaneLikelihood::reduce_sites() {
  const std::size_t wide = in_lanes(site_count_);
  block_.assign(columns_ * wide, 0.0f);
  for (std::size_t j = 0; j < columns_; ++j) {
    for (std::size_t i = 0; i < site_count_; ++i) {
      block_[j * wide + i] = sites_[i].column[j];
    }
  }
  for (std::size_t j = 0; j < columns_; ++j) {
    const float* g = &gram_[j * stride_];
    float* __restrict from = &block_[j * wide];
    const float inverse = 1.0f / g[j];
    for (std::size_t i = 0; i < wide; ++i) {
      from[i] *= inverse;
    }
    for (std::size_t k = j + 1; k < columns_; ++k) {
      if (g[k] == 0.0f) {  // sweeps do not touch each other
        continue;
      }
      float* __restrict to = &block_[k * wide];
      for (std::size_t i = 0; i < wide; ++i) {
        to[i] -= g[k] * from[i];
      }
    }
  }
  for (std::size_t i = 0; i < site_count_; ++i) {
    sites_[i].reduced.assign(stride_, 0.0f);
    for (std::size_t j = 0; j < columns_; ++j) {
      sites_[i].reduced[j] = block_[j * wide + i];
    }
  }
}

double PlaneLikelihood::take_sites(double least) {
  const std::size_t n = site_count_;
  std::vector<double> covariance(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i; j < n; ++j) {
      covariance[i * n + j] = dot(sites_[i].reduced.data(), sites_[j].reduced.data(), stride_);
    }
  }
  double log_sum = 0.0;
  for (std::size_t i = 0; i < n && log_sum > least; ++i) {
    Site& s = sites_[i];
    const double variance = std::max(covariance[i * n + i], 0.0), all = variance + s.noise_2;
    const double sd = std::sqrt(all), x = (s.limit - s.mean) / sd, log_p = log_normal_cdf(x);
    log_sum += log_p;
    const double rate = std::exp(-0.5 * x * x - 0.5 * log_2_pi - log_p);
    s.scale = s.pull = 0.0;
    if (rate < 1e-3) {
      continue;
    }
    s.scale = std::max(rate * (rate + x) / all, 1e-9);
    s.pull = -rate / sd;
    pull_[s.index] = s.pull;
    curve_[s.index] = s.scale;
    const double* along = &covariance[i * n];
    for (std::size_t j = i + 1; j < n; ++j) {
      sites_[j].mean += along[j] * s.pull;
      const double f = along[j] * s.scale;
      for (std::size_t k = j; k < n; ++k) {
        covariance[j * n + k] -= f * along[k];
      }
    }
  }
  return log_sum;
}

double PlaneLikelihood::of_rows(const PlaneStream& stream,
                                const SurveyStream& survey,
                                const std::vector<double>& shares) {
  const PlaneReadings& r = *readings_;
  stream_speeds(stream, r.y.data(), r.z.data(), r.y.size(), speeds_);
  fill_rows(stream, survey, shares);
  sum_products();
  site_count_ = 0;
  return factorise() && std::isfinite(log_likelihood_) ? log_likelihood_ : not_computable;
}

double PlaneLikelihood::of_censored(const PlaneStream& stream,
                                    const SurveyStream& survey,
                                    const std::vector<double>& shares,
                                    double least) {
  const double clear = find_sites(stream, survey, shares);
  const double sum = clear > least ? clear + take_sites(least - clear) : clear;
  return std::isfinite(sum) ? sum : not_computable;
}

double PlaneLikelihood::log_likelihood(const PlaneStream& stream,
                                       const SurveyStream& survey,
                                       const std::vector<double>& shares) {
  const double rows = of_rows(stream, survey, shares);
  return rows > not_computable ? rows + of_censored(stream, survey, shares) : not_computable;
}

}  // namespace sweepflux
