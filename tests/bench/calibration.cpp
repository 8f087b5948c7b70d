// Simulation-based calibration [Talts 2018]: streams drawn from the model's own prior, measured,
// and sampled. Where the truth stands among its draws is even from 0 to 1 when the sampler is
// right.

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"
#include "tests/support/prior_truth.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <iostream>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux::bench {
namespace {

struct Outcome {
  std::array<double, 3> rank{};  ///< of flow, momentum flux, kinetic power
  int cores = 0;                 ///< of the truth
  double share = 0.0;            ///< of draws with as many
  double seconds = 0.0;
};

/// At the last of the distances.
Outcome outcome_of(const Outlet& outlet,
                   int heights,
                   const std::vector<double>& distances_m,
                   std::uint64_t seed,
                   int draws) {
  const test::PriorTruth truth = test::draw_prior_truth(outlet, heights, seed, distances_m);
  PosteriorOptions options;
  options.threads = 1;
  options.draws = static_cast<std::size_t>(draws);
  options.prior_speed_m_s = test::prior_truth_speed_m_s;
  const auto start = std::chrono::steady_clock::now();
  const StreamPosterior posterior = StreamPosterior::sample(truth.planes, outlet, options);
  const PlaneDraws drawn = integrate_draws(posterior, distances_m.size() - 1, Window{}, Probe{}, 1);
  Outcome out;
  out.cores = truth.stream.extras(0).cores;
  for (std::size_t d = 0; d < posterior.draws(); ++d) {
    out.share +=
        posterior.extras(d).cores == out.cores ? 1.0 / static_cast<double>(posterior.draws()) : 0.0;
  }
  out.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  for (std::size_t k = 0; k < out.rank.size(); ++k) {
    std::vector<double> values;
    for (const Triple& one : drawn.whole) {
      values.push_back(one[k]);
    }
    out.rank[k] = test::rank_of(truth.exact.back()[k], values);
  }
  return out;
}

/// Share of truths within the interval of this probability.
double coverage(const std::vector<double>& ranks, double probability) {
  const double tail = 0.5 * (1.0 - probability);
  const auto held = std::count_if(
      ranks.begin(), ranks.end(), [&](double r) { return r >= tail && r <= 1.0 - tail; });
  return static_cast<double>(held) / static_cast<double>(ranks.size());
}

int work(int argc, const char* const* argv) {
  const Options options(argc,
                        argv,
                        {{"outlet", "round,slot"},
                         {"heights", "3,5,9"},
                         {"distances", "1.8"},
                         {"truths", "200"},
                         {"first", "1"},  // seed of the first
                         {"draws", "640"},
                         {"bins", "10"},
                         {"threads", "2"},
                         {"csv", ""}});  // a row a truth
  TextTable table({"outlet", "heights", "of", "chi-square", "50 %", "80 %", "95 %", "s each"}, 3);
  std::string csv =
      "outlet,heights,seed,cores,share_of_cores,flow_rank,momentum_rank,power_rank,seconds\n";
  const int bins = options.count("bins", 2);
  for (const std::string& name : options.texts("outlet")) {
    if (name != "round" && name != "slot") {
      throw InputError("--outlet: round, slot, or both");
    }
    const Outlet outlet = name == "slot" ? test::slot_outlet() : test::round_outlet();
    for (const int heights : options.counts("heights", 1)) {
      std::vector<Outcome> outcomes(static_cast<std::size_t>(options.count("truths", 1)));
      const auto first = static_cast<std::uint64_t>(options.count("first"));
      const int draws = options.count("draws", 2);
      parallel_for(outcomes.size(), options.count("threads", 1), [&](std::size_t i) {
        outcomes[i] =
            outcome_of(outlet, heights, options.numbers("distances"), first + i, draws);
      });
      double seconds = 0.0;
      for (std::size_t i = 0; i < outcomes.size(); ++i) {
        const Outcome& o = outcomes[i];
        seconds += o.seconds / static_cast<double>(outcomes.size());
        csv += csv_row({name,
                        std::to_string(heights),
                        std::to_string(first + i),
                        std::to_string(o.cores),
                        fixed(o.share, 3),
                        exactly(o.rank[0]),
                        exactly(o.rank[1]),
                        exactly(o.rank[2]),
                        fixed(o.seconds, 3)});
      }
      constexpr std::array<const char*, 3> names = {"Q", "M", "P"};
      for (std::size_t k = 0; k < names.size(); ++k) {
        std::vector<double> ranks;
        for (const Outcome& o : outcomes) {
          ranks.push_back(o.rank[k]);
        }
        table.add({name,
                   std::to_string(heights),
                   names[k],
                   fixed(test::chi_square(ranks, bins), 1),
                   fixed(coverage(ranks, 0.5), 3),
                   fixed(coverage(ranks, 0.8), 3),
                   fixed(coverage(ranks, 0.95), 3),
                   fixed(seconds, 2)});
      }
    }
  }
  if (!options.text("csv").empty()) {
    write_whole_file(options.text("csv"), csv);
  }
  std::cout << "sweepflux calibration: " << options.all()
            << "\n\nRanks of the truth among its draws: chi-square over " << bins << " bins ("
            << bins - 1
            << " degrees of freedom, so about that\nwhen all is well), and how often the central "
               "intervals hold.\n\n"
            << table.text();
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
