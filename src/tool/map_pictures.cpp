#include "tool/map_pictures.hpp"

#include "render/pages/survey_pictures.hpp"
#include "render/pages/survey_page.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/record/tables.hpp"
#include "tool/campaign_files.hpp"

namespace sweepflux::tool {
namespace {

using Kind = render::SurveyPicture::Kind;

std::string file_name(const SurveyResult& result, const render::SurveyPicture& picture) {
  std::string plane = picture.plane < result.planes.size()
                          ? "plane-" + distance_text(result.planes[picture.plane].distance_m) + "m"
                          : "";
  switch (picture.kind) {
    case Kind::speed_map:
      return plane;
    case Kind::uncertainty_map:
      return plane + "-uncertainty";
    case Kind::budget:
      return plane + "-budget";
    case Kind::profiles:
      return "profiles";
    case Kind::stream:
      return "along-the-stream";
    case Kind::side_view:
      return "from-the-side";
    case Kind::top_view:
      return "from-above";
  }
  return "";
}

std::string caption(const SurveyResult& result, const render::SurveyPicture& picture) {
  const std::string plane =
      picture.plane < result.planes.size()
          ? " at " + distance_text(result.planes[picture.plane].distance_m) + " m"
          : "";
  switch (picture.kind) {
    case Kind::speed_map:
      return "Speed" + plane + ", seen facing the fan.";
    case Kind::uncertainty_map:
      return "Standard uncertainty of the speed" + plane + ", seen facing the fan.";
    case Kind::budget:
      return "Uncertainty budget" + plane + ".";
    case Kind::profiles:
      return "Speed along level and upright cuts through the centre of each plane.";
    case Kind::stream:
      return result.thrust_n ? "Volume flow, momentum flux and thrust against distance."
                             : "Volume flow and momentum flux against distance.";
    case Kind::side_view:
      return "The stream from the side, interpolated between the planes.";
    case Kind::top_view:
      return "The stream from above, interpolated between the planes.";
  }
  return "";
}

render::SurveyPictures arrange(const SurveyResult& result,
                               const std::vector<render::SurveyPicture>& pictures) {
  render::SurveyPictures arranged;
  for (const render::SurveyPicture& picture : pictures) {
    const render::PagePicture on_page{picture.page, caption(result, picture), picture.slim};
    switch (picture.kind) {
      case Kind::speed_map:
        arranged.planes.push_back(on_page);
        break;
      case Kind::uncertainty_map:
        arranged.uncertainty.push_back(on_page);
        break;
      case Kind::budget:
        arranged.budget.push_back(on_page);
        break;
      case Kind::profiles:
        arranged.profiles = on_page;
        break;
      case Kind::stream:
        arranged.along = on_page;
        break;
      case Kind::side_view:
        arranged.side = on_page;
        break;
      case Kind::top_view:
        arranged.top = on_page;
        break;
    }
  }
  return arranged;
}

}  // namespace

void add_map_pictures(const SurveyResult& result,
                      const std::string& command,
                      int threads,
                      ResultFolder& folder,
                      const Progress& progress) {
  const auto go_on = [&](double share) {
    if (progress.stop_wanted && progress.stop_wanted()) {
      throw Interrupted("stopped; nothing was written");
    }
    if (progress.report) {
      progress.report("drawing", share);
    }
  };
  go_on(0.0);
  const std::vector<render::SurveyPicture> pictures = render::draw_survey(result);
  go_on(0.2);
  const render::PageOptions options =
      page_options(command,
                   {"summary.json: everything on this page and more, for programs",
                    "planes.csv: a row for each plane",
                    "plane-<distance>m.csv: speed, its uncertainty and support on a grid",
                    "plane-<distance>m.vti, volume.vti: the same as VTK image data",
                    "every picture of this page as .svg and .png"});
  std::vector<render::WrittenPicture> written;
  std::string page;
  parallel_for(2, threads, [&](std::size_t k) {
    if (k == 0) {
      page = render::survey_page(result, arrange(result, pictures), options);
    } else {
      written = render::write_pictures(pictures, threads);
    }
  });
  go_on(0.8);
  for (std::size_t i = 0; i < pictures.size(); ++i) {
    const std::string name = file_name(result, pictures[i]);
    folder.add(name + ".png", std::string(written[i].png.begin(), written[i].png.end()));
    folder.add(name + ".svg", written[i].svg);
  }
  folder.add("report.html", page);
}

}  // namespace sweepflux::tool
