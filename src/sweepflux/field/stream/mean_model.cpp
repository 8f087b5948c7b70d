#include "sweepflux/field/stream/bounded_fit_private.hpp"
#include "sweepflux/field/stream/mean_model_private.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux {
namespace {

constexpr Eigen::Index most_to_fit = 420;

std::unique_ptr<MeanShape> make_shape(Candidate candidate, const ShapeSetting& setting) {
  switch (candidate) {
    case Candidate::gaussian:
      return make_gaussian_shape(setting);
    case Candidate::bent_gaussian:
      return make_bent_gaussian_shape(setting);
    case Candidate::outlet_shape:
      return make_outlet_shape(setting);
    case Candidate::two_cores:
      return make_two_core_shape(setting);
    case Candidate::three_cores:
      return make_several_core_shape(setting, 3);
    case Candidate::four_cores:
      return make_several_core_shape(setting, 4);
    case Candidate::core:
    case Candidate::changing_core:
      break;
  }
  return make_core_shape(setting);
}

/// Where no peak may hide: from the lowest to the highest row, over the swept width.
ShapeSetting make_setting(const FitData& data, double row_gap_m) {
  ShapeSetting s;
  s.peak_m_s = data.peak_m_s;
  Window& w = s.window;
  w = {data.y.minCoeff(), data.y.maxCoeff(), data.z.minCoeff(), data.z.maxCoeff()};
  s.row_span_m = w.height_m();
  s.row_gap_m = row_gap_m;
  constexpr int ny = 15, nz = 13;
  const double low = data.planes.front().has_floor ? data.planes.front().floor_m : w.z_min_m - 0.05;
  s.grid_y.resize(ny * nz);
  s.grid_z.resize(ny * nz);
  for (int i = 0; i < ny; ++i) {
    for (int k = 0; k < nz; ++k) {
      s.grid_y[i * nz + k] = w.y_min_m + w.width_m() * i / (ny - 1);
      s.grid_z[i * nz + k] = low + (w.z_max_m + 0.05 - low) * k / (nz - 1);
    }
  }
  return s;
}

/// Of the peak's. The envelope goes with the root of the stream, so this is reached where hardly
/// any is left (1/40 000), and keeps a wide plane of still air from carrying a flow of its own:
/// four times as much widened the flow's intervals of irregular streams by a third.
constexpr double least_envelope = 0.005;

/// A first Gaussian from moments: centre by flow, width from the strongest row.
std::vector<Vector> gaussian_starts(const FitData& d) {
  std::vector<double> row_sum(static_cast<std::size_t>(d.sweeps), 0.0);
  double sum = 0.0, sy = 0.0, sz = 0.0;
  for (Eigen::Index i = 0; i < d.size(); ++i) {
    const auto k = static_cast<std::size_t>(i);
    if (!d.censored[k]) {
      row_sum[static_cast<std::size_t>(d.sweep[k])] += d.v[i];
      sum += d.v[i];
      sy += d.v[i] * d.y[i];
      sz += d.v[i] * d.z[i];
    }
  }
  const auto strongest =
      static_cast<int>(std::max_element(row_sum.begin(), row_sum.end()) - row_sum.begin());
  double rs = 1e-12, ry = 0.0, ryy = 0.0, rz = 0.0;
  for (Eigen::Index i = 0; i < d.size(); ++i) {
    const auto k = static_cast<std::size_t>(i);
    if (d.sweep[k] == strongest && !d.censored[k]) {
      rs += d.v[i];
      ry += d.v[i] * d.y[i];
      ryy += d.v[i] * d.y[i] * d.y[i];
      rz += d.v[i] * d.z[i];
    }
  }
  const double variance = std::max(1e-4, ryy / rs - (ry / rs) * (ry / rs));
  const double a = 1.1774 * std::sqrt(variance);  // sqrt(2 ln 2): deviation to half-width
  std::vector<Vector> all;
  for (const double zc : {sz / std::max(sum, 1e-12), rz / rs}) {
    for (const double ratio : {1.0, 2.2}) {
      Vector t(6);
      t << d.peak_m_s, sy / std::max(sum, 1e-12), zc, std::log(a), std::log(a * ratio), 0.05;
      all.push_back(t);
    }
  }
  return all;
}

/// Reading residuals in standard deviations; a censored sample pushes only from above, and gently:
/// while shapes are sought that may not hold, its full word (field/below_start) bends their cores.
Vector reading_residuals(const FitData& d, const Array& mean, double noise_factor) {
  Vector r(d.size());
  for (Eigen::Index i = 0; i < d.size(); ++i) {
    if (d.censored[static_cast<std::size_t>(i)]) {
      r[i] = std::max(0.0, mean[i] - d.v[i]) / std::max(0.27 * d.v[i], d.sd[i]);
    } else {
      r[i] = (mean[i] - d.v[i]) / (noise_factor * d.sd[i]);
    }
  }
  return r;
}

double rms_misfit(const FitData& d, const Array& mean, Eigen::Index begin, Eigen::Index end) {
  double error = 0.0, noise = 1e-300;
  for (Eigen::Index i = begin; i < end; ++i) {
    if (!d.censored[static_cast<std::size_t>(i)]) {
      error += (mean[i] - d.v[i]) * (mean[i] - d.v[i]);
      noise += d.sd[i] * d.sd[i];
    }
  }
  return std::sqrt(error / noise);
}

}  // namespace

struct MeanModel::Scales {
  double s = 1.0, s_y = 1.0, s_z = 1.0, amplitude = 1.0, shift_y = 0.0, shift_z = 0.0;
};

double reference_distance_m(const FitData& data) {
  double sum = 0.0;
  for (const FitData::Plane& p : data.planes) {
    sum += std::log(p.downstream_m);
  }
  return std::exp(sum / static_cast<double>(data.planes.size()));
}

bool flat_as_outlet(const FitData& data) {
  const FitData::Plane& first = data.planes.front();
  const double grown = free_jet_spread * reference_distance_m(data);
  return std::max(expected_flatness(first.outlet_half_y_m, grown),
                  expected_flatness(first.outlet_half_z_m, grown)) > 0.0;
}

MeanModel::MeanModel(Candidate candidate, const FitData& data, RoomAir air)
    : candidate_(candidate),
      data_(data),
      background_sd_m_s_(air == RoomAir::at_rest ? data.background_sd_m_s : data.unread_drift_m_s),
      background_low_m_s_(air == RoomAir::at_rest ? -2.0 * background_sd_m_s_
                                                  : -most_against_stream_m_s),
      thin_(thinned(data, most_to_fit)),
      reference_(thin_) {
  const auto planes = data.planes.size();
  outlet_ = data.planes.front().outlet;
  std::vector<double> rows;
  if (planes > 1) {
    reference_m_ = reference_distance_m(data);
    structure_size_ = common_count + 3 * static_cast<int>(planes) +
                      (candidate == Candidate::changing_core ? 2 : 0);
    for (const FitData::Plane& p : thin_.planes) {
      const double k = p.downstream_m / reference_m_;
      for (Eigen::Index i = p.begin; i < p.end; ++i) {
        reference_.y[i] = outlet_.y_m + (thin_.y[i] - outlet_.y_m) / k;
        reference_.z[i] = outlet_.z_m + (thin_.z[i] - outlet_.z_m) / k;
        reference_.v[i] *= k;
        reference_.smooth[i] *= k;
        reference_.sd[i] *= k;
      }
      for (const double h : p.heights_m) {
        rows.push_back(outlet_.z_m + (h - outlet_.z_m) / k);
      }
    }
    reference_.peak_m_s = 1e-6;
    for (Eigen::Index i = 0; i < reference_.size(); ++i) {
      if (!thin_.censored[static_cast<std::size_t>(i)]) {
        reference_.peak_m_s =
            std::max({reference_.peak_m_s, reference_.smooth[i], 0.95 * reference_.v[i]});
      }
    }
  } else {
    reference_m_ = data.planes.front().downstream_m;
    rows = data.planes.front().heights_m;
  }
  setting_ = make_setting(reference_, median_gap(rows));
  const FitData::Plane& first = data.planes.front();
  if (first.outlet_half_y_m > 0.0 && first.outlet_half_z_m > 0.0) {
    const double grown = free_jet_spread * reference_m_;
    setting_.expected_half_y_m = std::max(first.outlet_half_y_m, grown);
    setting_.expected_half_z_m = std::max(first.outlet_half_z_m, grown);
    setting_.expected_flatness_y = expected_flatness(setting_.expected_half_y_m, grown);
    setting_.expected_flatness_z = expected_flatness(setting_.expected_half_z_m, grown);
    setting_.expected_centre = outlet_;
    // The axis may lean by some ten degrees: common practice, no published source.
    setting_.expected_centre_sd_m = std::hypot(
        0.2 * reference_m_, 0.5 * std::max(first.outlet_half_y_m, first.outlet_half_z_m));
  }
  shape_ = make_shape(candidate, setting_);
  gaussian_ = make_gaussian_shape(setting_);
}

MeanModel::Scales MeanModel::scales(const Vector& t, int plane) const {
  Scales k;
  if (!pooled()) {
    return k;
  }
  const auto s = t.tail(structure_size_);
  const double x = data_.planes[static_cast<std::size_t>(plane)].downstream_m;
  const auto planes = static_cast<Eigen::Index>(data_.planes.size());
  const double ea = s[common_count + plane], ey = s[common_count + planes + plane],
               ez = s[common_count + 2 * planes + plane];
  k.s = (x - s[virtual_origin]) / (reference_m_ - s[virtual_origin]);
  const double exponent = 0.5 * (1.0 + s[growth_z]) + s[decay];
  k.amplitude = std::pow(k.s, -exponent) * std::exp(ea);
  k.s_y = k.s * std::exp(ey);
  k.s_z = std::pow(k.s, s[growth_z]) * std::exp(ez);
  k.shift_y = s[slope_y] * (x - reference_m_);
  k.shift_z = s[slope_z] * (x - reference_m_);
  return k;
}

Vector MeanModel::shape_at(const Vector& t, int plane) const {
  Vector q = t.head(shape_size());
  if (candidate_ == Candidate::changing_core && pooled()) {
    const double lx =
        std::log(data_.planes[static_cast<std::size_t>(plane)].downstream_m / reference_m_);
    double& ln_p = q[shape_->flatness_index()];
    double& dip = q[shape_->dip_index()];
    ln_p = std::clamp(ln_p + t[t.size() - 2] * lx, std::log(1.2), std::log(8.0));
    dip = std::clamp(dip + t[t.size() - 1] * lx, 0.0, 0.95);
  }
  return q;
}

Array MeanModel::evaluate(const Vector& t, int plane, const Array& y, const Array& z) const {
  if (!pooled()) {
    return shape_->evaluate(t.head(shape_size()), y, z);
  }
  const Scales k = scales(t, plane);
  const Array ys = outlet_.y_m + (y - (outlet_.y_m + k.shift_y)) / k.s_y;
  const Array zs = outlet_.z_m + (z - (outlet_.z_m + k.shift_z)) / k.s_z;
  return k.amplitude * shape_->evaluate(shape_at(t, plane), ys, zs);
}

Array MeanModel::evaluate_all(const Vector& t) const { return shown(t, data_); }

Array MeanModel::shown(const Vector& t, const FitData& data) const {
  Array mean(data.size());
  for (std::size_t j = 0; j < data.planes.size(); ++j) {
    const FitData::Plane& p = data.planes[j];
    const Eigen::Index n = p.end - p.begin;
    mean.segment(p.begin, n) =
        evaluate(t, static_cast<int>(j), data.y.segment(p.begin, n), data.z.segment(p.begin, n));
  }
  mean += t[background_index()];
  return mean;
}

void MeanModel::coordinates(
    const Vector& t, int plane, const Array& y, const Array& z, Array& p, Array& r) const {
  const Scales k = scales(t, plane);
  const Array ys = outlet_.y_m + (y - (outlet_.y_m + k.shift_y)) / k.s_y;
  const Array zs = outlet_.z_m + (z - (outlet_.z_m + k.shift_z)) / k.s_z;
  half_width_coordinates(shape_->frame(t.head(shape_size())), ys, zs, p, r);
}

Array MeanModel::envelope(const Vector& t, int plane, const Array& y, const Array& z) const {
  const Scales k = scales(t, plane);
  const Array ys = outlet_.y_m + (y - (outlet_.y_m + k.shift_y)) / k.s_y;
  const Array zs = outlet_.z_m + (z - (outlet_.z_m + k.shift_z)) / k.s_z;
  const Vector wide = shape_->widened(t.head(shape_size()));
  const double top =
      std::max(0.3 * reference_.peak_m_s,
               shape_->evaluate(t.head(shape_size()), reference_.y, reference_.z).maxCoeff());
  const Array w = (shape_->evaluate(wide, ys, zs).max(0.0) / top).sqrt();
  return k.amplitude * w.max(least_envelope);
}

double MeanModel::log_distance(const Vector& t, int plane) const {
  return std::log(scales(t, plane).s);
}

double MeanModel::amplitude(const Vector& t, int plane) const { return scales(t, plane).amplitude; }

std::vector<double> MeanModel::carried_heights(const Vector& t, int plane) const {
  const Scales to = scales(t, plane);
  std::vector<double> all;
  for (std::size_t j = 0; j < data_.planes.size(); ++j) {
    const Scales from = scales(t, static_cast<int>(j));
    for (const double h : data_.planes[j].heights_m) {
      all.push_back(outlet_.z_m + to.shift_z +
                    (h - outlet_.z_m - from.shift_z) * to.s_z / from.s_z);
    }
  }
  std::sort(all.begin(), all.end());
  const auto close = [](double a, double b) { return b - a < 0.01; };
  all.erase(std::unique(all.begin(), all.end(), close), all.end());
  return all;
}

EllipseFrame MeanModel::frame_in_plane(const Vector& t, int plane) const {
  const Scales k = scales(t, plane);
  EllipseFrame f = shape_->frame(t.head(shape_size()));
  f.yc = outlet_.y_m + k.shift_y + (f.yc - outlet_.y_m) * k.s_y;
  f.zc = outlet_.z_m + k.shift_z + (f.zc - outlet_.z_m) * k.s_z;
  f.a *= k.s_y;
  f.b *= k.s_z;
  return f;
}

Vector MeanModel::residuals(const Vector& t, double noise_factor) const {
  const Vector readings = reading_residuals(thin_, shown(t, thin_), noise_factor);
  const Vector prior = prior_residuals(t);
  Vector all(readings.size() + prior.size());
  all << readings, prior;
  return all;
}

MeanModel::Fitted MeanModel::fit() const {
  // The Gaussian first, on the reference plane; the shape from it, on the reference plane.
  const auto plane_fit =
      [this](const MeanShape& shape, const std::vector<Vector>& starts, int iterations) {
        BoundedFit best;
        best.cost = 1e300;
        const auto rows = [&](const Vector& t) {
          const Vector readings =
              reading_residuals(reference_, shape.evaluate(t, reference_.y, reference_.z), 1.0);
          const Vector prior = shape.prior_residuals(t);
          Vector all(readings.size() + prior.size());
          all << readings, prior;
          return all;
        };
        for (const Vector& start : starts) {
          const BoundedFit fit = fit_least_squares(
              rows, start, shape.lower(), shape.upper(), shape.prior_sd(start), iterations);
          if (fit.cost < best.cost) {
            best = fit;
          }
        }
        return best;
      };
  const BoundedFit gaussian = plane_fit(*gaussian_, gaussian_starts(reference_), 40);
  const BoundedFit start = candidate_ == Candidate::gaussian
                               ? gaussian
                               : plane_fit(*shape_, shape_->starts(gaussian.at), 50);
  Vector t(size());
  t << start.at, 0.0, structure_prior_mean();
  const Vector low = lower(), high = upper();
  const auto refine = [&](const Vector& from, double noise_factor, int iterations) {
    return fit_least_squares([&](const Vector& p) { return residuals(p, noise_factor); },
                             from,
                             low,
                             high,
                             prior_sd(from),
                             iterations);
  };
  BoundedFit fit = refine(t, 1.0, 90);
  double chi = misfit(fit.at);
  if (chi > 1.3) {
    fit = refine(fit.at, 2.0 * std::min(chi, 8.0), 90);
    chi = misfit(fit.at);
  }
  return {fit.at, fit.cost, chi};
}

double MeanModel::misfit(const Vector& t) const {
  return rms_misfit(data_, evaluate_all(t), 0, data_.size());
}

double MeanModel::misfit(const Vector& t, int plane) const {
  const FitData::Plane& p = data_.planes[static_cast<std::size_t>(plane)];
  return rms_misfit(data_, evaluate_all(t), p.begin, p.end);
}

}  // namespace sweepflux
