#include "tests/bench/support/cases.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/result/map_survey.hpp"

#include <array>
#include <chrono>
#include <cmath>
#include <utility>

namespace sweepflux::bench {
namespace {

constexpr std::array<std::pair<const char*, Method>, 5> method_names{{
    {"default", Method::automatic},
    {"kriging", Method::kriging},
    {"linear", Method::linear},
    {"thin-plate", Method::thin_plate},
    {"inverse-distance", Method::inverse_distance},
}};

Answer answer_of(const Estimate& estimate, double truth) {
  return {estimate.value / truth - 1.0,
          estimate.low_95 / truth - 1.0,
          estimate.high_95 / truth - 1.0,
          estimate.standard_uncertainty / truth};
}

SurveyResult map_plainly(const Survey& survey, Method method) {
  MapOptions options;
  options.method = method;
  options.threads = 1;
  options.hold_out = false;
  options.next_sweep = false;
  return map_survey(survey, options);
}

}  // namespace

std::string method_name(Method method) {
  for (const auto& [name, value] : method_names) {
    if (value == method) {
      return name;
    }
  }
  throw InputError("a method without a name");
}

Method method_from(const std::string& name) {
  std::string known;
  for (const auto& [text, value] : method_names) {
    if (text == name) {
      return value;
    }
    known += known.empty() ? text : std::string(", ") + text;
  }
  throw InputError("no method \"" + name + "\"; there are " + known);
}

std::uint64_t case_seed(const std::string& field, int heights, int number) {
  // FNV-1a over the name, then the two numbers; only to keep truths from sharing their noise.
  std::uint64_t hash = 0xcbf29ce484222325ULL;
  const std::string key = field + "/" + std::to_string(heights) + "/" + std::to_string(number);
  for (const char c : key) {
    hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3ULL;
  }
  return hash;
}

std::vector<PlaneScore> score_result(const SurveyResult& result,
                                     const test::KnownField& field,
                                     const test::SurveyPlan& plan) {
  std::vector<PlaneScore> scores;
  for (const PlaneResult& plane : result.planes) {
    if (!plane.withheld.empty()) {
      continue;
    }
    const test::ExactFlux exact = field.exact(test::downstream_of(plan, plane.distance_m));
    PlaneScore score;
    score.distance_m = plane.distance_m;
    score.flow = answer_of(plane.volume_flow_m3_s, exact.volume_flow_m3_s);
    score.momentum = answer_of(plane.momentum_flux_n,
                               exact.momentum_over_density_m4_s2 * result.density_kg_m3.value);
    score.warnings = plane.warnings;
    scores.push_back(std::move(score));
  }
  return scores;
}

Survey only_distance(const Survey& survey, double distance_m) {
  Survey one = survey;
  std::erase_if(one.sweeps, [distance_m](const Sweep& sweep) {
    return std::abs(sweep.distance_m - distance_m) > 1e-3;
  });
  return one;
}

CaseScore score_case(const Case& one) {
  const Survey survey = test::make_survey(*one.field, one.plan);
  CaseScore score;
  const auto start = std::chrono::steady_clock::now();
  const auto add = [&](const Survey& part, std::size_t planes) {
    try {
      const SurveyResult result = map_plainly(part, one.method);
      for (PlaneScore& plane : score_result(result, *one.field, one.plan)) {
        score.planes.push_back(std::move(plane));
      }
      for (const PlaneResult& plane : result.planes) {
        if (!plane.withheld.empty()) {
          ++score.refused_planes;
          score.refused = plane.withheld;
        }
      }
    } catch (const NumericalError& error) {
      score.refused_planes += planes;
      score.refused = error.what();
    }
  };
  if (one.planes_alone) {
    for (const double distance : one.plan.distances_m) {
      add(only_distance(survey, distance), 1);
    }
  } else {
    add(survey, one.plan.distances_m.size());
  }
  score.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  return score;
}

}  // namespace sweepflux::bench
