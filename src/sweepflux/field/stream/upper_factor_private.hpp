#pragma once

#include <cstddef>
#include <vector>

namespace sweepflux {

/// A symmetric matrix in its upper half, row by row in whole registers, then U of U'U, its Cholesky
/// factor. Single precision: for matrices of 1 plus what readings say.
class UpperFactor {
 public:
  /// Zeros; rows may be filled as far as `padded`.
  void assign(std::size_t columns, std::size_t padded);
  [[nodiscard]] float* row(std::size_t i) { return &values_[i * stride_]; }
  [[nodiscard]] const float* row(std::size_t i) const { return &values_[i * stride_]; }
  [[nodiscard]] std::size_t columns() const { return columns_; }
  [[nodiscard]] std::size_t stride() const { return stride_; }

  /// In place; not a number where single precision is not enough.
  /// @return  logarithm of the root of the determinant
  [[nodiscard]] double factorise();
  /// U'^-1 and U^-1 in place.
  void solve_transposed(std::vector<double>& v) const;
  void solve(std::vector<double>& v) const;

 private:
  std::size_t columns_ = 0, stride_ = 0;
  std::vector<float> values_;
};

}  // namespace sweepflux
