// Writes a survey of a known field for any program to map, and prints what truly flows:
// distance [m], volume flow [m3/s], momentum over density [m4/s2]; a line a plane.

#include "tests/bench/support/options.hpp"
#include "tests/bench/support/text_table.hpp"
#include "tests/support/make_survey.hpp"

#include <iostream>

namespace sweepflux::bench {
namespace {

int work(int argc, const char* const* argv) {
  const Options options(argc,
                        argv,
                        {{"field", "sheared"},
                         {"distances", "1.4,1.8,2.2"},
                         {"heights", "7"},
                         {"angles", "61"},
                         {"seed", "1"},
                         {"out", ""}});
  const test::KnownField& field = test::known_field(options.text("field"));
  test::SurveyPlan plan;
  plan.motion = Motion::traverse;  // places need no geometry, so that all programs start alike
  plan.distances_m = options.numbers("distances");
  plan.count = options.count("heights", 1);
  plan.angles = options.count("angles", 2);
  plan.seed = options.seed("seed");
  plan.common_errors = false;
  test::write_survey(test::make_survey(field, plan), options.text("out"));
  for (const double distance_m : plan.distances_m) {
    const test::ExactFlux exact = field.exact(test::downstream_of(plan, distance_m));
    std::cout << exactly(distance_m) << ' ' << exactly(exact.volume_flow_m3_s) << ' '
              << exactly(exact.momentum_over_density_m4_s2) << '\n';
  }
  return 0;
}

}  // namespace
}  // namespace sweepflux::bench

int main(int argc, char** argv) {
  return sweepflux::bench::run_program(argc, argv, sweepflux::bench::work);
}
