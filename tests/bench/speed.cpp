// How long does a map take, and how much memory? Medians of several runs on one thread and on all;
// nothing here passes or fails. Run it on a quiet machine.

#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"
#include "tests/support/make_survey.hpp"
#include "tests/support/statistics.hpp"

#include <chrono>
#include <functional>
#include <iostream>
#include <stdexcept>
#include <string>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>
#include <vector>

namespace sweepflux::bench {
namespace {

using test::median;
using test::quantile;

struct Job {
  std::string name;
  std::size_t readings = 0;
  std::function<void()> run;
};

/// Seconds of one run and the peak of memory [MB] of a process that does it alone.
struct Cost {
  std::vector<double> seconds;
  double peak_mb = 0.0;
};

double seconds_of(const std::function<void()>& run) {
  const auto start = std::chrono::steady_clock::now();
  run();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// In a child, since a process never forgets its peak. Times come back through a pipe.
Cost measure(const Job& job, int runs) {
  int ends[2];
  if (pipe(ends) != 0) {
    throw std::runtime_error("no pipe");
  }
  const pid_t child = fork();
  if (child < 0) {
    throw std::runtime_error("no child process");
  }
  if (child == 0) {
    int status = 0;
    try {
      for (int i = 0; i < runs; ++i) {
        const double seconds = seconds_of(job.run);
        if (write(ends[1], &seconds, sizeof seconds) != sizeof seconds) {
          status = 1;
        }
      }
    } catch (const std::exception& error) {
      std::cerr << job.name << ": " << error.what() << '\n';
      status = 1;
    }
    _exit(status);
  }
  close(ends[1]);
  Cost cost;
  double seconds = 0.0;
  while (read(ends[0], &seconds, sizeof seconds) == sizeof seconds) {
    cost.seconds.push_back(seconds);
  }
  close(ends[0]);
  int status = 0;
  rusage used{};
  wait4(child, &status, 0, &used);
  if (status != 0) {
    cost.seconds.clear();
  }
  cost.peak_mb = static_cast<double>(used.ru_maxrss) / 1024.0;
  return cost;
}

Survey survey_of(std::vector<double> distances, int heights, int angles, const char* field) {
  test::SurveyPlan plan;
  plan.distances_m = std::move(distances);
  plan.count = heights;
  plan.angles = angles;
  return test::make_survey(test::known_field(field), plan);
}

std::size_t readings_of(const Survey& survey) {
  std::size_t count = 0;
  for (const Sweep& sweep : survey.sweeps) {
    count += sweep.readings.size();
  }
  return count;
}

Job map_job(const std::string& name, const Survey& survey, int threads, bool everything) {
  return {name, readings_of(survey), [survey, threads, everything] {
            MapOptions options;
            options.threads = threads;
            options.hold_out = everything;
            options.next_sweep = everything;
            (void)map_survey(survey, options);
          }};
}

std::vector<Job> jobs() {
  // 7 heights x 61 angles = 427 readings; the swept width of 1.60 m and a height of about 1 m make
  // a grid of 300 x 200 at a step of 5 mm.
  const Survey plane = survey_of({1.8}, 7, 61, "ellipse20");
  const Survey odd = survey_of({1.8}, 7, 61, "sheared");
  const Survey whole = survey_of({1.4, 1.8, 2.2}, 7, 61, "ellipse20");
  const Survey large = survey_of({1.8}, 30, 100, "ellipse20");
  std::vector<Job> all;
  all.push_back(
      {"samples alone, one plane", readings_of(plane), [plane] { (void)derive_samples(plane); }});
  all.push_back({"one plane, map of 5 mm", readings_of(plane), [plane] {
                   MapOptions options;
                   options.threads = 1;
                   options.hold_out = false;
                   options.next_sweep = false;
                   options.grid_step_m = 0.005;
                   (void)map_survey(plane, options);
                 }});
  all.push_back(map_job("one plane, round-ish", plane, 1, false));
  all.push_back(map_job("one plane, irregular", odd, 1, false));
  all.push_back(map_job("one plane, all that map does", plane, 1, true));
  all.push_back(map_job("three planes, one thread", whole, 1, true));
  all.push_back(map_job("three planes, all threads", whole, 0, true));
  all.push_back(map_job("3000 readings in one plane", large, 0, true));
  return all;
}

int work(int argc, const char* const* argv) {
  const Options options(argc, argv, {{"runs", "5"}});
  const int runs = options.count("runs", 1);
  TextTable table({"job", "readings", "runs", "median s", "fastest s", "slowest s", "peak MB"});
  for (const Job& job : jobs()) {
    const Cost cost = measure(job, runs);
    table.add({job.name,
               std::to_string(job.readings),
               std::to_string(cost.seconds.size()),
               fixed(median(cost.seconds), 3),
               fixed(quantile(cost.seconds, 0.0), 3),
               fixed(quantile(cost.seconds, 1.0), 3),
               fixed(cost.peak_mb, 0)});
  }
  std::cout << table.text();
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
