// How often a sweep of a sound survey is said to depart from the others. A sound survey is a known
// field before the simulated rig, with nothing wrong but noise, the stated errors of the probe and,
// where asked for, a gain a sweep. Aim: at most one survey in twenty.

#include "sweepflux/base/error.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tests/bench/support/cases.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/support/make_survey.hpp"

#include <algorithm>
#include <cstdio>
#include <map>
#include <string>
#include <vector>

namespace sweepflux::bench {
namespace {

constexpr const char* call = "departs from the others";

struct Count {
  int surveys = 0;
  int called = 0;
  int sweeps = 0;
  int outermost = 0;  ///< of the called sweeps
};

std::vector<const test::KnownField*> chosen_fields(const Options& options) {
  std::vector<const test::KnownField*> fields;
  for (const std::string& word : options.texts("truths")) {
    const std::vector<test::KnownField>* list = word == "published" ? &test::published_fields()
                                                : word == "drawn"   ? &test::drawn_fields()
                                                : word == "known"   ? &test::known_fields()
                                                                    : nullptr;
    if (list == nullptr) {
      fields.push_back(&test::known_field(word));
      continue;
    }
    for (const test::KnownField& field : *list) {
      fields.push_back(&field);
    }
  }
  return fields;
}

void add_survey(const test::KnownField& field, const test::SurveyPlan& plan, Count& count) {
  MapOptions options;
  options.next_sweep = false;
  options.threads = 1;
  SurveyResult result;
  try {
    result = map_survey(test::make_survey(field, plan), options);
  } catch (const NumericalError&) {
    return;  // no map, so no sweep is called out
  }
  ++count.surveys;
  bool any = false;
  for (const PlaneResult& plane : result.planes) {
    const std::size_t n = plane.held_out.size();
    for (std::size_t i = 0; i < n; ++i) {
      const auto& h = plane.held_out[i];
      const bool said = std::any_of(
          plane.warnings.begin(), plane.warnings.end(), [&](const std::string& warning) {
            return warning.find("sweep " + h.sweep + " ") != std::string::npos &&
                   warning.find(call) != std::string::npos;
          });
      ++count.sweeps;
      if (said) {
        any = true;
        count.outermost += i == 0 || i + 1 == n ? 1 : 0;
        std::printf("  %s, %zu sweeps, seed %llu: %s at %.3f m, %.2f off, chance %.4f\n",
                    field.name.c_str(),
                    n,
                    static_cast<unsigned long long>(plan.seed),
                    h.sweep.c_str(),
                    h.height_m,
                    h.z_score,
                    h.chance);
        std::fflush(stdout);
      }
    }
  }
  count.called += any ? 1 : 0;
}

int work(int argc, const char* const* argv) {
  const Options options(argc,
                        argv,
                        {{"truths", "published,drawn,known"},  // or names
                         {"heights", "5,7"},
                         {"seeds", "2"},
                         {"first-seed", "1"},
                         {"mode", "swivel"},  // or straight
                         {"sweepgain", "0"}});
  std::printf("false_calls: %s\n", options.all().c_str());
  std::map<std::string, Count> counts;
  Count all;
  for (const test::KnownField* field : chosen_fields(options)) {
    for (const int heights : options.counts("heights", 2)) {
      for (int seed = 0; seed < options.count("seeds", 1); ++seed) {
        test::SurveyPlan plan;
        plan.count = heights;
        plan.motion = options.text("mode") == "swivel" ? Motion::swivel : Motion::traverse;
        plan.sweep_gain = options.number("sweepgain");
        plan.seed = case_seed(field->name, heights, options.count("first-seed") + seed);
        add_survey(*field, plan, counts[field->name]);
      }
    }
  }
  std::printf("field                     surveys  called  sweeps  called sweeps at the ends\n");
  for (const auto& [name, c] : counts) {
    std::printf(
        "%-24s %8d %7d %7d %7d\n", name.c_str(), c.surveys, c.called, c.sweeps, c.outermost);
    all.surveys += c.surveys;
    all.called += c.called;
    all.sweeps += c.sweeps;
    all.outermost += c.outermost;
  }
  std::printf("%-24s %8d %7d %7d %7d: %.1f %% of the surveys\n",
              "all",
              all.surveys,
              all.called,
              all.sweeps,
              all.outermost,
              100.0 * all.called / std::max(1, all.surveys));
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
