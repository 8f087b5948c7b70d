#include "tests/bench/support/same_readings.hpp"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

#include <algorithm>
#include <cmath>
#include <vector>

namespace sweepflux::bench {
namespace {

using Sparse = Eigen::SparseMatrix<double>;
using Vector = Eigen::VectorXd;

constexpr double reach_m = 0.9;  ///< of the grid, about the middle of the stream

/// The stream on a grid whose rows include the sweeps.
struct Grid {
  std::vector<double> y, z;
  std::vector<bool> known;  ///< node by node: by a sweep, or at the rim
  Vector truth;            ///< speed
  Vector area;             ///< of a node
  Sparse bending;          ///< energy = u' bending u

  [[nodiscard]] Eigen::Index at(std::size_t i, std::size_t j) const {
    return static_cast<Eigen::Index>(j * y.size() + i);
  }
};

std::vector<double> stops(double low, double high, double step) {
  const int parts = std::max(1, static_cast<int>(std::ceil((high - low) / step - 1e-9)));
  std::vector<double> all;
  for (int k = 0; k < parts; ++k) {
    all.push_back(low + (high - low) * k / parts);
  }
  return all;
}

std::vector<double> widths(const std::vector<double>& at) {
  std::vector<double> all(at.size(), 0.0);
  for (std::size_t k = 0; k + 1 < at.size(); ++k) {
    all[k] += 0.5 * (at[k + 1] - at[k]);
    all[k + 1] += 0.5 * (at[k + 1] - at[k]);
  }
  return all;
}

/// Adds weight * (sum of coefficient * node)^2.
class Squares {
 public:
  void add(double weight, std::initializer_list<std::pair<Eigen::Index, double>> terms) {
    for (const auto& [i, a] : terms) {
      for (const auto& [j, b] : terms) {
        triplets_.emplace_back(i, j, weight * a * b);
      }
    }
  }
  [[nodiscard]] Sparse matrix(Eigen::Index size) const {
    Sparse m(size, size);
    m.setFromTriplets(triplets_.begin(), triplets_.end());
    return m;
  }

 private:
  std::vector<Eigen::Triplet<double>> triplets_;
};

Sparse bending_energy(const Grid& grid) {
  const std::vector<double>&y = grid.y, &z = grid.z;
  const std::vector<double> wide = widths(y), tall = widths(z);
  Squares energy;
  const double dy = y[1] - y[0];
  for (std::size_t j = 0; j < z.size(); ++j) {
    for (std::size_t i = 0; i < y.size(); ++i) {
      if (i > 0 && i + 1 < y.size()) {
        const double c = 1.0 / (dy * dy);
        energy.add(wide[i] * tall[j],
                   {{grid.at(i - 1, j), c}, {grid.at(i, j), -2.0 * c}, {grid.at(i + 1, j), c}});
      }
      if (j > 0 && j + 1 < z.size()) {
        const double a = z[j] - z[j - 1], b = z[j + 1] - z[j];
        const double down = 2.0 / (a * (a + b)), up = 2.0 / (b * (a + b));
        energy.add(
            wide[i] * tall[j],
            {{grid.at(i, j - 1), down}, {grid.at(i, j), -down - up}, {grid.at(i, j + 1), up}});
      }
      if (i + 1 < y.size() && j + 1 < z.size()) {
        const double dz = z[j + 1] - z[j], c = 1.0 / (dy * dz);
        energy.add(2.0 * dy * dz,
                   {{grid.at(i, j), c},
                    {grid.at(i + 1, j), -c},
                    {grid.at(i, j + 1), -c},
                    {grid.at(i + 1, j + 1), c}});
      }
    }
  }
  return energy.matrix(static_cast<Eigen::Index>(y.size() * z.size()));
}

Grid make_grid(const test::KnownField& field, const test::SurveyPlan& plan, double step_m) {
  const double x = test::known_field_distance_m;
  const std::vector<double> sweeps = test::heights_of(field, plan).front();
  const PlanePoint middle = field.flow_centre_at_1_8;
  const double centre_m = field.outlet_height_m + middle.z_m;
  const double low = field.floor_m ? *field.floor_m : centre_m - reach_m;
  Grid grid;
  std::vector<double> marks = {low};
  marks.insert(marks.end(), sweeps.begin(), sweeps.end());
  marks.push_back(centre_m + reach_m);
  for (std::size_t k = 0; k + 1 < marks.size(); ++k) {
    const std::vector<double> part = stops(marks[k], marks[k + 1], step_m);
    grid.z.insert(grid.z.end(), part.begin(), part.end());
  }
  grid.z.push_back(marks.back());
  grid.y = stops(middle.y_m - reach_m, middle.y_m + reach_m, step_m);
  grid.y.push_back(middle.y_m + reach_m);
  const std::vector<double> wide = widths(grid.y), tall = widths(grid.z);
  const auto nodes = static_cast<Eigen::Index>(grid.y.size() * grid.z.size());
  grid.truth.resize(nodes);
  grid.area.resize(nodes);
  for (std::size_t j = 0; j < grid.z.size(); ++j) {
    const bool swept = std::find(sweeps.begin(), sweeps.end(), grid.z[j]) != sweeps.end();
    const bool beyond = grid.z[j] < sweeps.front() || grid.z[j] > sweeps.back();
    for (std::size_t i = 0; i < grid.y.size(); ++i) {
      const bool rim = i < 2 || i + 2 >= grid.y.size();
      grid.truth[grid.at(i, j)] = field.jet_speed_m_s(x, grid.y[i], grid.z[j]);
      grid.area[grid.at(i, j)] = wide[i] * tall[j];
      grid.known.push_back(swept || rim || beyond);
    }
  }
  grid.bending = bending_energy(grid);
  return grid;
}

/// Where a node stands: between zero and the peak, or held at one of them.
enum class Held { no, zero, peak };

/// Minimises bending energy / 2 - pull * integral (half of it, for momentum) over the streams that
/// agree with the sweeps and stay between zero and the peak: a primal-dual active set.
class Bent {
 public:
  Bent(const Grid& grid, Integral integral)
      : grid_(grid), integral_(integral), peak_(grid.truth.maxCoeff()) {}

  /// @return empty when the pull is so strong that there is no least
  [[nodiscard]] Vector find(double pull) const {
    constexpr int rounds = 60;
    Sparse a = grid_.bending;
    Vector right = Vector::Zero(grid_.truth.size());
    if (integral_ == Integral::momentum) {
      for (Eigen::Index k = 0; k < a.cols(); ++k) {
        a.coeffRef(k, k) -= pull * grid_.area[k];
      }
    } else {
      right = pull * grid_.area;
    }
    std::vector<Held> held(grid_.known.size(), Held::no);
    Vector u;
    bool changed = true;
    for (int round = 0; changed && round < rounds; ++round) {
      u = solve(a, right, held);
      if (u.size() == 0) {
        return u;
      }
      const Vector force = a * u - right;
      changed = false;
      for (std::size_t k = 0; k < held.size(); ++k) {
        if (grid_.known[k]) {
          continue;
        }
        const auto at = static_cast<Eigen::Index>(k);
        Held now = held[k];
        if (now == Held::no) {
          now = u[at] < 0.0 ? Held::zero : u[at] > peak_ ? Held::peak : Held::no;
        } else if ((now == Held::zero) != (force[at] > 0.0)) {
          now = Held::no;
        }
        changed = changed || now != held[k];
        held[k] = now;
      }
    }
    // Where the rounds did not settle the bounds are kept all the same; the caller looks at the
    // energy of what it gets.
    return u.cwiseMax(0.0).cwiseMin(peak_);
  }

 private:
  /// The least for these nodes held; empty when there is none.
  [[nodiscard]] Vector solve(const Sparse& a,
                             const Vector& right,
                             const std::vector<Held>& held) const {
    std::vector<Eigen::Index> place(held.size(), -1);
    Eigen::Index open = 0;
    Vector u = Vector::Zero(grid_.truth.size());
    for (std::size_t k = 0; k < held.size(); ++k) {
      const auto at = static_cast<Eigen::Index>(k);
      if (grid_.known[k]) {
        u[at] = grid_.truth[at];
      } else if (held[k] == Held::no) {
        place[k] = open++;
      } else {
        u[at] = held[k] == Held::peak ? peak_ : 0.0;
      }
    }
    const Vector known = right - a * u;
    std::vector<Eigen::Triplet<double>> lower;
    Vector b(open);
    for (Eigen::Index column = 0; column < a.outerSize(); ++column) {
      const Eigen::Index c = place[static_cast<std::size_t>(column)];
      if (c < 0) {
        continue;
      }
      b[c] = known[column];
      for (Sparse::InnerIterator it(a, column); it; ++it) {
        const Eigen::Index r = place[static_cast<std::size_t>(it.row())];
        if (r >= c) {
          lower.emplace_back(r, c, it.value());
        }
      }
    }
    Sparse inner(open, open);
    inner.setFromTriplets(lower.begin(), lower.end());
    const Eigen::SimplicialLLT<Sparse, Eigen::Lower> solver(inner);
    if (solver.info() != Eigen::Success) {
      return {};
    }
    const Vector x = solver.solve(b);
    for (std::size_t k = 0; k < held.size(); ++k) {
      if (place[k] >= 0) {
        u[static_cast<Eigen::Index>(k)] = x[place[k]];
      }
    }
    return u;
  }

  const Grid& grid_;
  Integral integral_;
  double peak_;
};

}  // namespace

SameReadings same_readings(const test::KnownField& field,
                           const test::SurveyPlan& plan,
                           Integral integral,
                           double step_m) {
  const Grid grid = make_grid(field, plan, step_m);
  const auto energy = [&](const Vector& u) { return u.dot(grid.bending * u); };
  const auto carried = [&](const Vector& u) {
    return integral == Integral::momentum ? (grid.area.array() * u.array().square()).sum()
                                          : grid.area.dot(u);
  };
  const double truth_energy = energy(grid.truth), truth_carried = carried(grid.truth);
  const Bent bent(grid, integral);
  SameReadings found{truth_carried, truth_carried};
  for (const double sign : {-1.0, 1.0}) {
    // The strongest pull whose stream bends no more than the truth, as a power of ten.
    double low = -6.0, high = 6.0;
    for (int halving = 0; halving < 20; ++halving) {
      const double power = 0.5 * (low + high);
      const Vector u = bent.find(sign * std::pow(10.0, power) * truth_energy / truth_carried);
      const bool fits = u.size() > 0 && energy(u) <= truth_energy;
      (fits ? low : high) = power;
      if (fits) {
        found.least = std::min(found.least, carried(u));
        found.most = std::max(found.most, carried(u));
      }
    }
  }
  return found;
}

}  // namespace sweepflux::bench
