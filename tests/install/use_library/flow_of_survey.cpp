// Reads a survey, maps it, prints flow and momentum of every plane.
#include <cstdio>
#include <exception>
#include <sweepflux/capture/survey/read_survey.hpp>
#include <sweepflux/result/map_survey.hpp>

int main(int argc, char** argv) {
  try {
    const sweepflux::Survey survey = sweepflux::read_survey(argc > 1 ? argv[1] : "survey.toml");
    const sweepflux::SurveyResult result = sweepflux::map_survey(survey);
    for (const sweepflux::PlaneResult& plane : result.planes) {
      std::printf("%.3f m: flow %.6f +- %.6f m3/s, momentum %.6f +- %.6f N\n",
                  plane.distance_m,
                  plane.volume_flow_m3_s.value,
                  plane.volume_flow_m3_s.standard_uncertainty,
                  plane.momentum_flux_n.value,
                  plane.momentum_flux_n.standard_uncertainty);
    }
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
