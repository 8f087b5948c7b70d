#include "sweepflux/field/general/nearest_kriging.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/condense.hpp"
#include "sweepflux/field/general/dense_private.hpp"
#include "sweepflux/field/general/scattered.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <optional>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

constexpr std::size_t batch = 4096;        // wanted places that one task takes
constexpr double most_coarse_share = 0.4;  // of a range: cells that still show a stream's shape

void check(const NearestOptions& options, const KrigingModel& model) {
  if (options.neighbours < 1 || options.block < 1 || options.dense < 1) {
    throw InputError("nearest kriging: neighbours, block and dense must be >= 1");
  }
  if (!(options.block_share >= 0.0 && options.block_share <= 1.0)) {
    throw InputError("nearest kriging: block_share must lie in 0 to 1");
  }
  if (model.nugget_is == Nugget::structure && model.nugget > 0.0) {
    throw InputError("nearest kriging: a nugget as structure is not offered, state it as noise");
  }
}

/// Wanted places in the covariance's own measure, and the order that keeps close ones together.
struct Wanted {
  std::vector<double> y;
  std::vector<double> z;
  std::vector<std::size_t> order;

  using Part = std::span<std::size_t>;

  [[nodiscard]] Window box(std::span<const std::size_t> part) const {
    Window b{y[part[0]], y[part[0]], z[part[0]], z[part[0]]};
    for (const std::size_t i : part) {
      b = {std::min(b.y_min_m, y[i]),
           std::max(b.y_max_m, y[i]),
           std::min(b.z_min_m, z[i]),
           std::max(b.z_max_m, z[i])};
    }
    return b;
  }

  /// Halves a part across its longer side. Equals go by index: the halves are unique.
  [[nodiscard]] std::pair<Part, Part> halve(Part part) const {
    const Window b = box(part);
    const std::vector<double>& along = b.width_m() >= b.height_m() ? y : z;
    const std::size_t middle = part.size() / 2;
    std::nth_element(part.begin(),
                     part.begin() + static_cast<std::ptrdiff_t>(middle),
                     part.end(),
                     [&](std::size_t i, std::size_t j) {
                       return along[i] < along[j] || (along[i] == along[j] && i < j);
                     });
    return {part.first(middle), part.subspan(middle)};
  }

  void split_into(Part part, std::size_t most, std::vector<Part>& parts) const {
    if (part.size() <= most) {
      if (!part.empty()) {
        parts.push_back(part);
      }
      return;
    }
    const auto [low, high] = halve(part);
    split_into(low, most, parts);
    split_into(high, most, parts);
  }
};

/// Tells of progress and obeys a stop; from the caller's thread alone.
void before_round(const Progress& progress, std::size_t done, std::size_t all) {
  if (progress.stop_wanted && progress.stop_wanted()) {
    throw Interrupted("stopped while making the map");
  }
  if (progress.report) {
    progress.report("map", static_cast<double>(done) / static_cast<double>(all));
  }
}

}  // namespace

struct NearestKriging::Solved {
  KrigingModel model;
  NearestOptions options;
  Condensed data;
  std::vector<double> noise;                   // variances of the data
  Neighbours near{std::vector<PlanePoint>{}};  // of scaled places
  std::optional<OrdinaryKriging> coarse;
  std::size_t coarse_readings = 0;
  double coarse_share = 0.0;  // side of its cells in ranges

  /// One thread's storage.
  struct Desk {
    explicit Desk(const Solved& s)
        : solver(s.model.covariance), found(std::min(s.options.neighbours, s.noise.size())) {}
    LocalSolver solver;
    std::vector<std::size_t> found;
    std::vector<double> wanted_y, wanted_z;
    std::vector<LocalSolver::Answer> answers;
  };

  void take(Desk& desk) const;
  void correct_for_curvature(Condensed& cells) const;
  void solve(Wanted& wanted, Wanted::Part part, Desk& desk, Interpolated& into) const;
  void answer(const Wanted& wanted, Wanted::Part part, Desk& desk, Interpolated& into) const;
};

void NearestKriging::Solved::solve(Wanted& wanted,
                                   Wanted::Part part,
                                   Desk& desk,
                                   Interpolated& into) const {
  if (part.size() <= options.block) {
    const Window box = wanted.box(part);
    const PlanePoint centre{0.5 * (box.y_min_m + box.y_max_m), 0.5 * (box.z_min_m + box.z_max_m)};
    const double radius = 0.5 * std::hypot(box.width_m(), box.height_m());
    near.nearest(centre, desk.found);
    const PlanePoint last = near.places()[desk.found.back()];
    const double reach = std::hypot(last.y_m - centre.y_m, last.z_m - centre.z_m);
    // All readings are seen anyway: any block will do.
    const bool all = desk.found.size() == noise.size();
    if (part.size() == 1 || all || radius <= options.block_share * reach) {
      answer(wanted, part, desk, into);
      return;
    }
  }
  const auto [low, high] = wanted.halve(part);
  solve(wanted, low, desk, into);
  solve(wanted, high, desk, into);
}

/// Sets the desk's solver up with the readings found.
void NearestKriging::Solved::take(Desk& desk) const {
  desk.solver.clear();
  for (const std::size_t i : desk.found) {
    desk.solver.add(near.places()[i].y_m, near.places()[i].z_m, data.values.value[i], noise[i]);
  }
  if (!desk.solver.factor()) {
    throw NumericalError("nearest kriging: readings too close for their noise; state a nugget");
  }
}

/// A mean over a cell is the field's value at its middle and half its curvature times the spread:
/// a share of a percent of a stream's momentum, far above its noise when readings are millions.
/// The map so far tells the curvature, and it is taken off.
void NearestKriging::Solved::correct_for_curvature(Condensed& cells) const {
  if (cells.spread.empty()) {
    return;
  }
  std::vector<double> correction(cells.spread.size());
  in_parts(correction.size(), 256, options.threads, [&](std::size_t from, std::size_t to) {
    Desk desk(*this);
    for (std::size_t c = from; c < to; ++c) {
      const PlanePoint at = cells.values.at[c];
      const auto [first, second] = cells.spread[c];
      const std::array<PlanePoint, 5> places{at,
                                             {at.y_m + first.y_m, at.z_m + first.z_m},
                                             {at.y_m - first.y_m, at.z_m - first.z_m},
                                             {at.y_m + second.y_m, at.z_m + second.z_m},
                                             {at.y_m - second.y_m, at.z_m - second.z_m}};
      const Eigen::Matrix2Xd scaled = scaled_places(model.covariance, places);
      near.nearest({scaled(0, 0), scaled(1, 0)}, desk.found);
      take(desk);
      desk.wanted_y.assign(scaled.row(0).begin(), scaled.row(0).end());
      desk.wanted_z.assign(scaled.row(1).begin(), scaled.row(1).end());
      desk.answers.resize(places.size());
      desk.solver.ask(desk.wanted_y, desk.wanted_z, desk.answers);
      const double mean = desk.solver.mean().value;
      const auto value = [&](std::size_t i) {
        return desk.answers[i].value + (1.0 - desk.answers[i].constant) * mean;
      };
      correction[c] = 0.5 * (value(1) + value(2) + value(3) + value(4)) - 2.0 * value(0);
    }
  });
  for (std::size_t c = 0; c < correction.size(); ++c) {
    cells.values.value[c] -= correction[c];
  }
}

void NearestKriging::Solved::answer(const Wanted& wanted,
                                    Wanted::Part part,
                                    Desk& desk,
                                    Interpolated& into) const {
  take(desk);
  desk.wanted_y.resize(part.size());
  desk.wanted_z.resize(part.size());
  desk.answers.resize(part.size());
  for (std::size_t i = 0; i < part.size(); ++i) {
    desk.wanted_y[i] = wanted.y[part[i]];
    desk.wanted_z[i] = wanted.z[part[i]];
  }
  desk.solver.ask(desk.wanted_y, desk.wanted_z, desk.answers);
  const LocalSolver::Mean mean = desk.solver.mean();
  for (std::size_t i = 0; i < part.size(); ++i) {
    const LocalSolver::Answer& a = desk.answers[i];
    const double left = 1.0 - a.constant;
    into.value[part[i]] = a.value + left * mean.value;
    into.variance[part[i]] =
        std::max(0.0, model.covariance.sill - a.explained + left * left * mean.variance);
  }
}

NearestKriging::NearestKriging(const ScatteredValues& values,
                               const KrigingModel& model,
                               const NearestOptions& options) {
  check(options, model);
  check(model.covariance);
  if (values.at.empty() || values.at.size() != values.value.size()) {
    throw InputError("nearest kriging: as many values as places, at least one");
  }
  auto solved = std::make_shared<Solved>();
  Solved& s = *solved;
  s.model = model;
  s.options = options;
  s.data = options.condense ? condense_harmlessly(values, model)
                            : condense_to(values, model, values.at.size());
  for (const double sd : s.data.values.noise_sd) {
    s.noise.push_back(sd * sd);
  }
  const Eigen::Matrix2Xd scaled = scaled_places(model.covariance, s.data.values.at);
  std::vector<PlanePoint> places;
  for (Eigen::Index i = 0; i < scaled.cols(); ++i) {
    places.push_back({scaled(0, i), scaled(1, i)});
  }
  s.near = Neighbours(std::move(places), options.search);
  s.correct_for_curvature(s.data);

  KrigingModel without_nugget = model;  // the cells' noise holds it
  without_nugget.nugget = 0.0;
  Condensed coarse = condense_to(s.data.values, without_nugget, options.dense);
  s.correct_for_curvature(coarse);
  s.coarse_readings = coarse.values.at.size();
  s.coarse_share = coarse.cell_share;
  s.coarse.emplace(coarse.values, without_nugget, options.threads);
  solved_ = std::move(solved);
}

std::size_t NearestKriging::condensed_readings() const { return solved_->noise.size(); }
std::size_t NearestKriging::dense_readings() const { return solved_->coarse_readings; }

Interpolated NearestKriging::predict(std::span<const PlanePoint> places,
                                     const Progress& progress) const {
  require_finite(places, "wanted place");
  const Solved& s = *solved_;
  Interpolated result;
  result.value.resize(places.size());
  result.variance.resize(places.size());
  if (places.empty()) {
    return result;
  }
  const Eigen::Matrix2Xd scaled = scaled_places(s.model.covariance, places);
  Wanted wanted;
  wanted.y.assign(scaled.row(0).begin(), scaled.row(0).end());
  wanted.z.assign(scaled.row(1).begin(), scaled.row(1).end());
  wanted.order.resize(places.size());
  std::iota(wanted.order.begin(), wanted.order.end(), std::size_t{0});
  std::vector<Wanted::Part> parts;
  wanted.split_into(wanted.order, batch, parts);
  constexpr std::size_t round = 16;
  for (std::size_t first = 0; first < parts.size(); first += round) {
    before_round(progress, first, parts.size());
    parallel_for(std::min(round, parts.size() - first), s.options.threads, [&](std::size_t p) {
      Solved::Desk desk(s);
      s.solve(wanted, parts[first + p], desk, result);
    });
  }
  return result;
}

Interpolated NearestKriging::predict(const MapGrid& grid, const Progress& progress) const {
  if (grid.ny < 1 || grid.nz < 1 || !(grid.step_y_m > 0.0) || !(grid.step_z_m > 0.0)) {
    throw InputError("nearest kriging: a grid needs steps > 0 and at least one place a side");
  }
  std::vector<PlanePoint> places;
  places.reserve(grid.ny * grid.nz);
  for (std::size_t iz = 0; iz < grid.nz; ++iz) {
    for (std::size_t iy = 0; iy < grid.ny; ++iy) {
      places.push_back(grid.at(iy, iz));
    }
  }
  return predict(places, progress);
}

namespace {

/// The grid's places in groups, at most 64 x 64 of them: nodes with areas.
struct Nodes {
  std::vector<PlanePoint> at;
  std::vector<double> area;    // by the trapezoid rule
  std::vector<double> flow;    // integral of the map over the group
  std::vector<double> square;  // and of its square
  double variance = 0.0;       // integral of the map's variance
};

Nodes grouped(const MapGrid& grid, const Interpolated& map) {
  const std::size_t group_y = (grid.ny + 63) / 64;
  const std::size_t group_z = (grid.nz + 63) / 64;
  const std::size_t nodes_y = (grid.ny + group_y - 1) / group_y;
  const std::size_t nodes_z = (grid.nz + group_z - 1) / group_z;
  Nodes nodes;
  nodes.at.resize(nodes_y * nodes_z);
  nodes.area.resize(nodes.at.size());
  nodes.flow.resize(nodes.at.size());
  nodes.square.resize(nodes.at.size());
  for (std::size_t iz = 0; iz < grid.nz; ++iz) {
    for (std::size_t iy = 0; iy < grid.ny; ++iy) {
      const double edge_y = grid.ny > 1 && (iy == 0 || iy + 1 == grid.ny) ? 0.5 : 1.0;
      const double edge_z = grid.nz > 1 && (iz == 0 || iz + 1 == grid.nz) ? 0.5 : 1.0;
      const double area = edge_y * edge_z * grid.step_y_m * grid.step_z_m;
      const double u = map.value[iz * grid.ny + iy];
      const std::size_t node = (iz / group_z) * nodes_y + iy / group_y;
      nodes.at[node].y_m += area * grid.at(iy, iz).y_m;
      nodes.at[node].z_m += area * grid.at(iy, iz).z_m;
      nodes.area[node] += area;
      nodes.flow[node] += area * u;
      nodes.square[node] += area * u * u;
      nodes.variance += area * map.variance[iz * grid.ny + iy];
    }
  }
  for (std::size_t node = 0; node < nodes.at.size(); ++node) {
    nodes.at[node].y_m /= nodes.area[node];
    nodes.at[node].z_m /= nodes.area[node];
  }
  return nodes;
}

}  // namespace

FieldIntegrals NearestKriging::integrate(const MapGrid& grid, const Interpolated& map) const {
  if (map.value.size() != grid.ny * grid.nz || map.variance.size() != map.value.size()) {
    throw InputError(
        "nearest kriging: the map must have a value and a variance a place of the grid");
  }
  const Solved& s = *solved_;
  Nodes nodes = grouped(grid, map);
  if (s.coarse_share <= most_coarse_share) {
    // What few neighbours leave out is small at a place, but alike at many.
    const Interpolated exact = s.coarse->predict(nodes.at, false);
    for (std::size_t i = 0; i < nodes.at.size(); ++i) {
      nodes.flow[i] = nodes.area[i] * exact.value[i];
      nodes.square[i] = nodes.area[i] * exact.value[i] * exact.value[i];
    }
  }
  FieldIntegrals result;
  result.square = nodes.variance;
  std::vector<double> square_load(nodes.at.size());
  for (std::size_t i = 0; i < nodes.at.size(); ++i) {
    result.flow += nodes.flow[i];
    result.square += nodes.square[i];
    square_load[i] = 2.0 * nodes.flow[i];
  }
  s.coarse->add_covariance(nodes.at, nodes.area, square_load, result);
  return result;
}

}  // namespace sweepflux
