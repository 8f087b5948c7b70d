// How far the readings themselves reach: streams drawn from a known population, measured, and
// answered twice, by sweepflux, which knows nothing of the population, and by Bayes' rule for one
// who knows all of it. No method has a smaller mean error than the second over many streams.

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "tests/bench/support/best_answer.hpp"
#include "tests/bench/support/cases.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"
#include "tests/support/dice.hpp"
#include "tests/support/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <iostream>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux::bench {
namespace {

constexpr double fan_off_sd_m_s = 0.01;

struct Room {
  std::string word;
  double drift_sd_m_s = 0.0;
  bool read = false;
};

struct Place {
  int stream = 0;
  int survey = 0;  ///< of the same stream: other heights, other noise
};

/// Flow and momentum as one of the two sees them.
struct Side {
  Answer flow, momentum;
};

struct Outcome {
  Place place;
  Side best;  ///< of one who knows the population
  Side ours;
  double halves_apart = 0.0;  ///< of the chain, momentum
  bool refused = false;       ///< by sweepflux, with cause; then neither side counts
};

Answer of(const Posterior& p, double truth) {
  return {p.median / truth - 1.0, p.low_95 / truth - 1.0, p.high_95 / truth - 1.0, p.sd / truth};
}

Outcome answer(const std::string& kind, const Room& room, int heights, Place place, int steps) {
  const auto stream_seed = static_cast<std::uint64_t>(place.stream);
  const std::uint64_t seed = 1000003 * stream_seed + 1009 * static_cast<unsigned>(heights) +
                             10 * static_cast<unsigned>(place.survey);
  const StreamPopulation population = stream_population(kind, room.drift_sd_m_s);
  const Numbers truth = draw_stream(population, stream_seed);
  const test::KnownField field = known_field_of(population, truth);
  Case one;
  one.field = &field;
  test::SurveyPlan& plan = one.plan;
  plan.motion = Motion::traverse;
  plan.count = heights;
  plan.seed = seed;
  plan.scale_uncertainty = 0.0;
  plan.offset_uncertainty_m_s = 0.0;
  plan.thrust = false;
  if (room.read) {
    test::Dice dice(seed + 1);
    plan.ambient_speed_m_s =
        Measured{field.co_flow_m_s + dice.normal(fan_off_sd_m_s), fan_off_sd_m_s};
  }
  const CaseScore score = score_case(one);
  if (score.planes.empty()) {
    return {place, {}, {}, 0.0, true};
  }
  const BestAnswer best =
      best_answer(population, truth, test::make_survey(field, plan), plan, steps, seed + 2);
  const test::ExactFlux exact = field.exact(test::known_field_distance_m);
  return {place,
          {of(best.volume_flow_m3_s, exact.volume_flow_m3_s),
           of(best.momentum_over_density_m4_s2, exact.momentum_over_density_m4_s2)},
          {score.planes.front().flow, score.planes.front().momentum},
          best.momentum_over_density_m4_s2.halves_apart,
          false};
}

std::vector<Outcome> answer_all(const Options& options, const Room& room, int heights) {
  std::vector<Outcome> outcomes;
  for (int stream = 1; stream <= options.count("streams", 1); ++stream) {
    for (int survey = 1; survey <= options.count("surveys", 1); ++survey) {
      outcomes.push_back({{stream, survey}, {}, {}, 0.0, false});
    }
  }
  const std::string& kind = options.text("population");
  const int steps = options.count("steps", 1000);
  parallel_for(outcomes.size(), options.count("threads", 1), [&](std::size_t i) {
    outcomes[i] = answer(kind, room, heights, outcomes[i].place, steps);
  });
  if (std::all_of(outcomes.begin(), outcomes.end(), [](const Outcome& o) { return o.refused; })) {
    throw NumericalError("sweepflux refused every survey of " + std::to_string(heights) +
                         " heights; ask for more heights or streams");
  }
  return outcomes;
}

/// Share of the streams whose interval holds the truth in fewer than 80 % of their surveys.
double seldom_held(const std::vector<Place>& places, const std::vector<Answer>& answers) {
  std::map<int, std::pair<int, int>> held;
  for (std::size_t i = 0; i < places.size(); ++i) {
    auto& [yes, all] = held[places[i].stream];
    yes += answers[i].covered() ? 1 : 0;
    ++all;
  }
  const auto seldom = std::count_if(held.begin(), held.end(), [](const auto& one) {
    return one.second.first < 0.8 * one.second.second;
  });
  return static_cast<double>(seldom) / static_cast<double>(held.size());
}

void add_quantity(std::vector<std::string>& row,
                  const std::vector<Place>& places,
                  const std::vector<Answer>& answers) {
  double mean = 0.0;
  for (const Answer& one : answers) {
    mean += std::abs(one.error) / static_cast<double>(answers.size());
  }
  const Summary s = test::summarise(answers);
  row.insert(row.end(),
             {per_cent(s.median_error),
              per_cent(s.p90_error),
              per_cent(mean),
              per_cent(s.coverage, 0),
              per_cent(seldom_held(places, answers), 0),
              per_cent(s.half_width),
              per_cent(s.mean_score)});
}

void add_rows(TextTable& table,
              const std::vector<std::string>& key,
              std::vector<Outcome> outcomes) {
  const auto refused = std::erase_if(outcomes, [](const Outcome& one) { return one.refused; });
  double apart = 0.0;
  std::vector<Place> places;
  for (const Outcome& one : outcomes) {
    places.push_back(one.place);
    apart += one.halves_apart * one.halves_apart / static_cast<double>(outcomes.size());
  }
  for (const auto& [whose, side] :
       {std::pair{"best", &Outcome::best}, {"sweepflux", &Outcome::ours}}) {
    std::vector<Answer> flow, momentum;
    for (const Outcome& one : outcomes) {
      flow.push_back((one.*side).flow);
      momentum.push_back((one.*side).momentum);
    }
    std::vector<std::string> row = key;
    row.emplace_back(whose);
    add_quantity(row, places, flow);
    add_quantity(row, places, momentum);
    row.push_back(side == &Outcome::best ? fixed(std::sqrt(apart), 2) : "");
    row.push_back(side == &Outcome::ours ? std::to_string(refused) : "");
    table.add(std::move(row));
  }
}

void add_csv(std::string& csv,
             const std::vector<std::string>& key,
             const std::vector<Outcome>& outcomes) {
  for (const Outcome& one : outcomes) {
    if (one.refused) {
      csv += csv_row({key[0],
                      key[1],
                      std::to_string(one.place.stream),
                      std::to_string(one.place.survey),
                      "refused"});
      continue;
    }
    for (const auto& [whose, side] : {std::pair{"best", &one.best}, {"sweepflux", &one.ours}}) {
      std::vector<std::string> row = key;
      row.insert(row.end(),
                 {std::to_string(one.place.stream), std::to_string(one.place.survey), whose});
      for (const Answer& a : {side->flow, side->momentum}) {
        row.insert(row.end(), {exactly(a.error), exactly(a.low), exactly(a.high)});
      }
      csv += csv_row(row);
    }
  }
}

Room room_called(const std::string& word, double drift_sd_m_s) {
  if (word == "still") {
    return {word, 0.0, false};
  }
  if (word != "unread" && word != "read") {
    throw InputError("--rooms: still, unread, read");
  }
  return {word, drift_sd_m_s, word == "read"};
}

int work(int argc, const char* const* argv) {
  const Options options(argc,
                        argv,
                        {{"population", "cores"},  // or patches
                         {"rooms", "still,unread,read"},
                         {"drift", "0.03"},  // m/s, standard deviation over the rooms not still
                         {"heights", "3,5,7,9"},
                         {"streams", "60"},
                         {"surveys", "1"},    // of each
                         {"steps", "40000"},  // of the chain, a survey
                         {"threads", "2"},
                         {"csv", ""}});  // a row an answer
  std::string csv =
      "room,heights,stream,survey,whose,flow_error,flow_low,flow_high,"
      "momentum_error,momentum_low,momentum_high\n";
  std::vector<std::string> heading{"room", "heights", "whose"};
  for (const char* quantity : {"| Q med", "| M med"}) {
    heading.insert(heading.end(), {quantity, "p90", "mean", "cov", "<80", "+-", "score"});
  }
  heading.emplace_back("| apart");
  heading.emplace_back("refused");
  TextTable table(heading, 3);
  for (const std::string& word : options.texts("rooms")) {
    const Room room = room_called(word, options.number("drift"));
    for (const int heights : options.counts("heights", 2)) {
      const std::vector<std::string> key{word, std::to_string(heights)};
      const std::vector<Outcome> outcomes = answer_all(options, room, heights);
      add_rows(table, key, outcomes);
      add_csv(csv, key, outcomes);
    }
  }
  if (!options.text("csv").empty()) {
    write_whole_file(options.text("csv"), csv);
  }
  std::cout
      << "sweepflux best reachable: " << options.all()
      << "\n\nAll in per cent of the truth: median, 90th percentile and mean of |error|, coverage "
         "of\n"
         "the 95 % interval, share of the streams whose interval holds in fewer than 80 % of "
         "their\n"
         "surveys, its median half width and mean interval score. best: who knows how streams\n"
         "and noise were drawn; apart: how far the medians of two halves of its chain differ,\n"
         "rms, in standard deviations; 0.3 makes the best about 1 % worse. Rooms: still, drifting\n"
         "with the drift unread, drifting with it read. What sweepflux refuses counts for "
         "neither.\n\n"
      << table.text();
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
