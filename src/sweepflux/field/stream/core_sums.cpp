#include "sweepflux/field/stream/mean_shape_terms_private.hpp"

#include <numbers>

// Mean shapes that are sums of cores.

namespace sweepflux {
namespace {

/// t = A1, A2, y1, z1, y2, z2, ln a, ln b, xi.
class TwoCoreShape final : public MeanShape {
 public:
  explicit TwoCoreShape(const ShapeSetting& s) : s_(s) {}
  int size() const override { return 9; }
  Array evaluate(const Vector& t, const Array& y, const Array& z) const override {
    const double a = std::exp(t[6]), b = std::exp(t[7]);
    Array p, r;
    half_width_coordinates({t[2], t[3], a, b, 0.0}, y, z, p, r);
    Array sum = t[0] * jet_tail(p.square() + r.square(), t[8]);
    half_width_coordinates({t[4], t[5], a, b, 0.0}, y, z, p, r);
    sum += t[1] * jet_tail(p.square() + r.square(), t[8]);
    return sum;
  }
  Vector lower() const override {
    const LengthBounds l = length_bounds(s_);
    const double z = s_.window.z_min_m - beyond_rows(s_, 0.3);
    Vector v(9);
    v << 0.15 * s_.peak_m_s, 0.05 * s_.peak_m_s, s_.window.y_min_m, z, s_.window.y_min_m, z,
        l.ln_low, l.ln_low, 0.0;
    return v;
  }
  Vector upper() const override {
    const LengthBounds l = length_bounds(s_);
    const double z = s_.window.z_max_m + beyond_rows(s_, 0.3);
    Vector v(9);
    v << 2.0 * s_.peak_m_s, 2.0 * s_.peak_m_s, s_.window.y_max_m, z, s_.window.y_max_m, z,
        l.ln_high, l.ln_high, 0.8;
    return v;
  }
  Vector prior_residuals(const Vector& t) const override {
    Vector v(9);
    v << (t[7] - t[6] - expected_slant(s_)) / 0.5, (t[8] - 0.15) / 0.22,
        (t[3] - t[5]) / (0.35 * std::exp(t[7])), (t[2] - t[4]) / (4.0 * std::exp(t[6])),
        hidden_peak(evaluate(t, s_.grid_y, s_.grid_z), s_, frame(t).b), surprise(s_, frame(t));
    return v;
  }
  Vector prior_sd(const Vector& t) const override {
    const double a = std::exp(t[6]), b = std::exp(t[7]);
    Vector v(9);
    v << 0.2 * t[0], 0.2 * t[1], 0.3 * a, 0.3 * b, 0.3 * a, 0.3 * b, 0.3, 0.3, 0.2;
    return v;
  }
  Vector widened(const Vector& t) const override {
    Vector w = t;
    w[6] += 0.25;
    w[7] += 0.25;
    return w;
  }
  EllipseFrame frame(const Vector& t) const override {
    return {0.5 * (t[2] + t[4]), 0.5 * (t[3] + t[5]), std::exp(t[6]), std::exp(t[7]), 0.0};
  }
  std::vector<Vector> starts(const Vector& g) const override {
    const double shift = 0.6 * std::exp(g[3]);
    Vector t(9);
    t << 0.8 * g[0], 0.7 * g[0], g[1] + shift, g[2], g[1] - shift, g[2], g[3] - 0.5, g[4], 0.2;
    return {t};
  }

 private:
  ShapeSetting s_;
};

/// As many Gaussians as wanted, each with its own half widths: whatever stream is none of the usual
/// shapes. t = for each of them A, y, z, ln a, ln b.
class SeveralCoreShape final : public MeanShape {
 public:
  SeveralCoreShape(const ShapeSetting& s, int cores) : s_(s), cores_(cores) {}
  int size() const override { return per_core * cores_; }
  Array evaluate(const Vector& t, const Array& y, const Array& z) const override {
    Array sum = Array::Zero(y.size());
    Array p, r;
    for (int k = 0; k < cores_; ++k) {
      const Core c = core(t, k);
      half_width_coordinates({c.y, c.z, c.a, c.b, 0.0}, y, z, p, r);
      sum += c.peak * (-ln2 * (p.square() + r.square())).exp();
    }
    return sum;
  }
  Vector lower() const override {
    const LengthBounds l = length_bounds(s_);
    return alike(
        0.0, s_.window.y_min_m, s_.window.z_min_m - beyond_rows(s_, 0.3), l.ln_low, l.ln_low);
  }
  Vector upper() const override {
    const LengthBounds l = length_bounds(s_);
    return alike(2.0 * s_.peak_m_s,
                 s_.window.y_max_m,
                 s_.window.z_max_m + beyond_rows(s_, 0.3),
                 l.ln_high,
                 l.ln_high);
  }
  Vector prior_residuals(const Vector& t) const override {
    // Cores of one stream have mixed equally long: about as round and about as large as each other.
    Vector slants(cores_), sizes(cores_);
    double height = 0.0;
    for (int k = 0; k < cores_; ++k) {
      const auto u = t.segment(per_core * k, per_core);
      slants[k] = u[4] - u[3];
      sizes[k] = 0.5 * (u[4] + u[3]);
      height += core(t, k).b / cores_;
    }
    Vector v(2 * cores_ + 5);
    v << slants / slant_sd, (sizes.array() - sizes.mean()).matrix() / size_sd,
        hidden_peak(evaluate(t, s_.grid_y, s_.grid_z), s_, height), surprise(s_, frame(t));
    return v;
  }
  Vector prior_sd(const Vector& t) const override {
    Vector v(size());
    for (int k = 0; k < cores_; ++k) {
      const Core c = core(t, k);
      v.segment(per_core * k, per_core) << 0.2 * s_.peak_m_s, 0.3 * c.a, 0.3 * c.b, 0.3, 0.3;
    }
    return v;
  }
  Vector widened(const Vector& t) const override { return t + alike(0.0, 0.0, 0.0, 0.25, 0.25); }
  /// Of the Gaussian with the same middle and second moments; but no wider than lets whoever steps
  /// by shares of a half width see the narrowest core.
  EllipseFrame frame(const Vector& t) const override {
    Vector share(cores_), y(cores_), z(cores_), a2(cores_), b2(cores_);
    for (int k = 0; k < cores_; ++k) {
      const Core c = core(t, k);
      share[k] = std::max(c.peak, 1e-9) * c.a * c.b;
      y[k] = c.y;
      z[k] = c.z;
      a2[k] = c.a * c.a;
      b2[k] = c.b * c.b;
    }
    share /= share.sum();
    const double yc = share.dot(y), zc = share.dot(z);
    const auto spread = [&](const Vector& at, double middle) {
      return 2.0 * ln2 * (at.array() - middle).square().matrix();
    };
    const auto half = [&](const Vector& half2, const Vector& at, double middle) {
      return std::min(std::sqrt(share.dot(half2 + spread(at, middle))),
                      widest * std::sqrt(half2.minCoeff()));
    };
    return {yc, zc, half(a2, y, yc), half(b2, z, zc), 0.0};
  }
  /// On an ellipse within the Gaussian, turned a step at a time.
  std::vector<Vector> starts(const Vector& g) const override {
    constexpr int turns = 3;
    std::vector<Vector> all;
    for (int i = 0; i < turns; ++i) {
      Vector t(size());
      for (int k = 0; k < cores_; ++k) {
        const double angle = 2.0 * std::numbers::pi * (k + i / double{turns}) / cores_;
        t.segment(per_core * k, per_core) << 0.8 * g[0],
            g[1] + 0.8 * std::exp(g[3]) * std::cos(angle),
            g[2] + 0.8 * std::exp(g[4]) * std::sin(angle), g[3] - 0.5, g[4] - 0.5;
      }
      all.push_back(t);
    }
    return all;
  }

 private:
  static constexpr int per_core = 5;
  // Of logarithms; found on known fields, no published source.
  static constexpr double slant_sd = 0.35, size_sd = 0.2;
  static constexpr double widest = 4.0;  // of the narrowest: a step of 4 / 3.6 errs by 1e-5
  struct Core {
    double peak, y, z, a, b;
  };
  static Core core(const Vector& t, int k) {
    const auto u = t.segment(per_core * k, per_core);
    return {u[0], u[1], u[2], std::exp(u[3]), std::exp(u[4])};
  }
  Vector alike(double peak, double y, double z, double ln_a, double ln_b) const {
    Vector v(size());
    for (int k = 0; k < cores_; ++k) {
      v.segment(per_core * k, per_core) << peak, y, z, ln_a, ln_b;
    }
    return v;
  }

  ShapeSetting s_;
  int cores_;
};

}  // namespace

std::unique_ptr<MeanShape> make_two_core_shape(const ShapeSetting& setting) {
  return std::make_unique<TwoCoreShape>(setting);
}

std::unique_ptr<MeanShape> make_several_core_shape(const ShapeSetting& setting, int cores) {
  return std::make_unique<SeveralCoreShape>(setting, cores);
}

}  // namespace sweepflux
