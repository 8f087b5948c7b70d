#include "tool/result_files.hpp"

#include "render/canvas/write_png.hpp"
#include "render/canvas/write_svg.hpp"
#include "render/pages/survey_pictures.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/parallel.hpp"
#include "sweepflux/record/image_data.hpp"
#include "sweepflux/record/summary.hpp"
#include "sweepflux/record/tables.hpp"

#include <utility>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;
using PictureKind = render::SurveyPicture::Kind;

/// What a picture of a survey is called.
struct PictureNames {
  std::string file;
  std::string caption;
};

PictureNames names_of(const SurveyResult& result, const render::SurveyPicture& picture) {
  const std::string distance = picture.plane < result.planes.size()
                                   ? distance_text(result.planes[picture.plane].distance_m)
                                   : "";
  const std::string plane = "plane-" + distance + "m";
  const std::string at = " at " + distance + " m";
  switch (picture.kind) {
    case PictureKind::speed_map:
      return {plane, "Speed" + at + ", seen facing the fan."};
    case PictureKind::uncertainty_map:
      return {plane + "-uncertainty",
              "Standard uncertainty of the speed" + at + ", seen facing the fan."};
    case PictureKind::budget:
      return {plane + "-budget", "Uncertainty budget" + at + "."};
    case PictureKind::profiles:
      return {"profiles", "Speed along level and upright cuts through the centre of each plane."};
    case PictureKind::stream:
      return {"along-the-stream",
              result.thrust_n ? "Volume flow, momentum flux and thrust against distance."
                              : "Volume flow and momentum flux against distance."};
    case PictureKind::side_view:
      return {"from-the-side", "The stream from the side, interpolated between the planes."};
    case PictureKind::top_view:
      return {"from-above", "The stream from above, interpolated between the planes."};
  }
  return {};
}

render::SurveyPictures arrange(const SurveyResult& result,
                               const std::vector<render::SurveyPicture>& pictures) {
  render::SurveyPictures arranged;
  for (const render::SurveyPicture& picture : pictures) {
    const render::PagePicture on_page{
        picture.page, names_of(result, picture).caption, picture.slim};
    switch (picture.kind) {
      case PictureKind::speed_map:
        arranged.planes.push_back(on_page);
        break;
      case PictureKind::uncertainty_map:
        arranged.uncertainty.push_back(on_page);
        break;
      case PictureKind::budget:
        arranged.budget.push_back(on_page);
        break;
      case PictureKind::profiles:
        arranged.profiles = on_page;
        break;
      case PictureKind::stream:
        arranged.along = on_page;
        break;
      case PictureKind::side_view:
        arranged.side = on_page;
        break;
      case PictureKind::top_view:
        arranged.top = on_page;
        break;
    }
  }
  return arranged;
}

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
    const std::string name = names_of(result, pictures[i]).file;
    folder.add(name + ".png", std::string(written[i].png.begin(), written[i].png.end()));
    folder.add(name + ".svg", written[i].svg);
  }
  folder.add("report.html", page);
}

}  // namespace

fs::path folder_beside(const fs::path& file, const std::string& ending) {
  if (file == "-") {
    return ending.substr(1);
  }
  return file.parent_path() / (file.stem().string() + ending);
}

ResultFolder result_folder(const CommonOptions& options,
                           const fs::path& usual,
                           const std::vector<fs::path>& inputs) {
  return {options.out.empty() ? usual : fs::path(options.out),
          inputs,
          ResultFolder::Owner::program,
          options.replace ? Edited::replace : Edited::keep};
}

std::optional<ResultFolder> result_folder_if_wanted(const CommonOptions& options,
                                                    const fs::path& usual,
                                                    const std::vector<fs::path>& inputs) {
  if (options.out.empty() && options.json) {
    return std::nullopt;
  }
  return result_folder(options, usual, inputs);
}

void add_picture(ResultFolder& folder, const std::string& name, const render::Canvas& canvas) {
  folder.add(name + ".svg", render::write_svg(canvas));
  const auto png = render::write_png(canvas);
  folder.add(name + ".png", std::string(png.begin(), png.end()));
}

render::PageOptions page_options(std::string command, std::vector<std::string> files) {
  render::PageOptions options;
  options.command = std::move(command);
  options.program = "sweepflux " SWEEPFLUX_VERSION;
  options.files = std::move(files);
  return options;
}

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
