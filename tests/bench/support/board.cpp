#include "tests/bench/support/board.hpp"

#include "sweepflux/base/parallel.hpp"
#include "tests/bench/support/text_table.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <iostream>
#include <unistd.h>
#include <utility>

namespace sweepflux::bench {
namespace {

using test::median;
using test::summarise;

struct Pile {
  std::vector<std::string> key;
  std::vector<Answer> flow;
  std::vector<Answer> momentum;
  std::size_t refused = 0;
  std::vector<double> seconds;
};

Pile& pile_for(std::vector<Pile>& piles, const std::vector<std::string>& key) {
  const auto found =
      std::find_if(piles.begin(), piles.end(), [&](const Pile& pile) { return pile.key == key; });
  if (found != piles.end()) {
    return *found;
  }
  piles.emplace_back();
  piles.back().key = key;
  return piles.back();
}

void add_quantity(std::vector<std::string>& row, const std::vector<Answer>& answers, double near) {
  if (answers.empty()) {
    row.insert(row.end(), 8, "-");
    return;
  }
  const Summary s = summarise(answers);
  std::size_t within = 0;
  for (const Answer& answer : answers) {
    within += std::abs(answer.error) <= near ? 1U : 0U;
  }
  row.push_back(per_cent(s.median_error));
  row.push_back(per_cent(s.p90_error));
  row.push_back(per_cent(s.bias));
  row.push_back(per_cent(static_cast<double>(within) / static_cast<double>(answers.size()), 0));
  row.push_back(per_cent(s.coverage, 0));
  row.push_back(per_cent(s.half_width));
  row.push_back(per_cent(s.mean_score));
  row.push_back(fixed(s.error_over_sd, 2));
}

std::vector<std::string> csv_cells(std::size_t index, const Case& one) {
  return {std::to_string(index),
          method_name(one.method),
          one.variant,
          one.group,
          one.field->name,
          one.plan.motion == Motion::swivel ? "swivel" : "straight",
          std::to_string(one.plan.count),
          std::to_string(one.plan.seed)};
}

void add_answer(std::vector<std::string>& row, const Answer& answer) {
  for (const double value : {answer.error, answer.low, answer.high, answer.sd}) {
    row.push_back(exactly(value));
  }
}

}  // namespace

const char* const board_legend =
    "All in per cent of the truth. med, p90: median and 90th percentile of |error|; bias: median\n"
    "error; near: share of cases with Q within 10 %, M within 5 %; cov: share of stated 95 %\n"
    "intervals that hold the truth; +-: median half width of the interval; score: mean interval\n"
    "score [Winkler 1972], small is good; e/s: rms of error over stated standard uncertainty.\n"
    "Refused planes are in no other column.\n";

std::vector<CaseScore> score_all(const std::vector<Case>& cases, int threads) {
  std::vector<CaseScore> scores(cases.size());
  std::atomic<std::size_t> done{0};
  const bool show = isatty(STDERR_FILENO) == 1;
  parallel_for(cases.size(), threads, [&](std::size_t i) {
    scores[i] = score_case(cases[i]);
    const std::size_t now = ++done;
    if (show) {
      std::cerr << '\r' + std::to_string(now) + " of " + std::to_string(cases.size()) + " cases";
    }
  });
  if (show) {
    std::cerr << '\n';
  }
  return scores;
}

std::string board(const std::vector<std::string>& key_heading,
                  const std::vector<Scored>& scored,
                  const std::function<std::vector<std::string>(const Case&)>& key) {
  std::vector<Pile> piles;
  for (const Scored& entry : scored) {
    const std::vector<std::string> cells = key(*entry.one);
    if (cells.empty()) {
      continue;
    }
    Pile& pile = pile_for(piles, cells);
    pile.refused += entry.score->refused_planes;
    pile.seconds.push_back(entry.score->seconds);
    for (const PlaneScore& plane : entry.score->planes) {
      pile.flow.push_back(plane.flow);
      pile.momentum.push_back(plane.momentum);
    }
  }
  std::vector<std::string> heading = key_heading;
  heading.insert(heading.end(), {"planes", "refused", "| Q med", "p90", "bias", "near", "cov"});
  heading.insert(heading.end(), {"+-", "score", "e/s", "| M med", "p90", "bias", "near", "cov"});
  heading.insert(heading.end(), {"+-", "score", "e/s", "| s/case"});
  TextTable table(heading, key_heading.size());
  for (const Pile& pile : piles) {
    std::vector<std::string> row = pile.key;
    row.push_back(std::to_string(pile.flow.size()));
    row.push_back(std::to_string(pile.refused));
    add_quantity(row, pile.flow, 0.10);
    add_quantity(row, pile.momentum, 0.05);
    row.push_back(fixed(median(pile.seconds), 2));
    table.add(std::move(row));
  }
  return table.text();
}

std::string scores_csv(const std::vector<Scored>& scored) {
  std::string csv = csv_row({"case",
                             "method",
                             "variant",
                             "group",
                             "truth",
                             "motion",
                             "heights",
                             "seed",
                             "distance_m",
                             "flow_error",
                             "flow_low",
                             "flow_high",
                             "flow_sd",
                             "momentum_error",
                             "momentum_low",
                             "momentum_high",
                             "momentum_sd",
                             "seconds",
                             "refused"});
  for (std::size_t i = 0; i < scored.size(); ++i) {
    const CaseScore& score = *scored[i].score;
    for (const PlaneScore& plane : score.planes) {
      std::vector<std::string> row = csv_cells(i, *scored[i].one);
      row.push_back(exactly(plane.distance_m));
      add_answer(row, plane.flow);
      add_answer(row, plane.momentum);
      row.push_back(fixed(score.seconds, 3));
      row.emplace_back();
      csv += csv_row(row);
    }
    if (!score.refused.empty()) {
      std::vector<std::string> row = csv_cells(i, *scored[i].one);
      row.resize(17);
      row.push_back(fixed(score.seconds, 3));
      row.push_back(score.refused);
      csv += csv_row(row);
    }
  }
  return csv;
}

}  // namespace sweepflux::bench
