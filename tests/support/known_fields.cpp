#include "tests/support/known_fields.hpp"

#include "tests/support/known_shapes_private.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>

namespace sweepflux::test {
namespace {

constexpr double d0 = known_field_distance_m;
constexpr double peak = known_field_peak_m_s;
constexpr double pi = std::numbers::pi;
constexpr double ln2 = std::numbers::ln2;

struct GaussLegendre {
  std::vector<double> node;
  std::vector<double> weight;
};

/// Roots of the Legendre polynomial by Newton's method from Chebyshev's guess.
GaussLegendre gauss_legendre(int n) {
  GaussLegendre rule;
  for (int i = 0; i < n; ++i) {
    double t = std::cos(pi * (i + 0.75) / (n + 0.5));
    double slope = 1.0;
    for (int pass = 0; pass < 50; ++pass) {
      double before = 1.0;
      double value = t;
      for (int k = 2; k <= n; ++k) {
        const double next = ((2 * k - 1) * t * value - (k - 1) * before) / k;
        before = value;
        value = next;
      }
      slope = n * (t * value - before) / (t * t - 1.0);
      t -= value / slope;
    }
    rule.node.push_back(t);
    rule.weight.push_back(2.0 / ((1.0 - t * t) * slope * slope));
  }
  return rule;
}

struct Moments {
  double flow = 0.0;
  double square = 0.0;
  double flow_y = 0.0;
  double flow_z = 0.0;
};

Moments integrate(const std::function<double(double, double)>& speed,
                  const Window& window,
                  double panel_m) {
  static const GaussLegendre rule = gauss_legendre(14);
  const int ny = std::max(1, static_cast<int>(std::ceil(window.width_m() / panel_m - 1e-9)));
  const int nz = std::max(1, static_cast<int>(std::ceil(window.height_m() / panel_m - 1e-9)));
  const double hy = window.width_m() / ny / 2;
  const double hz = window.height_m() / nz / 2;
  Moments sum;
  for (int panel = 0; panel < ny * nz; ++panel) {
    const int row = panel / ny;
    const double yc = window.y_min_m + (2 * (panel % ny) + 1) * hy;
    const double zc = window.z_min_m + (2 * row + 1) * hz;
    for (std::size_t i = 0; i < rule.node.size(); ++i) {
      for (std::size_t j = 0; j < rule.node.size(); ++j) {
        const double y = yc + hy * rule.node[i];
        const double z = zc + hz * rule.node[j];
        const double v = speed(y, z);
        const double w = rule.weight[i] * rule.weight[j] * hy * hz;
        sum.flow += w * v;
        sum.square += w * v * v;
        sum.flow_y += w * v * y;
        sum.flow_z += w * v * z;
      }
    }
  }
  return sum;
}

/// Self-similar about the outlet: flow grows with x, momentum stays.
KnownField similar(std::string name, std::string description, Shape shape) {
  KnownField field;
  field.name = std::move(name);
  field.description = std::move(description);
  field.jet_speed_m_s = [shape = std::move(shape), z0 = field.outlet_height_m](
                            double x, double y, double z) {
    const double k = d0 / x;
    return peak * k * shape(y * k, (z - z0) * k);
  };
  return field;
}

void set_exact(KnownField& field, double flow_at_d0, double square) {
  field.exact = [flow_at_d0, square](double x) { return ExactFlux{flow_at_d0 * x / d0, square}; };
}

/// Fine quadrature once, where there is no closed form. Beyond 1.4 m from the axis every shape
/// that comes here is below 1e-9 of its peak.
void set_exact_by_quadrature(KnownField& field) {
  const double z0 = field.outlet_height_m;
  const Moments m =
      integrate([&](double y, double z) { return field.jet_speed_m_s(d0, y, z0 + z); },
                {-1.4, 1.4, -1.4, 1.4},
                0.1);
  set_exact(field, m.flow, m.square);
  if (field.irregular) {
    field.flow_centre_at_1_8 = {m.flow_y / m.flow, m.flow_z / m.flow};
  }
}

std::vector<KnownField> textbook_fields() {
  const double gauss_area = pi / ln2;
  const double r = round_half_width_m;
  std::vector<KnownField> all;
  const auto add = [&all](KnownField field, double flow, double square) {
    set_exact(field, flow, square);
    all.push_back(std::move(field));
  };
  const double round_flow = peak * gauss_area * r * r;
  const double round_square = peak * peak * gauss_area * r * r / 2;
  add(similar("gauss", "round Gaussian jet", gauss_shape), round_flow, round_square);

  const double a = (std::numbers::sqrt2 - 1.0) / (r * r);
  add(similar("schlichting", "round jet of constant eddy viscosity, fat tail", schlichting_shape),
      peak * pi / a,
      peak * peak * pi / (3 * a));
  all.back().schlichting_inflow = true;
  add(similar("ellipse20", "elliptic Gaussian, 2 to 1, turned by 20 degrees", ellipse20_shape),
      peak * gauss_area * 0.26 * 0.13,
      peak * peak * gauss_area * 0.26 * 0.13 / 2);
  add(similar("annular", "flat core with the wake of a hub", annular_shape()), 0, 0);
  set_exact_by_quadrature(all.back());
  add(similar("slot", "tower, 0.8 m tall with steep ends", slot_shape), 0, 0);
  set_exact_by_quadrature(all.back());
  all.back().tall = true;
  all.back().height_low_at_1_8 = -0.5;
  all.back().height_high_at_1_8 = 0.5;
  add(similar("offset", "round Gaussian jet beside and above the axis", offset_shape),
      round_flow,
      round_square);
  all.back().flow_centre_at_1_8 = {0.15, 0.2};
  const double apart = 0.4 * 0.4 + 0.06 * 0.06;
  add(similar("twin", "two unequal round jets side by side", twin_shape),
      peak * gauss_area * 0.13 * 0.13 * 1.8,
      peak * peak * gauss_area * 0.13 * 0.13 / 2 *
          (1 + 0.64 + 1.6 * std::exp(-ln2 * apart / (2 * 0.13 * 0.13))));
  all.back().flow_centre_at_1_8 = {0.2 * 0.2 / 1.8, 0.03 * 0.2 / 1.8};
  return all;
}

/// Round jet low over a table that cuts it; the cut moves with distance.
KnownField floor_field() {
  KnownField field;
  field.name = "floor";
  field.description = "round Gaussian jet cut by a table";
  field.outlet_height_m = 0.15;
  field.floor_m = 0.0;
  field.height_low_at_1_8 = 0.05 - 0.15;
  field.height_high_at_1_8 = 0.55 - 0.15;
  field.jet_speed_m_s = [](double x, double y, double z) {
    const double k = d0 / x;
    return z < 0.0 ? 0.0 : peak * k * gauss_shape(y * k, (z - 0.15) * k);
  };
  field.exact = [](double x) {
    const double half = round_half_width_m * x / d0;
    const double top = peak * d0 / x;
    const double reach = std::sqrt(ln2) / half * 0.15;
    const double area = pi / ln2 * half * half;
    return ExactFlux{top * area * 0.5 * (1 + std::erf(reach)),
                     top * top * area / 4 * (1 + std::erf(reach * std::numbers::sqrt2))};
  };
  return field;
}

/// The handbooks' (1 - (r/b)^1.5)^2, which ends at b [Abramovich 1963].
KnownField three_halves_field() {
  // Half the peak at 0.44103 b.
  const double b = round_half_width_m / 0.4410337;
  KnownField field = similar("three-halves", "round jet that ends", [b](double y, double z) {
    const double s = std::min(std::hypot(y, z) / b, 1.0);
    return std::pow(1.0 - std::pow(s, 1.5), 2);
  });
  set_exact(field,
            peak * 2 * pi * b * b * (1.0 / 2 - 2 / 3.5 + 1.0 / 5),
            peak * peak * 2 * pi * b * b * (1.0 / 2 - 4 / 3.5 + 6.0 / 5 - 4 / 6.5 + 1.0 / 8));
  return field;
}

/// Fit to the measured far field of a round jet, of eta = r / x [Hussein, Capp & George 1994].
KnownField hussein_field() {
  constexpr double c = 12.12, d = 2815.0, k = 111.0;
  KnownField field = similar("hussein", "round jet as measured far away", [](double y, double z) {
    const double t = (y * y + z * z) / (d0 * d0);
    return (1.0 + c * t + d * t * t) * std::exp(-k * t);
  });
  const double k2 = 2 * k;
  const double square = 1 / k2 + 2 * c / std::pow(k2, 2) + 2 * (c * c + 2 * d) / std::pow(k2, 3) +
                        6 * 2 * c * d / std::pow(k2, 4) + 24 * d * d / std::pow(k2, 5);
  set_exact(field,
            peak * pi * d0 * d0 * (1 / k + c / (k * k) + 2 * d / (k * k * k)),
            peak * peak * pi * d0 * d0 * square);
  return field;
}

std::vector<KnownField> fields_of(std::vector<IrregularShape> shapes) {
  std::vector<KnownField> all;
  for (IrregularShape& shape : shapes) {
    KnownField field = similar(shape.name, shape.description, std::move(shape.shape));
    field.irregular = true;
    field.tall = shape.tall;
    if (shape.tall) {
      field.height_low_at_1_8 = -0.5;
      field.height_high_at_1_8 = 0.5;
    }
    set_exact_by_quadrature(field);
    field.flow_at_1_8_m3_s = field.exact(d0).volume_flow_m3_s;
    all.push_back(std::move(field));
  }
  return all;
}

std::vector<KnownField> all_fields() {
  std::vector<KnownField> all = textbook_fields();
  all.push_back(floor_field());
  all.push_back(similar("lobes3", "round jet with three soft lobes", lobes3_shape));
  set_exact_by_quadrature(all.back());
  KnownField drift = all.front();
  drift.name = "drift";
  drift.description = "round Gaussian jet in a room that drifts along at 0.1 m/s";
  drift.co_flow_m_s = 0.1;
  all.push_back(std::move(drift));
  for (KnownField& field : all) {
    field.flow_at_1_8_m3_s = field.exact(d0).volume_flow_m3_s;
  }
  for (KnownField& field : fields_of(irregular_shapes())) {
    all.push_back(std::move(field));
  }
  return all;
}

}  // namespace

double KnownField::speed_m_s(double x_m, double y_m, double z_m) const {
  if (floor_m && z_m < *floor_m) {
    return 0.0;
  }
  return jet_speed_m_s(x_m, y_m, z_m) + co_flow_m_s;
}

Velocity KnownField::velocity_m_s(double x_m, double y_m, double z_m) const {
  const double jet = floor_m && z_m < *floor_m ? 0.0 : jet_speed_m_s(x_m, y_m, z_m);
  Velocity velocity{jet + co_flow_m_s, jet * y_m / x_m, jet * (z_m - outlet_height_m) / x_m};
  const double y = y_m - flow_centre_at_1_8.y_m * x_m / d0;
  const double z = z_m - outlet_height_m - flow_centre_at_1_8.z_m * x_m / d0;
  const double r = std::hypot(y, z);
  if (r < 1e-9) {
    return velocity;
  }
  // Continuity of a round jet that goes as 1/x: radial speed = (eta f - F/eta) C/x, where the
  // first term is the ray's part (above) and F(eta) is the integral of eta f.
  const double c = peak * d0;
  const double eta = r / x_m;
  double inflow = 0.0;
  if (schlichting_inflow) {
    const double a = (std::numbers::sqrt2 - 1.0) * std::pow(d0 / round_half_width_m, 2);
    inflow = eta / (2 * (1 + a * eta * eta));
  } else {
    const double k = pi * c / flow_at_1_8_m3_s * d0;
    inflow = -std::expm1(-k * eta * eta) / (2 * k * eta);
  }
  velocity.v_m_s -= c / x_m * inflow * y / r;
  velocity.w_m_s -= c / x_m * inflow * z / r;
  return velocity;
}

const std::vector<KnownField>& known_fields() {
  static const std::vector<KnownField> fields = all_fields();
  return fields;
}

const std::vector<KnownField>& published_fields() {
  static const std::vector<KnownField> fields = [] {
    std::vector<KnownField> all{
        known_field("gauss"), known_field("schlichting"), three_halves_field(), hussein_field()};
    for (KnownField& field : all) {
      field.flow_at_1_8_m3_s = field.exact(d0).volume_flow_m3_s;
    }
    return all;
  }();
  return fields;
}

const std::vector<KnownField>& drawn_fields() {
  static const std::vector<KnownField> fields = fields_of(drawn_shapes(20));
  return fields;
}

const KnownField& known_field(std::string_view name) {
  for (const auto list : {known_fields, spoiled_fields, drawn_fields, published_fields}) {
    for (const KnownField& field : list()) {
      if (field.name == name) {
        return field;
      }
    }
  }
  throw std::invalid_argument("no known field is called " + std::string(name));
}

ExactFlux integrate_known_field(const KnownField& field,
                                double x_m,
                                const Window& window,
                                double panel_m) {
  Window cut = window;
  if (field.floor_m) {
    cut.z_min_m = std::max(cut.z_min_m, *field.floor_m);
  }
  const Moments m =
      integrate([&](double y, double z) { return field.speed_m_s(x_m, y, z); }, cut, panel_m);
  return {m.flow, m.square};
}

}  // namespace sweepflux::test
