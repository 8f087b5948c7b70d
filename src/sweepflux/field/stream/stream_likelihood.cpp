#include "sweepflux/field/stream/stream_likelihood_private.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numeric>

namespace sweepflux {
namespace {

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
                                   std::size_t reading,
                                   double share) const {
  const PlaneReadings& r = *readings_;
  const double core = mean_of_two(speeds.u, r.places[reading]);
  return share == 0.0 ? core
                      : core + share * sideways_speed(stream,
                                                      r.downstream,
                                                      core,
                                                      mean_of_two(r.y, r.places[reading]),
                                                      mean_of_two(r.z, r.places[reading]));
}

void PlaneLikelihood::columns_at(const PlaneStream& stream,
                                 const std::vector<std::size_t>& readings,
                                 std::vector<float>& out) const {
  // A reading of two places sees the residual of each in the measure of the speed there.
  const std::size_t n = readings.size(), stride = in_lanes(n), both = stride + n;
  std::vector<float> at(3 * both, 0.0f), share(stride, 0.5f), columns;
  for (std::size_t i = 0; i < n; ++i) {
    const std::array<std::size_t, 2>& places = readings_->places[readings[i]];
    const float sum = speeds_.u[places[0]] + speeds_.u[places[1]];
    share[i] = sum > 0.0f ? speeds_.u[places[0]] / sum : 0.5f;
    for (std::size_t k = 0; k < 2; ++k) {
      at[k * stride + i] = speeds_.p[places[k]];
      at[both + k * stride + i] = speeds_.q[places[k]];
      at[2 * both + k * stride + i] = speeds_.r[places[k]];
    }
  }
  columns.resize(residual_columns * 2 * stride);
  residual_at(stream, at.data(), at.data() + both, at.data() + 2 * both, both, columns.data());
  out.resize(residual_columns * stride);
  for (std::size_t j = 0; j < residual_columns; ++j) {
    const float* __restrict from = &columns[2 * j * stride];
    float* __restrict to = &out[j * stride];
    for (std::size_t i = 0; i < stride; ++i) {
      to[i] = from[stride + i] + share[i] * (from[i] - from[stride + i]);
    }
  }
}

void PlaneLikelihood::fill_rows(const PlaneStream& stream,
                                const SurveyStream& survey,
                                const std::vector<double>& shares) {
  const PlaneReadings& r = *readings_;
  const std::size_t n = r.rows.size(), first = 2 * r.sweeps;
  const double common = survey.drift + survey.offset;
  const double factor_2 = survey.noise_factor * survey.noise_factor;
  const double share_2 = survey.noise_share * survey.noise_share;
  rows_.assign((first + padded_residual) * rows_stride_, 0.0f);
  weight_.assign(n, 0.0);
  departure_.assign(rows_stride_, 0.0f);
  log_likelihood_ = 0.0;
  own_ = survey.own_residual;
  std::vector<float> factor(rows_stride_, 0.0f);
  asked_.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    asked_[i] = i;
    const PlaneReadings::Row& row = r.rows[i];
    const double share = share_of(shares, row.sweep);
    if (share <= 0.0) {
      continue;
    }
    const double core = mean_of_two(speeds_.u, r.places[i]);
    const double seen = seen_speed(speeds_, stream, i, row.sideways);
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
      rows_[column + rows_stride_] =
          static_cast<float>(r.height_sd * mean_of_two(speeds_.u_z, r.places[i]) * weight);
    }
  }
  columns_at(stream, asked_, block_);
  const auto own = static_cast<float>(own_);
  for (std::size_t j = 0; j < residual_columns; ++j) {
    float* __restrict to = &rows_[(first + j) * rows_stride_];
    const float* __restrict from = &block_[j * rows_stride_];
    for (std::size_t i = 0; i < rows_stride_; ++i) {
      to[i] = from[i] * factor[i] * own;
    }
  }
}

void PlaneLikelihood::sum_products() {
  const std::size_t first = 2 * readings_->sweeps;
  gram_.assign(columns_, first + padded_residual);
  const auto column = [&](std::size_t j) { return &rows_[j * rows_stride_]; };
  for (std::size_t s = 0; s < readings_->sweeps; ++s) {
    const std::size_t from = begin_[s], count = end_[s] - from;
    for (std::size_t j = 2 * s; j < 2 * s + 2; ++j) {
      float* g = gram_.row(j);
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
            gram_.row(first + j + a)[first + k + b] = tile[a][b];
          }
        }
      }
    }
  }
  mean_.resize(columns_);
  for (std::size_t j = 0; j < columns_; ++j) {
    gram_.row(j)[j] += 1.0f;
    mean_[j] = dot(column(j), departure_.data(), rows_stride_);
  }
}

void PlaneLikelihood::integrate_out() {
  const double log_root_determinant = gram_.factorise();
  gram_.solve_transposed(mean_);
  const double square = std::inner_product(mean_.begin(), mean_.end(), mean_.begin(), 0.0);
  gram_.solve(mean_);
  log_likelihood_ += 0.5 * square - log_root_determinant;
}

double PlaneLikelihood::of_rows(const PlaneStream& stream,
                                const SurveyStream& survey,
                                const std::vector<double>& shares) {
  const PlaneReadings& r = *readings_;
  stream_speeds(stream, r.y.data(), r.z.data(), r.y.size(), true, speeds_);
  fill_rows(stream, survey, shares);
  sum_products();
  integrate_out();
  site_count_ = 0;
  return std::isfinite(log_likelihood_) ? log_likelihood_ : not_computable;
}

void PlaneLikelihood::add_to(CommonResidual& common) const {
  // T = U'U of the residual's columns, gains and heights' errors integrated out: T^-1 by the rows
  // of U'^-1, then the information ratio^2 (1 - T^-1) and the pull, ratio times the own mean.
  const std::size_t first = 2 * readings_->sweeps, stride = in_lanes(residual_columns);
  const auto ratio_2 = static_cast<float>(ratio() * ratio());
  std::vector<float> root(residual_columns * stride, 0.0f), information(root);
  std::vector<double> pull(residual_columns);
  for (std::size_t j = 0; j < residual_columns; ++j) {
    float* __restrict to = &root[j * stride];
    const std::size_t wide = in_lanes(j + 1);
    for (std::size_t k = 0; k < j; ++k) {
      const float f = gram_.row(first + k)[first + j];
      const float* __restrict from = &root[k * stride];
      for (std::size_t i = 0; i < wide; ++i) {
        to[i] -= f * from[i];
      }
    }
    to[j] += 1.0f;
    const float inverse = 1.0f / gram_.row(first + j)[first + j];
    for (std::size_t i = 0; i < wide; ++i) {
      to[i] *= inverse;
    }
    for (std::size_t i = 0; i <= j; ++i) {
      const float f = ratio_2 * to[i];
      float* __restrict sum = &information[i * stride];
      for (std::size_t k = i / lanes * lanes; k < wide; ++k) {
        sum[k] -= f * to[k];
      }
    }
    pull[j] = ratio() * mean_[first + j];
  }
  for (std::size_t j = 0; j < residual_columns; ++j) {
    information[j * stride + j] += ratio_2;
  }
  common.add(information, stride, pull);
}

double PlaneLikelihood::given(const std::vector<double>& common) {
  const std::size_t first = 2 * readings_->sweeps;
  std::vector<double> shift(columns_, 0.0);
  double sum = 0.0;
  for (std::size_t j = 0; j < residual_columns; ++j) {
    shift[first + j] = common[j];
    sum += common[j] * (ratio() * mean_[first + j] - 0.5 * ratio() * ratio() * common[j]);
  }
  gram_.solve_transposed(shift);
  sum += 0.5 * ratio() * ratio() *
         std::inner_product(shift.begin(), shift.end(), shift.begin(), 0.0);
  gram_.solve(shift);
  for (std::size_t j = 0; j < columns_; ++j) {
    mean_[j] += ratio() * shift[j];
  }
  return sum;
}

double PlaneLikelihood::log_likelihood(const PlaneStream& stream,
                                       const SurveyStream& survey,
                                       const std::vector<double>& shares,
                                       const std::vector<double>& common) {
  double rows = of_rows(stream, survey, shares);
  rows += common.empty() || rows <= not_computable ? 0.0 : given(common);
  return rows > not_computable ? rows + of_censored(stream, survey, shares) : not_computable;
}

}  // namespace sweepflux
