// One map with its variances from a file of readings, as tests/bench/others/ does it with general
// libraries. Prints one line of JSON: seconds of each step, and the errors against the known field
// of bench/nearest_kriging.

#include "sweepflux/base/error.hpp"
#include "sweepflux/field/general/kriging_fit.hpp"
#include "sweepflux/field/general/nearest_kriging.hpp"
#include "sweepflux/field/general/scattered.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"

#include <charconv>
#include <chrono>
#include <cmath>
#include <fstream>
#include <iostream>
#include <iterator>
#include <numbers>

namespace sweepflux::bench {
namespace {

double seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// y, z, speed a row, below one heading.
ScatteredValues read(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(in), {}};
  ScatteredValues v;
  const char* at = text.data() + std::min(text.find('\n'), text.size());
  const char* const end = text.data() + text.size();
  while (end - at > 1) {
    double row[3] = {};
    for (double& number : row) {
      const auto [next, fault] = std::from_chars(at + 1, end, number);
      if (fault != std::errc()) {
        throw InputError(file + ": three numbers a row are wanted");
      }
      at = next;
    }
    v.at.push_back({row[0], row[1]});
    v.value.push_back(row[2]);
  }
  return v;
}

double truth_m_s(PlanePoint p) {
  const double dz = p.z_m - 0.95;
  return 3.0 * std::exp2(-(p.y_m * p.y_m + dz * dz) / 0.0625);
}

Interpolated map_of(const Options& options, const ScatteredValues& v, const MapGrid& grid) {
  FitOptions fit;
  fit.threads = options.count("threads");
  const KrigingModel model = fit_kriging(v, fit).model;
  if (options.text("method") == "exact") {
    std::vector<PlanePoint> places;
    for (std::size_t iz = 0; iz < grid.nz; ++iz) {
      for (std::size_t iy = 0; iy < grid.ny; ++iy) {
        places.push_back(grid.at(iy, iz));
      }
    }
    return OrdinaryKriging(v, model, fit.threads).predict(places);
  }
  NearestOptions nearest;
  nearest.threads = fit.threads;
  return NearestKriging(v, model, nearest).predict(grid);
}

int work(int argc, const char* const* argv) {
  const Options options(
      argc, argv, {{"readings", ""}, {"side", "1024"}, {"method", "nearest"}, {"threads", "0"}});
  const double start = seconds();
  const ScatteredValues raw = read(options.text("readings"));
  const double after_read = seconds();
  const auto side = static_cast<std::size_t>(options.count("side", 2));
  const double step = 2.0 / static_cast<double>(side - 1);
  const MapGrid grid{-1.0, 0.0, step, step, side, side};
  const Interpolated map = map_of(options, merged(raw), grid);
  const double end = seconds();
  double squares = 0.0;
  double stated = 0.0;
  double flow = 0.0;
  for (std::size_t i = 0; i < map.value.size(); ++i) {
    const double error = map.value[i] - truth_m_s(grid.at(i % side, i / side));
    squares += error * error;
    stated += map.variance[i];
    flow += map.value[i] * step * step;
  }
  const double count = static_cast<double>(map.value.size());
  constexpr double flow_m3_s = 3.0 * 0.0625 * std::numbers::pi / std::numbers::ln2;
  std::cout << "{\"read_s\": " << exactly(after_read - start)
            << ", \"seconds\": " << exactly(end - after_read)
            << ", \"rms_m_s\": " << exactly(std::sqrt(squares / count))
            << ", \"stated_m_s\": " << exactly(std::sqrt(stated / count))
            << ", \"flow_error\": " << exactly(flow / flow_m3_s - 1.0) << "}\n";
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
