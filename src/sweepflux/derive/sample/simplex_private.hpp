#pragma once

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cstddef>
#include <functional>
#include <utility>

namespace sweepflux {

/// Downhill simplex of Nelder and Mead [Nelder 1965] over four variables: few, cheap, and no
/// gradient to get wrong. `cost` must outlive it; infinity marks forbidden places.
class Simplex {
 public:
  using Array = Eigen::Array4d;
  using Cost = std::function<double(const Array&)>;

  Simplex(const Cost& cost, const Array& start) : cost_(cost) {
    for (std::size_t i = 0; i < corners; ++i) {
      x_[i] = start;
      if (i > 0) {
        x_[i][static_cast<Eigen::Index>(i) - 1] += 0.7;
      }
      f_[i] = cost_(x_[i]);
    }
  }

  /// Goes down; the place reached and its cost.
  std::pair<Array, double> descend() {
    for (int round = 0; round < 500; ++round) {
      sort();
      if (f_.back() - f_.front() < 1e-5 && (x_.back() - x_.front()).abs().maxCoeff() < 1e-2) {
        break;
      }
      step();
    }
    sort();
    return {x_.front(), f_.front()};
  }

 private:
  static constexpr std::size_t corners = 5;

  void sort() {
    std::array<std::size_t, corners> order{0, 1, 2, 3, 4};
    std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) { return f_[a] < f_[b]; });
    const auto x = x_;
    const auto f = f_;
    for (std::size_t i = 0; i < corners; ++i) {
      x_[i] = x[order[i]];
      f_[i] = f[order[i]];
    }
  }

  void step() {
    Array centre = Array::Zero();
    for (std::size_t i = 0; i + 1 < corners; ++i) {
      centre += x_[i] / static_cast<double>(corners - 1);
    }
    const Array way = centre - x_.back();
    const double f_worst = f_.back();
    const double f_away = try_replace(centre + way);
    if (f_away < f_.front()) {
      try_replace(centre + 2.0 * way);
    } else if (f_away >= f_[corners - 2]) {
      const double f_before = f_.back();
      try_replace(centre + (f_away < f_worst ? 0.5 : -0.5) * way);
      if (f_.back() >= f_before) {
        shrink();
      }
    }
  }

  /// Puts a better point in the worst one's place.
  double try_replace(const Array& x) {
    const double f = cost_(x);
    if (f < f_.back()) {
      x_.back() = x;
      f_.back() = f;
    }
    return f;
  }

  void shrink() {
    for (std::size_t i = 1; i < corners; ++i) {
      x_[i] = 0.5 * (x_[0] + x_[i]);
      f_[i] = cost_(x_[i]);
    }
  }

  const Cost& cost_;
  std::array<Array, corners> x_;
  std::array<double, corners> f_{};
};

}  // namespace sweepflux
