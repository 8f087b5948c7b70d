// What the sweeps leave open: for known fields and their surveys, two streams that are the same
// along every sweep, no rougher than the truth, and as far apart as can be found. Whatever a method
// makes of such a survey, it is off by half the gap for one of the two.

#include "tests/bench/support/same_readings.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "tests/bench/support/cases.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"

#include <algorithm>
#include <functional>
#include <iostream>
#include <map>
#include <string>
#include <vector>

namespace sweepflux::bench {
namespace {

struct Gaps {
  std::vector<double> flow, momentum;
};

Gaps gaps_of(const test::KnownField& field, int heights, int surveys, const Options& options) {
  Gaps gaps{std::vector<double>(static_cast<std::size_t>(surveys)),
            std::vector<double>(static_cast<std::size_t>(surveys))};
  parallel_for(gaps.flow.size(), options.count("threads", 1), [&](std::size_t i) {
    test::SurveyPlan plan;
    plan.count = heights;
    plan.seed = case_seed(field.name, heights, static_cast<int>(i) + 1);
    const double step_m = options.number("step");
    gaps.flow[i] = same_readings(field, plan, Integral::volume_flow, step_m).half_gap();
    gaps.momentum[i] = same_readings(field, plan, Integral::momentum, step_m).half_gap();
  });
  return gaps;
}

/// "textbook", "irregular", "drawn", or names; what drifts along is no question here.
std::vector<const test::KnownField*> chosen_fields(const std::vector<std::string>& words) {
  std::vector<const test::KnownField*> chosen;
  const auto add = [&](const test::KnownField& field, const std::string& group) {
    if (field.co_flow_m_s == 0.0 &&
        std::any_of(words.begin(), words.end(), [&](const std::string& word) {
          return word == group || word == field.name;
        })) {
      chosen.push_back(&field);
    }
  };
  for (const test::KnownField& field : test::known_fields()) {
    add(field, field.irregular ? "irregular" : "textbook");
  }
  for (const test::KnownField& field : test::drawn_fields()) {
    add(field, "drawn");
  }
  if (chosen.empty()) {
    throw InputError("--truths: textbook, irregular, drawn, or names of the scoreboard");
  }
  return chosen;
}

std::vector<std::string> row_of(std::vector<double> gaps, double beyond) {
  std::sort(gaps.begin(), gaps.end());
  const auto over = std::count_if(gaps.begin(), gaps.end(), [=](double g) { return g > beyond; });
  return {per_cent(gaps.front()),
          per_cent(gaps[gaps.size() / 2]),
          per_cent(gaps.back()),
          std::to_string(over)};
}

/// What the 90th percentile of any method is at least, over both streams of every survey: each
/// survey has one of its two beyond its own half gap, and here more than a fifth of the surveys,
/// so more than a tenth of the cases.
double least_p90(std::vector<double> gaps) {
  std::sort(gaps.begin(), gaps.end(), std::greater<>());
  return gaps[gaps.size() / 5];
}

int work(int argc, const char* const* argv) {
  const Options options(argc,
                        argv,
                        {{"heights", "5,7,9"},
                         {"seeds", "5"},  // surveys a truth: the scoreboard's first ones
                         {"truths", "irregular"},
                         {"step", "0.03"},    // of the grid [m]
                         {"beyond", "0.09"},  // surveys counted whose half gap is larger
                         {"threads", "2"}});
  std::cout << options.all() << "\n\n";
  TextTable table({"truth",
                   "heights",
                   "Q least",
                   "median",
                   "most",
                   "beyond",
                   "M least",
                   "median",
                   "most",
                   "beyond"});
  std::map<int, Gaps> of_all;
  for (const test::KnownField* one : chosen_fields(options.texts("truths"))) {
    const test::KnownField& field = *one;
    for (const int heights : options.counts("heights", 2)) {
      const Gaps gaps = gaps_of(field, heights, options.count("seeds", 1), options);
      Gaps& all = of_all[heights];
      all.flow.insert(all.flow.end(), gaps.flow.begin(), gaps.flow.end());
      all.momentum.insert(all.momentum.end(), gaps.momentum.begin(), gaps.momentum.end());
      std::vector<std::string> row = {field.name, std::to_string(heights)};
      for (const auto& part : {row_of(gaps.flow, options.number("beyond")),
                               row_of(gaps.momentum, options.number("beyond"))}) {
        row.insert(row.end(), part.begin(), part.end());
      }
      table.add(row);
    }
  }
  std::cout << table.text() << '\n';
  for (const auto& [heights, all] : of_all) {
    std::cout << heights
              << " heights, both streams of every survey, 90th percentile of any method: Q "
              << per_cent(least_p90(all.flow)) << " or more, M "
              << per_cent(least_p90(all.momentum)) << " or more\n";
  }
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
