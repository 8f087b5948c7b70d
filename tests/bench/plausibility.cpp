// Whether a unit that was mistaken is noticed, and whether right surveys are left in peace.
// Surveys are made in memory and held against judge/plausibility; one that it passes may still be
// refused by derive_samples, as `map` would. Thresholds were chosen on `--set train` alone.

#include "sweepflux/judge/plausibility.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/derive/sample/answerable.hpp"
#include "tests/bench/support/any_survey.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"

#include <chrono>
#include <cmath>
#include <cstdio>
#include <map>
#include <string>

namespace {

using namespace sweepflux;
using namespace sweepflux::bench;

struct Tally {
  int surveys = 0;
  int refused = 0;
  int warned = 0;
  int named = 0;  ///< of both: with the unit that it was
};

/// As the reader does with what no rig can give.
bool reader_refuses(const Survey& survey) {
  for (const Sweep& sweep : survey.sweeps) {
    for (const Reading& r : sweep.readings) {
      if (std::abs(r.speed_m_s) > 150.0 || std::abs(r.position) > 1000.0) {
        return true;
      }
    }
  }
  return false;
}

/// Whether `map` would look at the survey at all.
bool answerable(const Survey& survey) {
  try {
    (void)derive_answerable_samples(survey, Silent::refused, 1);
  } catch (const Error&) {
    return false;
  }
  return true;
}

/// @return what was said; empty: nothing
std::string judge(const Survey& survey, Tally& tally, bool sweeps_too) {
  ++tally.surveys;
  if (reader_refuses(survey)) {
    ++tally.refused;
    return "refused by the reader; is the unit right?";
  }
  const std::vector<Implausible> found = find_implausible(survey);
  if (!found.empty()) {
    ++(found.front().impossible ? tally.refused : tally.warned);
    return found.front().text;
  }
  if (sweeps_too) {
    try {
      (void)derive_answerable_samples(survey, Silent::refused, 1);
    } catch (const Error& error) {
      ++tally.refused;
      return error.what();
    }
  }
  return "";
}

int work(int argc, const char* const* argv) {
  const Options options(
      argc, argv, {{"set", "test"}, {"surveys", "1000"}, {"seed", "1"}, {"show", "no"}});
  const bool train = options.text("set") == "train";
  const Population population = train ? Population::handbook : Population::known_fields;
  const auto first = static_cast<std::uint64_t>(options.count("seed")) + (train ? 1000000 : 0);
  const bool show = options.yes("show");
  std::map<std::string, Tally> groups;
  Tally right, wrong;
  double seconds = 0.0;
  for (std::uint64_t seed = first; right.surveys < options.count("surveys", 1); ++seed) {
    const Survey survey = any_survey(population, seed);
    if (!answerable(survey)) {
      continue;  // not a right one: a plane in which nothing moved the probe, or one angle alone
    }
    const auto begin = std::chrono::steady_clock::now();
    const std::string alarm = judge(survey, right, false);
    seconds += std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    if (!alarm.empty() && show) {
      std::printf("right %lu: %s\n", static_cast<unsigned long>(seed), alarm.c_str());
    }
    Survey mistaken = survey;
    const Mistake mistake = mistake_one_unit(mistaken, seed);
    Tally& tally = groups[mistake.group];
    const std::string said = judge(mistaken, tally, true);
    if (said.find(mistake.fits) != std::string::npos) {
      ++tally.named;
    } else if (show) {
      std::printf("%s %lu, %s: %s\n",
                  said.empty() ? "MISSED" : "not named",
                  static_cast<unsigned long>(seed),
                  (mistake.group + ", " + mistake.fits).c_str(),
                  said.c_str());
    }
  }
  TextTable table({"mistaken", "surveys", "refused", "warned", "noticed %", "named %"});
  const auto row = [&](const std::string& name, const Tally& t) {
    table.add({name,
               std::to_string(t.surveys),
               std::to_string(t.refused),
               std::to_string(t.warned),
               per_cent(static_cast<double>(t.refused + t.warned) / t.surveys),
               per_cent(static_cast<double>(t.named) / t.surveys)});
  };
  for (const auto& [name, t] : groups) {
    row(name, t);
    wrong.surveys += t.surveys;
    wrong.refused += t.refused;
    wrong.warned += t.warned;
    wrong.named += t.named;
  }
  row("all of them", wrong);
  row("none (false alarms)", right);
  std::printf("%s\n%s\n%.2f ms a right survey\n",
              options.all().c_str(),
              table.text().c_str(),
              1e3 * seconds / right.surveys);
  return 0;
}

}  // namespace

int main(int argc, char** argv) { return run_program(argc, argv, work); }
