#include "sweepflux/field/stream/stream_likelihood_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

// Readings below the starting speed.

namespace sweepflux {
namespace {

constexpr double clear_of_limit = 2.0;  // standard deviations; costs 0.02 of log likelihood at most

/// The higher of two normal variables of one variance [Clark 1961], less the mean of theirs.
///
/// @param apart  how far their means lie apart
Normal higher_of_two(double apart, double variance) {
  const double spread = std::sqrt(2.0 * variance), x = apart / spread;
  const double mean = 0.5 * apart * std::erf(x / std::numbers::sqrt2) +
                      spread * std::exp(-0.5 * (x * x + log_2_pi));
  return {mean, std::sqrt(variance + 0.25 * apart * apart - mean * mean)};
}

}  // namespace

double PlaneLikelihood::find_sites(const PlaneStream& stream,
                                   const SurveyStream& survey,
                                   const std::vector<double>& shares,
                                   const UpperFactor* common_precision) {
  const PlaneReadings& r = *readings_;
  const double common = survey.drift + survey.offset;
  double log_sum = 0.0;
  pull_.assign(r.censored.size(), 0.0);
  curve_.assign(r.censored.size(), 0.0);
  site_count_ = 0;
  asked_.clear();
  for (std::size_t c = 0; c < r.censored.size(); ++c) {
    const PlaneReadings::Censored& site = r.censored[c];
    const std::size_t reading = r.rows.size() + c;
    const std::array<std::size_t, 2>& places = r.places[reading];
    const double u = seen_speed(speeds_, stream, reading, site.sideways);
    double noise_2 = survey.noise_factor * survey.noise_factor * site.noise_2 +
                     survey.noise_share * survey.noise_share * u * u + least_noise_2;
    double limit = site.limit;
    if (share_of(shares, site.sweep) <= 0.0 ||
        limit - u - common > 8.0 * std::sqrt(noise_2 + u * u)) {
      continue;
    }
    if (site.count == 2) {
      const Normal higher = higher_of_two(
          static_cast<double>(speeds_.u[places[0]]) - static_cast<double>(speeds_.u[places[1]]),
          noise_2);
      limit -= higher.mean;
      noise_2 = higher.sd * higher.sd;
    }
    const double gap = limit - u - common;
    if (gap > 3.0 * std::sqrt(noise_2 + 0.02 * u * u)) {
      log_sum += log_normal_cdf(gap / std::sqrt(noise_2));
      continue;
    }
    asked_.push_back(reading);
    if (sites_.size() == site_count_) {
      sites_.emplace_back();
    }
    Site& s = sites_[site_count_++];
    s.index = c;
    s.limit = limit;
    s.mean = u;  // its columns to come
    s.noise_2 = noise_2;
    s.slope = mean_of_two(speeds_.u_z, places);
  }
  if (site_count_ == 0) {
    return log_sum;
  }
  columns_at(stream, asked_, block_);
  const std::size_t first = 2 * r.sweeps, stride = in_lanes(site_count_);
  for (std::size_t i = 0; i < site_count_; ++i) {
    Site& s = sites_[i];
    const double u = s.mean;
    const auto scale = static_cast<float>(u), own = static_cast<float>(own_ * u);
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
      s.column[first + j] = block_[j * stride + i] * own;
      s.mean += static_cast<double>(s.column[first + j]) * mean_[first + j];
    }
  }
  // Readings tell more than the prior, so its variance bounds the site's own.
  drop_clear_sites(&Site::column, 1.0 / (own_ * own_), log_sum);
  reduce_sites(common_precision);
  drop_clear_sites(&Site::reduced, 1.0, log_sum);
  return log_sum;
}

void PlaneLikelihood::drop_clear_sites(std::vector<float> Site::*columns,
                                       double factor,
                                       double& log_sum) {
  std::size_t kept = 0;
  for (std::size_t i = 0; i < site_count_; ++i) {
    Site& s = sites_[i];
    const std::vector<float>& c = s.*columns;
    const double variance = factor * dot(c.data(), c.data(), c.size());
    const double clear = (s.limit - s.mean) / std::sqrt(s.noise_2 + variance);
    if (clear > clear_of_limit) {
      log_sum += log_normal_cdf(clear);
      continue;
    }
    std::swap(sites_[kept++], s);
  }
  site_count_ = kept;
}

void PlaneLikelihood::reduce_sites(const UpperFactor* common) {
  const std::size_t wide = in_lanes(site_count_), first = columns_ - residual_columns;
  const std::size_t all = columns_ + (common != nullptr ? residual_columns : 0);
  block_.assign(all * wide, 0.0f);
  for (std::size_t j = 0; j < columns_; ++j) {
    for (std::size_t i = 0; i < site_count_; ++i) {
      block_[j * wide + i] = sites_[i].column[j];
    }
  }
  // to -= f from, of all sites.
  const auto take_off = [&](std::size_t to_row, float f, std::size_t from_row) {
    float* __restrict to = &block_[to_row * wide];
    const float* __restrict from = &block_[from_row * wide];
    for (std::size_t i = 0; i < wide; ++i) {
      to[i] -= f * from[i];
    }
  };
  const auto scale = [&](std::size_t row, float f) {
    for (std::size_t i = 0; i < wide; ++i) {
      block_[row * wide + i] *= f;
    }
  };
  const auto solve_transposed = [&](const UpperFactor& factor, std::size_t begin) {
    for (std::size_t j = 0; j < factor.columns(); ++j) {
      const float* g = factor.row(j);
      scale(begin + j, 1.0f / g[j]);
      for (std::size_t k = j + 1; k < factor.columns(); ++k) {
        if (g[k] != 0.0f) {  // sweeps do not touch each other
          take_off(begin + k, g[k], begin + j);
        }
      }
    }
  };
  solve_transposed(gram_, 0);
  if (common != nullptr) {
    // Of the common residual a site has ratio times the residual's part of (U'U)^-1 column.
    std::copy_n(&block_[first * wide], residual_columns * wide, &block_[columns_ * wide]);
    for (std::size_t j = residual_columns; j-- > 0;) {
      const float* g = gram_.row(first + j) + first;
      for (std::size_t k = j + 1; k < residual_columns; ++k) {
        take_off(columns_ + j, g[k], columns_ + k);
      }
      scale(columns_ + j, 1.0f / g[j]);
    }
    for (std::size_t j = 0; j < residual_columns; ++j) {
      scale(columns_ + j, static_cast<float>(ratio()));
    }
    solve_transposed(*common, columns_);
  }
  for (std::size_t i = 0; i < site_count_; ++i) {
    sites_[i].reduced.assign(in_lanes(all), 0.0f);
    for (std::size_t j = 0; j < all; ++j) {
      sites_[i].reduced[j] = block_[j * wide + i];
    }
  }
}

double PlaneLikelihood::take_sites(double least) {
  const std::size_t n = site_count_;
  std::vector<double> covariance(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i; j < n; ++j) {
      const std::vector<float>& c = sites_[i].reduced;
      covariance[i * n + j] = dot(c.data(), sites_[j].reduced.data(), c.size());
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

double PlaneLikelihood::of_censored(const PlaneStream& stream,
                                    const SurveyStream& survey,
                                    const std::vector<double>& shares,
                                    double least,
                                    const UpperFactor* common) {
  const double clear = find_sites(stream, survey, shares, common);
  const double sum = clear > least ? clear + take_sites(least - clear) : clear;
  return std::isfinite(sum) ? sum : not_computable;
}

}  // namespace sweepflux
