// The scoreboard: known fields, measured by a simulated rig, mapped, and held against the truth.
// One plane by default; with --pooled yes three distances, pooled and each alone. The simpler
// methods state the delete-one-height jack-knife as their interval; that is done in the program.

#include "sweepflux/base/error.hpp"
#include "tests/bench/support/board.hpp"
#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"

#include <algorithm>
#include <iostream>
#include <string>
#include <vector>

namespace sweepflux::bench {
namespace {

Options read_options(int argc, const char* const* argv) {
  return {argc,
          argv,
          {{"heights", ""},    // 3,4,5,7,9; pooled 2,3,4
           {"seeds", "4"},     // surveys a truth and count of heights
           {"truths", "all"},  // all, textbook, irregular, drawn, published, spoiled, or names
           {"methods", "default,kriging,linear,thin-plate,inverse-distance"},
           {"mode", "straight"},  // or swivel
           {"errors", "common"},  // common, alone: with and without errors common to a survey
           {"scale", "0.02"},     // relative standard uncertainty of the probe, common
           {"offset", "0.02"},    // m/s, common
           {"sweepgain", "0"},    // relative, common to a sweep
           {"vane", "0"},         // m
           {"pivot", "0"},        // m
           {"jitter", "0.3"},
           {"pooled", "no"},
           {"rules", "dealt-round,alike"},  // of pooled heights
           {"threads", "2"},
           {"truth-table", "yes"},  // per truth as well
           {"csv", ""}}};           // a row a plane
}

std::vector<const test::KnownField*> chosen_fields(const Options& options, bool pooled) {
  std::vector<const test::KnownField*> fields;
  const auto add_all = [&](const std::vector<test::KnownField>& list) {
    for (const test::KnownField& field : list) {
      fields.push_back(&field);
    }
  };
  const auto add_known = [&](bool irregular) {
    for (const test::KnownField& field : test::known_fields()) {
      if (field.irregular == irregular) {
        fields.push_back(&field);
      }
    }
  };
  for (const std::string& word : options.texts("truths")) {
    if (word == "all") {
      add_all(test::known_fields());
      if (pooled) {
        add_all(test::spoiled_fields());
      }
    } else if (word == "textbook" || word == "irregular") {
      add_known(word == "irregular");
    } else if (word == "spoiled") {
      add_all(test::spoiled_fields());
    } else if (word == "drawn") {
      add_all(test::drawn_fields());
    } else if (word == "published") {
      add_all(test::published_fields());
    } else {
      try {
        fields.push_back(&test::known_field(word));
      } catch (const std::invalid_argument& error) {
        throw InputError(std::string("--truths: ") + error.what());
      }
    }
  }
  return fields;
}

std::string group_of(const test::KnownField& field) {
  const auto is_in = [&field](const std::vector<test::KnownField>& list) {
    return &field >= list.data() && &field < list.data() + list.size();
  };
  if (is_in(test::spoiled_fields())) {
    return "spoiled";
  }
  if (is_in(test::drawn_fields())) {
    return "drawn";
  }
  if (is_in(test::published_fields())) {
    return "published";
  }
  if (field.co_flow_m_s != 0.0) {
    return "co-flow";
  }
  return field.irregular ? "irregular" : "textbook";
}

Case basic_case(const test::KnownField& field, const Options& options, int heights, int number) {
  Case one;
  one.field = &field;
  one.group = group_of(field);
  one.plan.count = heights;
  one.plan.seed = case_seed(field.name, heights, number);
  const std::string& mode = options.text("mode");
  if (mode != "swivel" && mode != "straight") {
    throw InputError("--mode: swivel or straight");
  }
  one.plan.motion = mode == "swivel" ? Motion::swivel : Motion::traverse;
  one.plan.jitter = options.number("jitter");
  one.plan.sweep_gain = options.number("sweepgain");
  one.plan.vane_m = options.number("vane");
  one.plan.pivot_m = mode == "swivel" ? options.number("pivot") : 0.0;
  one.plan.scale_uncertainty = options.number("scale");
  one.plan.offset_uncertainty_m_s = options.number("offset");
  return one;
}

/// The variants of one survey: with common errors or without, by every method, and where the room
/// drifts also with the fan-off reading at hand.
void add_single(std::vector<Case>& cases, const Case& basic, const Options& options) {
  for (const std::string& errors : options.texts("errors")) {
    for (const std::string& name : options.texts("methods")) {
      Case one = basic;
      one.variant = errors;
      if (errors == "alone") {
        one.plan.scale_uncertainty = 0.0;
        one.plan.offset_uncertainty_m_s = 0.0;
      } else if (errors != "common") {
        throw InputError("--errors: common, alone, or both");
      }
      one.method = method_from(name);
      cases.push_back(one);
      if (one.field->co_flow_m_s != 0.0) {
        one.group = "co-flow, fan-off read";
        one.plan.ambient_speed_m_s = Measured{one.field->co_flow_m_s, 0.02};
        cases.push_back(one);
      }
    }
  }
}

void add_pooled(std::vector<Case>& cases, const Case& basic, const Options& options) {
  for (const std::string& rule : options.texts("rules")) {
    if (rule != "dealt-round" && rule != "alike") {
      throw InputError("--rules: dealt-round, alike, or both");
    }
    for (const char* how : {"pooled", "alone"}) {
      Case one = basic;
      one.plan.distances_m = {1.4, 1.8, 2.2};
      one.plan.rule = rule == "alike" ? test::HeightRule::alike : test::HeightRule::dealt_round;
      one.planes_alone = std::string(how) == "alone";
      one.variant = rule + ", " + how;
      cases.push_back(one);
    }
  }
}

std::vector<Case> make_cases(const Options& options) {
  const bool pooled = options.yes("pooled");
  std::vector<int> heights = options.counts("heights", 1);
  if (heights.empty()) {
    heights = pooled ? std::vector<int>{2, 3, 4} : std::vector<int>{3, 4, 5, 7, 9};
  }
  std::vector<Case> cases;
  for (const test::KnownField* field : chosen_fields(options, pooled)) {
    if (pooled && field->co_flow_m_s != 0.0) {
      continue;  // what drifts along is no question of pooling
    }
    for (const int count : heights) {
      for (int number = 1; number <= options.count("seeds", 1); ++number) {
        const Case basic = basic_case(*field, options, count, number);
        pooled ? add_pooled(cases, basic, options) : add_single(cases, basic, options);
      }
    }
  }
  return cases;
}

std::string report(const std::vector<Scored>& scored, const Options& options) {
  std::string text = "sweepflux scoreboard: " + options.all() + "\n\n";
  text += board_legend;
  text += "\nWithout co-flow, textbook and irregular together\n";
  text += board({"method", "variant", "heights"}, scored, [](const Case& one) {
    const bool counts = one.group == "textbook" || one.group == "irregular";
    return counts ? std::vector<std::string>{method_name(one.method),
                                             one.variant,
                                             std::to_string(one.plan.count)}
                  : std::vector<std::string>{};
  });
  text += "\nBy group\n";
  text += board({"method", "variant", "group", "heights"}, scored, [](const Case& one) {
    return std::vector<std::string>{
        method_name(one.method), one.variant, one.group, std::to_string(one.plan.count)};
  });
  if (options.yes("truth-table")) {
    text += "\nBy truth\n";
    text += board({"method", "variant", "truth", "heights"}, scored, [](const Case& one) {
      const std::string read = one.plan.ambient_speed_m_s ? ", fan-off read" : "";
      return std::vector<std::string>{method_name(one.method),
                                      one.variant,
                                      one.field->name + read,
                                      std::to_string(one.plan.count)};
    });
  }
  return text;
}

int work(int argc, const char* const* argv) {
  const Options options = read_options(argc, argv);
  std::vector<Case> cases = make_cases(options);
  std::stable_sort(cases.begin(), cases.end(), [](const Case& a, const Case& b) {
    return a.plan.count < b.plan.count;
  });
  const std::vector<CaseScore> scores = score_all(cases, options.count("threads", 1));
  std::vector<Scored> scored;
  for (std::size_t i = 0; i < cases.size(); ++i) {
    scored.push_back({&cases[i], &scores[i]});
  }
  std::cout << report(scored, options);
  if (!options.text("csv").empty()) {
    write_whole_file(options.text("csv"), scores_csv(scored));
  }
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
