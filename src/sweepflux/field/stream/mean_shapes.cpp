#include "sweepflux/field/stream/mean_shape_terms_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sweepflux {
namespace {

constexpr double pi = std::numbers::pi;

class GaussianShape final : public MeanShape {
 public:
  explicit GaussianShape(const ShapeSetting& s) : s_(s) {}
  int size() const override { return 6; }
  Array evaluate(const Vector& t, const Array& y, const Array& z) const override {
    Array p, r;
    half_width_coordinates(frame(t), y, z, p, r);
    return t[0] * (-ln2 * (p.square() + r.square())).exp();
  }
  Vector lower() const override {
    const LengthBounds l = length_bounds(s_);
    Vector v(6);
    v << 0.3 * s_.peak_m_s, s_.window.y_min_m, s_.window.z_min_m - beyond_rows(s_, 0.5), l.ln_low,
        l.ln_low, -0.9;
    return v;
  }
  Vector upper() const override {
    const LengthBounds l = length_bounds(s_);
    Vector v(6);
    v << highest_peak(s_), s_.window.y_max_m, s_.window.z_max_m + beyond_rows(s_, 0.5), l.ln_high,
        l.ln_high, 0.9;
    return v;
  }
  Vector prior_residuals(const Vector& t) const override {
    Vector v(7);
    v << (t[4] - t[3] - expected_slant(s_)) / 0.7, t[5] / 0.6,
        hidden_peak(Array::Constant(1, t[0]), s_, std::exp(t[4])), surprise(s_, frame(t));
    return v;
  }
  Vector prior_sd(const Vector& t) const override {
    Vector v(6);
    v << 0.2 * t[0], 0.3 * std::exp(t[3]), 0.3 * std::exp(t[4]), 0.3, 0.3, 0.3;
    return v;
  }
  Vector widened(const Vector& t) const override {
    Vector w = t;
    w[3] += 0.25;
    w[4] += 0.25;
    return w;
  }
  EllipseFrame frame(const Vector& t) const override {
    return {t[1], t[2], std::exp(t[3]), std::exp(t[4]), t[5]};
  }
  std::vector<Vector> starts(const Vector& gaussian) const override { return {gaussian}; }

 private:
  ShapeSetting s_;
};

/// A side of the outlet whose air has mixed over less than its half width: a top hat between -1 and
/// 1 whose ends are error functions [Goertler 1942] of width w, as a share of its middle.
Array mixed_ends(const Array& r, double w) {
  const double middle = 2.0 * std::erf(1.0 / w);
  return r.unaryExpr(
      [=](double x) { return (std::erf((1.0 + x) / w) + std::erf((1.0 - x) / w)) / middle; });
}

/// The Gaussian ellipse, in each direction that is flatter than that a top hat with mixed ends in
/// its place; as flat both ways, of a round outlet, a top hat in the distance from the middle.
/// t = A, yc, zc, ln a, ln b, phi, logarithms of the ends' widths (a round one has the last).
class NearOutletShape final : public MeanShape {
 public:
  explicit NearOutletShape(const ShapeSetting& s)
      : plain_(s),
        flat_y_(s.expected_flatness_y > 0.0),
        flat_z_(s.expected_flatness_z > 0.0),
        round_(flat_y_ && s.expected_half_y_m == s.expected_half_z_m) {
    expected_ << ends(s.expected_flatness_y), ends(s.expected_flatness_z);
  }
  int size() const override { return 8; }
  Array evaluate(const Vector& t, const Array& y, const Array& z) const override {
    Array p, r;
    half_width_coordinates(frame(t), y, z, p, r);
    if (round_) {
      return t[0] * mixed_ends((p.square() + r.square()).sqrt(), std::exp(t[7]));
    }
    return t[0] * (flat_y_ ? mixed_ends(p, std::exp(t[6])) : Array((-ln2 * p.square()).exp())) *
           (flat_z_ ? mixed_ends(r, std::exp(t[7])) : Array((-ln2 * r.square()).exp()));
  }
  Vector lower() const override { return with(plain_.lower(), expected_.array() - 1.5); }
  Vector upper() const override { return with(plain_.upper(), expected_.array() + 1.5); }
  Vector prior_residuals(const Vector& t) const override {
    const Vector shape = plain_.prior_residuals(t.head(6));
    Vector v(shape.size() + 2);
    v << shape, (t.tail(2) - expected_).cwiseQuotient(sd());
    return v;
  }
  Vector prior_sd(const Vector& t) const override { return with(plain_.prior_sd(t.head(6)), sd()); }
  Vector widened(const Vector& t) const override {
    return with(plain_.widened(t.head(6)), t.tail(2));
  }
  EllipseFrame frame(const Vector& t) const override { return plain_.frame(t); }
  std::vector<Vector> starts(const Vector& gaussian) const override {
    return {with(gaussian, expected_)};
  }

 private:
  /// ln of the ends' width that falls as steeply at half the speed as 2^-r^q.
  static double ends(double flatness) { return -flatness - std::log(std::sqrt(pi) * ln2); }
  static Vector sd() { return Eigen::Vector2d(flatness_sd_y, flatness_sd_z); }
  static Vector with(const Vector& six, const Vector& two) {
    Vector v(8);
    v << six, two;
    return v;
  }

  GaussianShape plain_;
  bool flat_y_, flat_z_, round_;
  Eigen::Vector2d expected_;
};

/// A 2^-q (1 + c q + d q^2), q = P^2 + R^2. t = A, yc, zc, ln a, ln b, phi, c, d.
class BentGaussianShape final : public MeanShape {
 public:
  explicit BentGaussianShape(const ShapeSetting& s) : plain_(s), s_(s) {}
  int size() const override { return 8; }
  Array evaluate(const Vector& t, const Array& y, const Array& z) const override {
    Array p, r;
    half_width_coordinates(frame(t), y, z, p, r);
    const Array q = (p.square() + r.square()).min(far_away);
    return t[0] * (-ln2 * q).exp() * (1.0 + q * (t[6] + t[7] * q));
  }
  Vector lower() const override { return with(plain_.lower(), 0.0, 0.0); }
  Vector upper() const override { return with(plain_.upper(), 2.0, 1.0); }
  Vector prior_residuals(const Vector& t) const override {
    Vector v(9);
    v << (t[4] - t[3] - expected_slant(s_)) / 0.7, t[5] / 0.6, t[6] / bend_sd, t[7] / bend_sd,
        hidden_peak(evaluate(t, s_.grid_y, s_.grid_z), s_, std::exp(t[4])), surprise(s_, frame(t));
    return v;
  }
  Vector prior_sd(const Vector& t) const override {
    return with(plain_.prior_sd(t.head(6)), bend_sd, bend_sd);
  }
  Vector widened(const Vector& t) const override {
    return with(plain_.widened(t.head(6)), t[6], t[7]);
  }
  EllipseFrame frame(const Vector& t) const override { return plain_.frame(t); }
  std::vector<Vector> starts(const Vector& gaussian) const override {
    return {with(gaussian, 0.05, 0.05)};
  }

 private:
  static constexpr double bend_sd = 0.2;
  static Vector with(const Vector& six, double c, double d) {
    Vector v(8);
    v << six, c, d;
    return v;
  }

  GaussianShape plain_;
  ShapeSetting s_;
};

/// A T(X; xi) (1 - dip exp(-(rho/h)^2)), X = (|P|^q1 + |R|^q2)^(p/2), rho^2 = P^2 + R^2.
/// t = A, yc, zc, ln a, ln b, phi, ln q1, ln q2, xi, ln p, dip, ln h.
class CoreShape final : public MeanShape {
 public:
  explicit CoreShape(const ShapeSetting& s) : s_(s) {}
  int size() const override { return 12; }
  Array evaluate(const Vector& t, const Array& y, const Array& z) const override {
    Array p, r;
    half_width_coordinates(frame(t), y, z, p, r);
    const double q1 = std::exp(t[6]), q2 = std::exp(t[7]), half_p = 0.5 * std::exp(t[9]);
    const Array p2 = p.square() + 1e-18, r2 = r.square() + 1e-18;
    const Array sum = (0.5 * q1 * p2.log()).exp() + (0.5 * q2 * r2.log()).exp();
    const Array x = (half_p * sum.log()).exp().min(far_away);
    const double ih2 = std::exp(-2.0 * t[11]);
    return t[0] * jet_tail(x, t[8]) * (1.0 - t[10] * (-(p2 + r2) * ih2).exp());
  }
  Vector lower() const override {
    const LengthBounds l = length_bounds(s_);
    Vector v(12);
    v << 0.3 * s_.peak_m_s, s_.window.y_min_m, s_.window.z_min_m - beyond_rows(s_, 0.5), l.ln_low,
        l.ln_low, -0.9, std::log(1.4), std::log(1.4), 0.0, std::log(1.2), 0.0, std::log(0.15);
    return v;
  }
  Vector upper() const override {
    const LengthBounds l = length_bounds(s_);
    Vector v(12);
    v << highest_peak(s_), s_.window.y_max_m, s_.window.z_max_m + beyond_rows(s_, 0.5), l.ln_high,
        l.ln_high, 0.9, std::log(4.0), std::log(12.0), 0.8, std::log(8.0), 0.95, std::log(0.8);
    return v;
  }
  Vector prior_residuals(const Vector& t) const override {
    Vector v(13);
    v << (t[4] - t[3] - expected_slant(s_)) / 0.6, t[5] / 0.5,
        (t[6] - ln2 - s_.expected_flatness_y) / flatness_sd_y,
        (t[7] - ln2 - s_.expected_flatness_z) / flatness_sd_z, (t[8] - 0.15) / 0.22,
        (t[9] - ln2) / 0.35, t[10] / 0.4, (t[11] - std::log(0.35)) / 0.3,
        hidden_peak(evaluate(t, s_.grid_y, s_.grid_z), s_, frame(t).b), surprise(s_, frame(t));
    return v;
  }
  Vector prior_sd(const Vector& t) const override {
    Vector v(12);
    v << 0.2 * t[0], 0.3 * std::exp(t[3]), 0.3 * std::exp(t[4]), 0.3, 0.3, 0.3, 0.25, 0.35, 0.2,
        0.3, t[10] > 0.02 ? 0.3 : 0.1, 0.3;
    return v;
  }
  Vector widened(const Vector& t) const override {
    Vector w = t;
    w[3] += 0.25;
    w[4] += 0.25;
    w[10] = 0.0;
    return w;
  }
  EllipseFrame frame(const Vector& t) const override {
    return {t[1], t[2], std::exp(t[3]), std::exp(t[4]), t[5]};
  }
  std::vector<Vector> starts(const Vector& g) const override {
    std::vector<Vector> all;
    const double kinds[3][3] = {{ln2, ln2, 0.03}, {ln2, 1.1, 0.4}, {1.5, ln2, 0.03}};
    for (const auto& kind : kinds) {
      Vector t(12);
      t << g, ln2 + s_.expected_flatness_y, std::max(kind[0], ln2 + s_.expected_flatness_z), 0.2,
          kind[1], kind[2], std::log(0.35);
      all.push_back(t);
    }
    return all;
  }
  int flatness_index() const override { return 9; }
  int dip_index() const override { return 10; }

 private:
  ShapeSetting s_;
};

}  // namespace

void half_width_coordinates(
    const EllipseFrame& f, const Array& y, const Array& z, Array& p, Array& r) {
  const double c = std::cos(f.phi), s = std::sin(f.phi);
  p = (c / f.a) * (y - f.yc) + (s / f.a) * (z - f.zc);
  r = (-s / f.b) * (y - f.yc) + (c / f.b) * (z - f.zc);
}

double expected_flatness(double half_m, double grown_m) {
  constexpr double hardly = 1.25;  // nearer to one, the guess of the half width is no better
  return half_m < hardly * grown_m ? 0.0 : std::log(std::min(half_m / grown_m, 3.0));
}

std::unique_ptr<MeanShape> make_gaussian_shape(const ShapeSetting& setting) {
  return std::make_unique<GaussianShape>(setting);
}

std::unique_ptr<MeanShape> make_outlet_shape(const ShapeSetting& setting) {
  return std::make_unique<NearOutletShape>(setting);
}

std::unique_ptr<MeanShape> make_bent_gaussian_shape(const ShapeSetting& setting) {
  return std::make_unique<BentGaussianShape>(setting);
}

std::unique_ptr<MeanShape> make_core_shape(const ShapeSetting& setting) {
  return std::make_unique<CoreShape>(setting);
}

}  // namespace sweepflux
