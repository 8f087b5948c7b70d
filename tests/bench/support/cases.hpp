#pragma once

#include "sweepflux/field/general/method.hpp"
#include "sweepflux/judge/survey_result.hpp"
#include "tests/support/make_survey.hpp"
#include "tests/support/statistics.hpp"

#include <string>
#include <vector>

namespace sweepflux::bench {

using test::Answer;
using test::Summary;

/// One survey to be mapped and held against the truth.
struct Case {
  const test::KnownField* field = nullptr;
  std::string group;    ///< "textbook", "irregular", "co-flow", "co-flow, fan-off read", "spoiled"
  std::string variant;  ///< "", "pooled", "alone", ...
  test::SurveyPlan plan;
  bool planes_alone =
      false;  ///< every distance mapped as a survey of its own, with an outcome of its own
  Method method = Method::automatic;
};

/// One plane of one case.
struct PlaneScore {
  double distance_m = 0.0;
  Answer flow;
  Answer momentum;
  std::vector<std::string> warnings;
};

struct CaseScore {
  std::vector<PlaneScore> planes;
  std::size_t refused_planes = 0;
  std::string refused;  ///< the program's words when it gave no answer; empty otherwise
  double seconds = 0.0;
};

[[nodiscard]] std::string method_name(Method method);
/// @throws InputError  unknown; the message lists the names
[[nodiscard]] Method method_from(const std::string& name);

/// The same seed for the same truth, heights and number, whatever else is compared.
[[nodiscard]] std::uint64_t case_seed(const std::string& field, int heights, int number);

/// Maps on one thread. A legal refusal becomes `refused`; any other error is thrown on.
[[nodiscard]] CaseScore score_case(const Case& one);

/// The answers of one finished map, plane by plane.
[[nodiscard]] std::vector<PlaneScore> score_result(const SurveyResult& result,
                                                   const test::KnownField& field,
                                                   const test::SurveyPlan& plan);

/// A survey of one distance alone.
[[nodiscard]] Survey only_distance(const Survey& survey, double distance_m);

}  // namespace sweepflux::bench
