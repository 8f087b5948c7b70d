#include "sweepflux/field/general/thin_plate.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/field/general/dense_private.hpp"
#include "sweepflux/field/general/scattered.hpp"

#include <Eigen/Core>
#include <Eigen/Householder>

#include <algorithm>
#include <cstddef>
#include <utility>

namespace sweepflux {
namespace {

/// r^2 ln r^2, twice Duchon's r^2 ln r; a factor does not matter. 0 at 0.
void bend(Eigen::Ref<Eigen::ArrayXd> squared) { squared = squared * squared.max(1e-300).log(); }

}  // namespace

struct ThinPlate::Solved {
  PlanePoint centre;
  double size = 1.0;
  Eigen::ArrayXd y;  // of the places, centred and divided by the size: well-conditioned
  Eigen::ArrayXd z;
  Eigen::VectorXd weight;
  Eigen::Vector3d plane;  // constant, along y, along z

  Eigen::ArrayXd bending_toward(double y_wanted, double z_wanted) const {
    Eigen::ArrayXd squared = (y - y_wanted).square() + (z - z_wanted).square();
    bend(squared);
    return squared;
  }
};

namespace {

/// Q of the planes' decomposition QR as three reflections, one at a time: blocks of them pay for
/// more columns, and compile long [Golub 2013, section 5.1].
class PlaneTurn {
 public:
  explicit PlaneTurn(Eigen::MatrixX3d planes) : planes_(std::move(planes)) {
    Eigen::Vector3d desk;
    for (Eigen::Index k = 0; k < 3; ++k) {
      double diagonal = 0.0;
      planes_.col(k).tail(planes_.rows() - k).makeHouseholderInPlace(length_[k], diagonal);
      planes_(k, k) = diagonal;
      planes_.bottomRightCorner(planes_.rows() - k, 2 - k)
          .applyHouseholderOnTheLeft(direction(k), length_[k], desk.data());
    }
  }

  /// Q' m in place.
  void forth(Eigen::MatrixXd& m) const {
    for (Eigen::Index k = 0; k < 3; ++k) {
      reflect(k, m);
    }
  }
  /// Q m in place.
  void back(Eigen::MatrixXd& m) const {
    for (Eigen::Index k = 3; k-- > 0;) {
      reflect(k, m);
    }
  }
  /// x of R x = right.
  [[nodiscard]] Eigen::Vector3d solve(Eigen::Vector3d right) const {
    for (Eigen::Index k = 3; k-- > 0;) {
      right[k] /= planes_(k, k);
      for (Eigen::Index i = 0; i < k; ++i) {
        right[i] -= right[k] * planes_(i, k);
      }
    }
    return right;
  }

 private:
  [[nodiscard]] Eigen::VectorXd direction(Eigen::Index k) const {
    return planes_.col(k).tail(planes_.rows() - k - 1);
  }
  void reflect(Eigen::Index k, Eigen::MatrixXd& m) const {
    Eigen::VectorXd desk(m.cols());
    m.bottomRows(m.rows() - k).applyHouseholderOnTheLeft(direction(k), length_[k], desk.data());
  }

  Eigen::MatrixX3d planes_;  // R above, the reflections' directions below the diagonal
  Eigen::Vector3d length_;
};

}  // namespace

ThinPlate::ThinPlate(const ScatteredValues& values) {
  require_two_directions(values.at, "thin plate");
  require_dense_fits(values.at.size(), "thin plate");
  auto solved = std::make_unique<Solved>();
  Solved& s = *solved;
  const Eigen::Index n = static_cast<Eigen::Index>(values.at.size());
  s.y.resize(n);
  s.z.resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    s.y[i] = values.at[static_cast<std::size_t>(i)].y_m;
    s.z[i] = values.at[static_cast<std::size_t>(i)].z_m;
  }
  s.centre = {s.y.mean(), s.z.mean()};
  s.y -= s.centre.y_m;
  s.z -= s.centre.z_m;
  s.size = std::max(s.y.abs().maxCoeff(), s.z.abs().maxCoeff());
  s.y /= s.size;
  s.z /= s.size;
  const Eigen::Map<const Eigen::VectorXd> value(values.value.data(), n);
  const double mean = value.mean();

  Eigen::MatrixX3d planes(n, 3);
  planes << Eigen::VectorXd::Ones(n), s.y.matrix(), s.z.matrix();
  const PlaneTurn turn(planes);
  Eigen::MatrixXd turned = value.array() - mean;
  turn.forth(turned);
  s.weight = Eigen::VectorXd::Zero(n);
  Eigen::MatrixXd bent = Eigen::VectorXd::Zero(n);  // what the weights give at the places
  if (n > 3) {
    Eigen::MatrixXd matrix(n, n);
    for (Eigen::Index j = 0; j < n; ++j) {
      matrix.col(j) = s.bending_toward(s.y[j], s.z[j]).matrix();
    }
    turn.forth(matrix);
    matrix.transposeInPlace();
    turn.forth(matrix);
    Eigen::MatrixXd lower = matrix.bottomRightCorner(n - 3, n - 3);
    if (!cholesky_in_place(lower)) {
      throw NumericalError("thin plate: the places are too close together for a stable solution");
    }
    Eigen::MatrixXd right = turned.bottomRows(n - 3);
    solve_lower_in_place(lower, right, 1);
    solve_upper_in_place(lower, right, 1);
    s.weight.tail(n - 3) = right;
    bent = product(matrix, s.weight);
    Eigen::MatrixXd weight = s.weight;
    turn.back(weight);
    s.weight = weight;
  }
  s.plane = turn.solve(Eigen::Vector3d(turned.topRows<3>() - bent.topRows<3>()));
  s.plane[0] += mean;
  solved_ = std::move(solved);
}

ThinPlate::~ThinPlate() = default;
ThinPlate::ThinPlate(ThinPlate&&) noexcept = default;
ThinPlate& ThinPlate::operator=(ThinPlate&&) noexcept = default;

std::vector<double> ThinPlate::at(std::span<const PlanePoint> wanted) const {
  require_finite(wanted, "wanted place");
  const Solved& s = *solved_;
  std::vector<double> result(wanted.size());
  constexpr std::size_t chunk = 512;
  parallel_for((wanted.size() + chunk - 1) / chunk, 0, [&](std::size_t c) {
    for (std::size_t i = c * chunk; i < std::min(wanted.size(), (c + 1) * chunk); ++i) {
      const double y = (wanted[i].y_m - s.centre.y_m) / s.size;
      const double z = (wanted[i].z_m - s.centre.z_m) / s.size;
      result[i] = s.bending_toward(y, z).matrix().dot(s.weight) + s.plane[0] + s.plane[1] * y +
                  s.plane[2] * z;
    }
  });
  return result;
}

}  // namespace sweepflux
