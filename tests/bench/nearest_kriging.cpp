// Kriging of many readings from their nearest: how close it comes to the exact answer as the
// neighbours grow, how time and memory grow with the readings, and how near the dense factor comes
// to the machine's matrix product.

#include "sweepflux/field/general/nearest_kriging.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/dense_private.hpp"
#include "sweepflux/field/general/kriging_fit.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"
#include "tests/support/dice.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <iostream>
#include <numbers>
#include <string>
#include <sys/resource.h>
#include <vector>

namespace sweepflux::bench {
namespace {

constexpr double half_width_m = 0.25;
constexpr double peak_m_s = 3.0;
constexpr double flow_m3_s =
    peak_m_s * half_width_m * half_width_m * std::numbers::pi / std::numbers::ln2;
constexpr double square_m4_s2 = 0.5 * peak_m_s * flow_m3_s;

Options read_options(int argc, const char* const* argv) {
  return {argc,
          argv,
          {{"parts", "convergence,scale,dense"},
           {"exact", "2500"},  // readings of the convergence table
           {"neighbours", "8,16,32,48,64,128,256"},
           {"readings", "10000,100000,1000000"},
           {"sweeps", "0,9,25"},  // 0: anywhere in the plane
           {"side", "1024"},      // of the map, in places
           {"noise", "0.08"},     // m/s
           {"write", ""},         // first of `readings`, first of `sweeps`, as CSV for others
           {"dense", "3000"},
           {"threads", "2"}}};
}

double seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

double peak_mib() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

ScatteredValues readings(std::size_t count, std::size_t sweeps, double noise) {
  test::Dice dice(1);
  ScatteredValues v;
  for (std::size_t i = 0; i < count; ++i) {
    PlanePoint p{dice.uniform(-1.0, 1.0), dice.uniform(0.0, 2.0)};
    if (sweeps > 1) {
      p.z_m = 0.1 + 1.8 * static_cast<double>(i % sweeps) / static_cast<double>(sweeps - 1);
    }
    const double dz = p.z_m - 0.95;
    const double squares = (p.y_m * p.y_m + dz * dz) / (half_width_m * half_width_m);
    v.at.push_back(p);
    v.value.push_back(peak_m_s * std::exp2(-squares) + dice.normal(noise));
  }
  return v;
}

MapGrid grid_of(std::size_t side) {
  const double step = 2.0 / static_cast<double>(side - 1);
  return {-1.0, 0.0, step, step, side, side};
}

/// How far one map lies from the exact one.
struct Distance {
  double rms = 0.0;  // in exact standard deviations
  double most = 0.0;
  double sd_ratio = 0.0;  // mean of the stated sd over the exact one
};

Distance distance_between(const Interpolated& exact, const Interpolated& map) {
  Distance d;
  const double n = static_cast<double>(exact.value.size());
  for (std::size_t i = 0; i < exact.value.size(); ++i) {
    const double sd = std::sqrt(exact.variance[i]);
    const double off = std::abs(map.value[i] - exact.value[i]) / sd;
    d.rms += off * off / n;
    d.most = std::max(d.most, off);
    d.sd_ratio += std::sqrt(map.variance[i]) / sd / n;
  }
  d.rms = std::sqrt(d.rms);
  return d;
}

std::string convergence(const Options& options, std::size_t sweeps) {
  const ScatteredValues v = merged(readings(
      static_cast<std::size_t>(options.count("exact", 10)), sweeps, options.number("noise")));
  const KrigingModel model = fit_kriging(v).model;
  const MapGrid grid = grid_of(64);
  std::vector<PlanePoint> places;
  std::vector<double> weights;
  for (std::size_t iz = 0; iz < grid.nz; ++iz) {
    for (std::size_t iy = 0; iy < grid.ny; ++iy) {
      places.push_back(grid.at(iy, iz));
      weights.push_back(grid.step_y_m * grid.step_z_m * (iy == 0 || iy + 1 == grid.ny ? 0.5 : 1.0) *
                        (iz == 0 || iz + 1 == grid.nz ? 0.5 : 1.0));
    }
  }
  const OrdinaryKriging kriging(v, model);
  const Interpolated exact = kriging.predict(places);
  const FieldIntegrals truth = kriging.integrate(places, weights);
  TextTable table({"neighbours",
                   "averaged",
                   "block",
                   "seen",
                   "rms",
                   "most",
                   "sd ratio",
                   "flow",
                   "square",
                   "sd of flow",
                   "sd of square"});
  for (const int k : options.counts("neighbours", 1)) {
    for (const bool condense : {false, true}) {
      for (const std::size_t block : {1U, 64U}) {
        NearestOptions nearest;
        nearest.neighbours = static_cast<std::size_t>(k);
        nearest.condense = condense;
        nearest.block = block;
        const NearestKriging near(v, model, nearest);
        const Interpolated map = near.predict(grid);
        const Distance d = distance_between(exact, map);
        const FieldIntegrals sums = near.integrate(grid, map);
        table.add({std::to_string(k),
                   condense ? "yes" : "no",
                   std::to_string(block),
                   std::to_string(near.condensed_readings()),
                   fixed(d.rms, 3),
                   fixed(d.most, 2),
                   fixed(d.sd_ratio, 3),
                   fixed((sums.flow - truth.flow) / std::sqrt(truth.flow_variance), 3),
                   fixed((sums.square - truth.square) / std::sqrt(truth.square_variance), 3),
                   fixed(std::sqrt(sums.flow_variance / truth.flow_variance), 3),
                   fixed(std::sqrt(sums.square_variance / truth.square_variance), 3)});
      }
    }
  }
  return table.text();
}

/// One row of the table of scale.
std::vector<std::string> scale_row(std::size_t count, std::size_t sweeps, const Options& options) {
  const ScatteredValues raw = readings(count, sweeps, options.number("noise"));
  NearestOptions nearest;
  nearest.threads = options.count("threads");
  FitOptions fit;
  fit.threads = nearest.threads;
  const double start = seconds();
  const ScatteredValues v = merged(raw);
  const double after_merge = seconds();
  const FittedModel fitted = fit_kriging(v, fit);
  const double after_fit = seconds();
  const NearestKriging near(v, fitted.model, nearest);
  const double after_build = seconds();
  const MapGrid grid = grid_of(static_cast<std::size_t>(options.count("side", 2)));
  const Interpolated map = near.predict(grid);
  const double after_map = seconds();
  const FieldIntegrals sums = near.integrate(grid, map);
  const double end = seconds();
  return {std::to_string(count),
          std::to_string(sweeps),
          fixed(after_merge - start, 2),
          fixed(after_fit - after_merge, 2),
          fixed(after_build - after_fit, 2),
          fixed(after_map - after_build, 2),
          fixed(end - after_map, 2),
          fixed(end - start, 2),
          fixed(1e6 * (end - start) / static_cast<double>(count), 1),
          fixed(peak_mib(), 0),
          std::to_string(near.condensed_readings()),
          fixed((sums.flow - flow_m3_s) / std::sqrt(sums.flow_variance), 2),
          fixed((sums.square - square_m4_s2) / std::sqrt(sums.square_variance), 2),
          per_cent(std::sqrt(sums.square_variance) / square_m4_s2, 2)};
}

std::string scale(const Options& options) {
  TextTable table({"readings",
                   "sweeps",
                   "merge",
                   "fit",
                   "build",
                   "map",
                   "integrals",
                   "all [s]",
                   "us/reading",
                   "peak MiB",
                   "seen",
                   "z flow",
                   "z square",
                   "sd square %"});
  for (const int sweeps : options.counts("sweeps")) {
    for (const int count : options.counts("readings", 10)) {
      table.add(
          scale_row(static_cast<std::size_t>(count), static_cast<std::size_t>(sweeps), options));
    }
  }
  return table.text();
}

/// Operations a second of the best of five.
template <typename Work>
double rate(double operations, const Work& work) {
  double best = 0.0;
  for (int run = 0; run < 5; ++run) {
    const double start = seconds();
    work();
    best = std::max(best, operations / (seconds() - start));
  }
  return best / 1e9;
}

std::string dense(const Options& options) {
  const Eigen::Index n = options.count("dense", 10);
  const double cube = std::pow(static_cast<double>(n), 3);
  Eigen::MatrixXd a(n, n);
  for (Eigen::Index j = 0; j < n; ++j) {
    for (Eigen::Index i = 0; i < n; ++i) {
      a(i, j) = std::exp(-0.01 * static_cast<double>(std::abs(i - j)));
    }
    a(j, j) += 1.0;
  }
  Eigen::MatrixXd product(n, n);
  const double matrix_product = rate(2.0 * cube, [&] { product.noalias() = a * a; });
  TextTable table({"N", "threads", "work", "Gflop/s", "share of the product"});
  table.add({std::to_string(n), "1", "matrix product", fixed(matrix_product, 2), "1.00"});
  for (int threads = 1; threads <= options.count("threads", 1); ++threads) {
    Eigen::MatrixXd lower = a;
    bool sound = true;
    const double factor = rate(cube / 3.0, [&] {
      lower = a;
      sound = cholesky_in_place(lower, threads) && sound;
    });
    if (!sound) {
      throw NumericalError("the factor broke down");
    }
    Eigen::MatrixXd right = Eigen::MatrixXd::Ones(n, 512);
    const double solve = rate(cube / static_cast<double>(n) * 512.0,
                              [&] { solve_lower_in_place(lower, right, threads); });
    table.add({std::to_string(n),
               std::to_string(threads),
               "Cholesky factor",
               fixed(factor, 2),
               fixed(factor / matrix_product / threads, 2)});
    table.add({std::to_string(n),
               std::to_string(threads),
               "512 variances",
               fixed(solve, 2),
               fixed(solve / matrix_product / threads, 2)});
  }
  return table.text();
}

void write_readings(const Options& options) {
  const ScatteredValues v =
      merged(readings(static_cast<std::size_t>(options.counts("readings", 10).front()),
                      static_cast<std::size_t>(options.counts("sweeps").front()),
                      options.number("noise")));
  std::string csv = "y_m,z_m,speed_m_s\n";
  for (std::size_t i = 0; i < v.at.size(); ++i) {
    csv += exactly(v.at[i].y_m) + "," + exactly(v.at[i].z_m) + "," + exactly(v.value[i]) + "\n";
  }
  write_whole_file(options.text("write"), csv);
}

int work(int argc, const char* const* argv) {
  const Options options = read_options(argc, argv);
  std::cout << "sweepflux nearest kriging: " << options.all() << "\n";
  if (!options.text("write").empty()) {
    write_readings(options);
    return 0;
  }
  const std::vector<std::string> parts = options.texts("parts");
  const auto wanted = [&](const char* part) {
    return std::find(parts.begin(), parts.end(), part) != parts.end();
  };
  if (wanted("convergence")) {
    for (const int sweeps : options.counts("sweeps")) {
      std::cout << "\nAgainst the exact solution, in its standard deviations; " << sweeps
                << " sweeps (0: anywhere)\n"
                << convergence(options, static_cast<std::size_t>(sweeps));
    }
  }
  if (wanted("scale")) {
    std::cout << "\nTime [s] and memory, covariance fitted, variances in; z: against the truth\n"
              << scale(options);
  }
  if (wanted("dense")) {
    std::cout << "\nDense algebra\n" << dense(options);
  }
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
