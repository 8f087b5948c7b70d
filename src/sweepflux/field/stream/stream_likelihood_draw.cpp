#include "sweepflux/field/stream/stream_likelihood_private.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>
#include <utility>

namespace sweepflux {

void PlaneLikelihood::means(const PlaneStream& stream,
                            const SurveyStream& survey,
                            std::vector<double>& out) {
  const PlaneReadings& r = *readings_;
  const std::size_t n = r.rows.size(), all = n + r.censored.size();
  stream_speeds(stream, r.y.data(), r.z.data(), r.y.size(), false, other_);
  out.resize(all);
  for (std::size_t i = 0; i < all; ++i) {
    const double share = i < n ? r.rows[i].sideways : r.censored[i - n].sideways;
    out[i] = seen_speed(other_, stream, i, share) + survey.drift + survey.offset;
  }
}

void PlaneLikelihood::add_normal_equations(const std::vector<std::vector<double>>& slopes,
                                           std::vector<double>& hessian,
                                           std::vector<double>& gradient,
                                           std::vector<std::vector<double>>& in_common) const {
  const std::size_t n = weight_.size(), d = slopes.size(), first = 2 * readings_->sweeps;
  // x' C^-1 y is the product of what least squares by the columns leave of x and y, and of the
  // coefficients that they take: so the sum stays positive whatever rounding does.
  const auto left_over = [&](std::vector<float> x) {
    std::vector<double> c(columns_);
    for (std::size_t j = 0; j < columns_; ++j) {
      c[j] = dot(&rows_[j * rows_stride_], x.data(), rows_stride_);
    }
    gram_.solve_transposed(c);
    gram_.solve(c);
    for (std::size_t j = 0; j < columns_; ++j) {
      const float* __restrict column = &rows_[j * rows_stride_];
      const auto f = static_cast<float>(c[j]);
      for (std::size_t i = 0; i < rows_stride_; ++i) {
        x[i] -= f * column[i];
      }
    }
    x.resize(rows_stride_ + stride_, 0.0f);
    std::transform(
        c.begin(), c.end(), x.begin() + static_cast<std::ptrdiff_t>(rows_stride_), [](double v) {
          return static_cast<float>(v);
        });
    return x;
  };
  const auto product = [](const std::vector<float>& a, const std::vector<float>& b) {
    return dot(a.data(), b.data(), a.size());
  };
  const std::vector<float> e = left_over(departure_);
  std::vector<std::vector<float>> left(d);
  for (std::size_t j = 0; j < d; ++j) {
    if (slopes[j].empty()) {
      continue;
    }
    std::vector<float> whitened(rows_stride_, 0.0f);
    for (std::size_t i = 0; i < n; ++i) {
      whitened[i] = static_cast<float>(slopes[j][i] * weight_[i]);
    }
    left[j] = left_over(std::move(whitened));
    gradient[j] += product(left[j], e);
    for (std::size_t i = 0; i < residual_columns; ++i) {
      in_common[j][i] += ratio() * static_cast<double>(left[j][rows_stride_ + first + i]);
    }
    for (std::size_t c = 0; c < pull_.size(); ++c) {
      gradient[j] += pull_[c] * slopes[j][n + c];
    }
    for (std::size_t k = 0; k <= j; ++k) {
      if (slopes[k].empty()) {
        continue;
      }
      double v = product(left[j], left[k]);
      for (std::size_t c = 0; c < pull_.size(); ++c) {
        v += curve_[c] * slopes[j][n + c] * slopes[k][n + c];
      }
      hessian[j * d + k] += v;
      hessian[k * d + j] += j == k ? 0.0 : v;
    }
  }
}

void PlaneLikelihood::departures(const PlaneStream& stream,
                                 const SurveyStream& survey,
                                 int sweep,
                                 const std::vector<float>& coefficients,
                                 std::vector<double>& departure,
                                 std::vector<double>& noise) const {
  const PlaneReadings& r = *readings_;
  departure.clear();
  noise.clear();
  std::vector<std::size_t> rows;
  for (std::size_t i = 0; i < r.rows.size(); ++i) {
    if (r.rows[i].sweep == sweep) {
      rows.push_back(i);
    }
  }
  std::vector<float> columns;
  columns_at(stream, rows, columns);
  const std::size_t stride = in_lanes(rows.size());
  const auto gain = residual_columns + static_cast<std::size_t>(sweep);
  const double height = r.height_sd * static_cast<double>(coefficients[gain + r.sweeps]);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const PlaneReadings::Row& row = r.rows[rows[i]];
    double g = 1.0 + r.gain_sd * static_cast<double>(coefficients[gain]);
    for (std::size_t j = 0; j < residual_columns; ++j) {
      g += static_cast<double>(columns[j * stride + i] * coefficients[j]);
    }
    const double seen = seen_speed(speeds_, stream, rows[i], row.sideways);
    const double rise = height * mean_of_two(speeds_.u_z, r.places[rows[i]]);
    departure.push_back(row.value - seen * std::max(g, 0.0) - rise - survey.drift - survey.offset);
    noise.push_back(std::sqrt(
        survey.noise_factor * survey.noise_factor * row.noise_2 +
        (survey.noise_share * survey.noise_share * seen * seen + least_noise_2) / row.count));
  }
}

std::vector<float> PlaneLikelihood::draw(const std::function<double()>& normal) {
  // In coordinates where the rows alone leave independent standard normal variables.
  std::vector<double> c(columns_);
  for (double& v : c) {
    v = normal();
  }
  std::vector<double> moved(columns_, 0.0);  // the mean, by the sites
  // Covariance of the coordinates with each site that moves them, and the site's scale.
  std::vector<std::pair<std::vector<double>, double>> along;
  for (std::size_t q = 0; q < site_count_; ++q) {
    const Site& s = sites_[q];
    if (s.scale <= 0.0) {
      continue;
    }
    const auto with_site = [&](const std::vector<double>& v) {
      return std::inner_product(v.begin(), v.end(), s.reduced.begin(), 0.0);
    };
    std::vector<double> own(s.reduced.begin(),
                            s.reduced.begin() + static_cast<std::ptrdiff_t>(columns_));
    for (const auto& [earlier, scale] : along) {
      const double f = scale * with_site(earlier);
      for (std::size_t j = 0; j < columns_; ++j) {
        own[j] -= f * earlier[j];
      }
    }
    const double left = std::max(0.0, 1.0 / s.scale - with_site(own));
    const double off = with_site(c) + std::sqrt(left) * normal();
    for (std::size_t j = 0; j < columns_; ++j) {
      c[j] -= off * s.scale * own[j];
      moved[j] += own[j] * s.pull;
    }
    along.emplace_back(std::move(own), s.scale);
  }
  std::transform(c.begin(), c.end(), moved.begin(), c.begin(), std::plus<>());
  gram_.solve(c);
  const std::size_t sweeps = readings_->sweeps;
  std::vector<float> out(columns_);
  for (std::size_t j = 0; j < columns_; ++j) {
    const std::size_t to =
        j >= 2 * sweeps ? j - 2 * sweeps : residual_columns + (j % 2) * sweeps + j / 2;
    out[to] = static_cast<float>((c[j] + mean_[j]) * (j >= 2 * sweeps ? own_ : 1.0));
  }
  return out;
}

}  // namespace sweepflux
