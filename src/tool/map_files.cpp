#include "tool/map_files.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/record/image_data.hpp"
#include "sweepflux/record/summary.hpp"
#include "sweepflux/record/tables.hpp"
#include "tool/map_pictures.hpp"

namespace sweepflux::tool {

void add_map_files(const SurveyResult& result,
                   Pictures pictures,
                   const std::string& command,
                   int threads,
                   ResultFolder& folder,
                   const Progress& progress) {
  folder.add("summary.json", summary_json(result));
  folder.add("planes.csv", planes_csv(result));
  for (const PlaneResult& plane : result.planes) {
    const std::string name = "plane-" + distance_text(plane.distance_m) + "m";
    folder.add(name + ".csv", plane_csv(plane.map));
    folder.add(name + ".vti", plane_image_data(plane));
  }
  if (result.planes.size() > 1) {
    folder.add("volume.vti", volume_image_data(result.planes));
  }
  if (pictures == Pictures::all) {
    add_map_pictures(result, command, threads, folder, progress);
  }
}

}  // namespace sweepflux::tool
