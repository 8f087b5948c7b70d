// How fast raw logs are reduced, and in how much memory.
//   log_reduction [million rows, else 100] [folder for the log, else the temporary one] [keep]
// Writes a log of that many rows (about 20 bytes each), reads it plainly, reduces it, prints the
// figures, removes it unless asked to keep it.

#include "sweepflux/derive/log/follow_log.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "tests/support/simulated_log.hpp"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <string>
#include <sys/resource.h>

namespace {

namespace fs = std::filesystem;

double processor_s() {
  struct timespec now {};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double most_memory_mb() {
  struct rusage usage {};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

/// Dwells of ten seconds at a hundred rows a second; the values come from one simulated sweep.
void write_log(const fs::path& file, std::size_t rows) {
  sweepflux::test::SimulatedRig rig;
  rig.rest_s = 9.7;
  rig.stops = 21;
  const auto sweep = rig.stop_and_go();
  std::ofstream out(file, std::ios::binary);
  out << "time [s],angle [deg],speed [m/s]\n";
  std::string text;
  char line[64];
  for (std::size_t i = 0; i < rows; ++i) {
    const auto& sample = sweep[i % sweep.size()];
    const int angle = static_cast<int>(i % sweep.size() / 1000) * 2 - 20;
    const int length = std::snprintf(
        line, sizeof line, "%.2f,%d,%.3f\n", 0.01 * static_cast<double>(i), angle, sample.value);
    text.append(line, static_cast<std::size_t>(length));
    if (text.size() > (1U << 20)) {
      out << text;
      text.clear();
    }
  }
  out << text;
}

/// The least that any program must do: every byte looked at once.
std::size_t count_lines(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::string piece(1U << 20, '\0');
  std::size_t lines = 0;
  while (in.read(piece.data(), static_cast<std::streamsize>(piece.size())) || in.gcount() > 0) {
    lines += static_cast<std::size_t>(
        std::count(piece.begin(), piece.begin() + static_cast<std::ptrdiff_t>(in.gcount()), '\n'));
  }
  return lines;
}

}  // namespace

int main(int argc, char** argv) {
  const double millions = argc > 1 ? std::atof(argv[1]) : 100.0;
  const fs::path folder = argc > 2 ? fs::path(argv[2]) : fs::temp_directory_path();
  const fs::path file = folder / "sweepflux-log-reduction.csv";
  const auto rows = static_cast<std::size_t>(1e6 * millions);
  write_log(file, rows);
  const double bytes = static_cast<double>(fs::file_size(file));
  const double before_mb = most_memory_mb();
  double start_s = processor_s();
  const std::size_t lines = count_lines(file);
  const double read_s = processor_s() - start_s;
  std::printf("read    %zu lines: %.2f s of one core\n", lines, read_s);
  start_s = processor_s();
  {
    const auto reduced = sweepflux::reduce_log(file, {});
    const double spent_s = processor_s() - start_s;
    std::printf(
        "reduce  %zu rows, %.0f MB, %zu readings: %.1f s of one core, %.0f MB/s, "
        "%.0f MB of memory at most (%.0f before)\n",
        reduced.counts.rows,
        bytes / 1e6,
        reduced.readings.size(),
        spent_s,
        bytes / 1e6 / spent_s,
        most_memory_mb(),
        before_mb);
  }
  // follow, fed as a logger of 1000 rows a second feeds it: a piece every tenth of a second.
  std::ifstream in(file, std::ios::binary);
  std::string piece(2000, '\0');
  sweepflux::LogFollower follower("log", {}, {});
  start_s = processor_s();
  std::size_t fed = 0;
  while (fed < 20000000 && in.read(piece.data(), static_cast<std::streamsize>(piece.size()))) {
    follower.feed(piece);
    fed += piece.size();
  }
  const double spent_s = processor_s() - start_s;
  const double seconds = static_cast<double>(follower.view().rows) / 1000.0;
  std::printf("follow  %.2f %% of a core at 1000 rows a second\n", 100.0 * spent_s / seconds);
  if (argc <= 3 || std::string(argv[3]) != "keep") {
    fs::remove(file);
  }
  return 0;
}
