// Does a plan pay? Known fields, measured sweep by sweep as a strategy says, mapped after some of
// the sweeps, and held against the truth; beside it the same minutes spent on even heights and on
// random ones.

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/strategies.hpp"
#include "tests/bench/support/text_table.hpp"

#include <algorithm>
#include <cmath>
#include <iostream>
#include <map>
#include <string>
#include <vector>

namespace sweepflux::bench {
namespace {

using test::median;
using test::quantile;
using test::summarise;

Options read_options(int argc, const char* const* argv) {
  return {argc,
          argv,
          {{"strategies", "planned,planned-once,even,even-plan-stops,random,fixed-order"},
           {"truths", "all"},  // all, textbook, irregular, or names; never those with co-flow
           {"seeds", "10"},
           {"counts", "2,3,4,5,6,7,8,9"},  // sweeps after which to map
           {"look", "3,5"},                // counts that the first table shows
           {"mode", "straight"},
           {"scale", "0"},  // an error common to all sweeps is no fault of a plan
           {"offset", "0"},
           {"off", "0.06"},  // m: jet's middle off the outlet's axis, standard deviation
           {"threads", "2"},
           {"csv", ""}}};
}

/// One day: a truth, a seed, a strategy, all the counts.
struct Day {
  const test::KnownField* field = nullptr;
  int number = 0;
  NamedStrategy strategy;
  std::vector<Stage> stages;  // one a count
};

bool wanted_field(const test::KnownField& field, const std::vector<std::string>& words) {
  const auto has = [&](const std::string& word) {
    return std::find(words.begin(), words.end(), word) != words.end();
  };
  return field.co_flow_m_s == 0.0 &&
         (has("all") || has(field.name) || has(field.irregular ? "irregular" : "textbook"));
}

std::vector<Day> make_days(const Options& options) {
  std::vector<Day> days;
  for (const std::string& name : options.texts("strategies")) {
    const NamedStrategy strategy = strategy_from(name);
    for (const test::KnownField& field : test::known_fields()) {
      for (int number = 1; number <= options.count("seeds", 1); ++number) {
        if (wanted_field(field, options.texts("truths"))) {
          days.push_back({&field, number, strategy, {}});
        }
      }
    }
  }
  if (days.empty()) {
    throw InputError("--truths: no such field");
  }
  return days;
}

void live(Day& day, const Options& options) {
  test::SurveyPlan plan;
  plan.motion = options.text("mode") == "swivel" ? Motion::swivel : Motion::traverse;
  plan.scale_uncertainty = options.number("scale");
  plan.offset_uncertainty_m_s = options.number("offset");
  plan.seed = case_seed(day.field->name, 0, day.number);
  const Scene scene = make_scene(*day.field, plan, options.number("off"));
  std::vector<int> counts = options.counts("counts", 1);
  std::sort(counts.begin(), counts.end());
  if (day.strategy.nested) {
    day.stages = live_through(scene, day.strategy, counts);
    return;
  }
  for (const int count : counts) {
    day.stages.push_back(live_through(scene, day.strategy, {count}).front());
  }
}

/// All stages of one strategy and one truth (or all truths, for an empty name).
std::vector<const Stage*> stages_of(const std::vector<Day>& days,
                                    const std::string& strategy,
                                    const std::string& truth,
                                    std::size_t index) {
  std::vector<const Stage*> stages;
  for (const Day& day : days) {
    if (day.strategy.name == strategy && (truth.empty() || day.field->name == truth)) {
      stages.push_back(&day.stages.at(index));
    }
  }
  return stages;
}

/// |error| of M; a refusal counts as larger than any.
std::vector<double> errors_of(const std::vector<const Stage*>& stages) {
  std::vector<double> errors;
  for (const Stage* stage : stages) {
    errors.push_back(stage->score ? std::abs(stage->score->momentum.error) : 1e9);
  }
  return errors;
}

std::string error_text(double error) { return error > 1e6 ? "refused" : per_cent(error); }

std::vector<std::string> truth_names(const std::vector<Day>& days) {
  std::vector<std::string> names;
  for (const Day& day : days) {
    if (std::find(names.begin(), names.end(), day.field->name) == names.end()) {
      names.push_back(day.field->name);
    }
  }
  return names;
}

std::string error_table(const std::vector<Day>& days,
                        const std::vector<std::string>& strategies,
                        const std::vector<int>& counts,
                        const std::vector<int>& look) {
  std::vector<std::string> heading{"truth"};
  for (const std::string& strategy : strategies) {
    for (const int count : look) {
      heading.push_back(strategy + " " + std::to_string(count));
    }
  }
  TextTable table(heading);
  std::vector<std::string> truths = truth_names(days);
  truths.emplace_back();
  for (const std::string& truth : truths) {
    std::vector<std::string> row{truth.empty() ? "all" : truth};
    for (const std::string& strategy : strategies) {
      for (const int count : look) {
        const auto at = std::find(counts.begin(), counts.end(), count) - counts.begin();
        const auto stages = stages_of(days, strategy, truth, static_cast<std::size_t>(at));
        row.push_back(error_text(median(errors_of(stages))));
      }
    }
    table.add(row);
  }
  return table.text();
}

/// Median minutes of the first count from which on nine of ten days are within 5 %.
std::string minutes_to_five(const std::vector<Day>& days,
                            const std::string& strategy,
                            const std::string& truth,
                            std::size_t counts) {
  std::string minutes = "never";
  for (std::size_t i = counts; i-- > 0;) {
    const auto stages = stages_of(days, strategy, truth, i);
    std::vector<double> clock;
    for (const Stage* stage : stages) {
      clock.push_back(stage->minutes);
    }
    const auto errors = errors_of(stages);
    const auto good =
        std::count_if(errors.begin(), errors.end(), [](double e) { return e <= 0.05; });
    if (static_cast<double>(good) < 0.9 * static_cast<double>(errors.size())) {
      break;
    }
    minutes = fixed(median(clock), 0);
  }
  return minutes;
}

std::string minutes_table(const std::vector<Day>& days,
                          const std::vector<std::string>& strategies,
                          std::size_t counts) {
  std::vector<std::string> heading{"truth"};
  heading.insert(heading.end(), strategies.begin(), strategies.end());
  TextTable table(heading);
  std::vector<std::string> truths = truth_names(days);
  truths.emplace_back();
  for (const std::string& truth : truths) {
    std::vector<std::string> row{truth.empty() ? "all" : truth};
    for (const std::string& strategy : strategies) {
      row.push_back(minutes_to_five(days, strategy, truth, counts));
    }
    table.add(row);
  }
  return table.text();
}

std::string honesty_table(const std::vector<Day>& days,
                          const std::vector<std::string>& strategies,
                          const std::vector<int>& counts) {
  TextTable table({"strategy",
                   "sweeps",
                   "minutes",
                   "refused",
                   "M med",
                   "p90",
                   "cov",
                   "predicted/found med",
                   "p10",
                   "p90",
                   "rms error/predicted"});
  for (const std::string& strategy : strategies) {
    for (std::size_t i = 0; i < counts.size(); ++i) {
      std::vector<double> ratio, clock, error_over;
      std::vector<Answer> answers;
      const auto stages = stages_of(days, strategy, "", i);
      for (const Stage* stage : stages) {
        clock.push_back(stage->minutes);
        if (!stage->score) {
          continue;
        }
        answers.push_back(stage->score->momentum);
        if (stage->predicted_momentum_sd) {
          ratio.push_back(*stage->predicted_momentum_sd / stage->score->momentum.sd);
          error_over.push_back(
              std::pow(stage->score->momentum.error / *stage->predicted_momentum_sd, 2));
        }
      }
      const Summary summary = summarise(answers);
      double mean = 0.0;
      for (const double e : error_over) {
        mean += e / static_cast<double>(error_over.size());
      }
      table.add({strategy,
                 std::to_string(counts[i]),
                 fixed(median(clock), 0),
                 std::to_string(stages.size() - answers.size()),
                 per_cent(summary.median_error),
                 per_cent(summary.p90_error),
                 per_cent(summary.coverage, 0),
                 fixed(median(ratio), 2),
                 fixed(quantile(ratio, 0.1), 2),
                 fixed(quantile(ratio, 0.9), 2),
                 error_over.empty() ? "-" : fixed(std::sqrt(mean), 2)});
    }
  }
  return table.text();
}

/// The errors after `count` sweeps of a strategy, beside those of another that had the same
/// minutes.
std::string equal_minutes_table(const std::vector<Day>& days,
                                const std::vector<std::string>& strategies,
                                const std::vector<int>& counts,
                                const std::vector<int>& look) {
  const auto clock = [&](const std::string& strategy, std::size_t i) {
    std::vector<double> minutes;
    for (const Stage* stage : stages_of(days, strategy, "", i)) {
      minutes.push_back(stage->minutes);
    }
    return median(minutes);
  };
  TextTable table({"strategy", "beside", "sweeps", "minutes", "M med", "p90"}, 2);
  for (const std::string& strategy : strategies) {
    for (const int count : look) {
      const auto at = std::find(counts.begin(), counts.end(), count) - counts.begin();
      const double budget = clock(strategy, static_cast<std::size_t>(at));
      for (const std::string& other : strategies) {
        std::size_t most = counts.size();
        for (std::size_t i = 0; i < counts.size(); ++i) {
          most = clock(other, i) <= budget * 1.001 ? i : most;
        }
        if (most == counts.size()) {
          continue;  // not even the smallest count fits
        }
        const auto errors = errors_of(stages_of(days, other, "", most));
        table.add({strategy + " " + std::to_string(count),
                   other,
                   std::to_string(counts[most]),
                   fixed(clock(other, most), 0),
                   error_text(median(errors)),
                   error_text(quantile(errors, 0.9))});
      }
    }
  }
  return table.text();
}

std::string stages_csv(const std::vector<Day>& days) {
  std::string csv = csv_row({"strategy",
                             "truth",
                             "seed",
                             "sweeps",
                             "height_m",
                             "minutes",
                             "predicted_sd",
                             "found_sd",
                             "momentum_error",
                             "flow_error"});
  for (const Day& day : days) {
    for (const Stage& stage : day.stages) {
      csv += csv_row({day.strategy.name,
                      day.field->name,
                      std::to_string(day.number),
                      std::to_string(stage.sweeps),
                      fixed(stage.height_m, 3),
                      fixed(stage.minutes, 2),
                      stage.predicted_momentum_sd ? exactly(*stage.predicted_momentum_sd) : "",
                      stage.score ? exactly(stage.score->momentum.sd) : "",
                      stage.score ? exactly(stage.score->momentum.error) : "",
                      stage.score ? exactly(stage.score->flow.error) : ""});
    }
  }
  return csv;
}

int work(int argc, const char* const* argv) {
  const Options options = read_options(argc, argv);
  std::vector<Day> days = make_days(options);
  parallel_for(
      days.size(), options.count("threads", 1), [&](std::size_t i) { live(days[i], options); });
  const std::vector<std::string> strategies = options.texts("strategies");
  std::vector<int> counts = options.counts("counts", 1);
  std::sort(counts.begin(), counts.end());
  std::vector<int> look;
  for (const int count : options.counts("look", 1)) {
    if (std::find(counts.begin(), counts.end(), count) != counts.end()) {
      look.push_back(count);
    }
  }
  std::cout << "sweepflux plan study: " << options.all()
            << "\n\nMedian |error| of M [%] after so many sweeps\n"
            << error_table(days, strategies, counts, look)
            << "\nErrors of M [%] where each strategy had the minutes of the first\n"
            << equal_minutes_table(days, strategies, counts, look)
            << "\nMinutes until M is within 5 % of the truth on nine days of ten, and stays so\n"
            << minutes_table(days, strategies, counts.size())
            << "\nAll truths: errors [%], and the uncertainty predicted against the one found\n"
            << honesty_table(days, strategies, counts);
  if (!options.text("csv").empty()) {
    write_whole_file(options.text("csv"), stages_csv(days));
  }
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
