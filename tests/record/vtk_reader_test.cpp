#include "sweepflux/record/image_data.hpp"
#include "tests/support/made_result.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

// Outside check: the files are read by VTK itself, the library that ParaView reads them with
// (Debian package python3-vtk9).

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

constexpr const char* script = R"py(
import json, sys
from vtkmodules.vtkIOXML import vtkXMLImageDataReader
faults = []
reader = vtkXMLImageDataReader()
reader.AddObserver("ErrorEvent", lambda *_: faults.append("error"))
reader.AddObserver("WarningEvent", lambda *_: faults.append("warning"))
reader.SetFileName(sys.argv[1])
reader.Update()
image = reader.GetOutput()
data = image.GetPointData()
arrays = {data.GetArrayName(i): [data.GetArray(i).GetValue(k) for k in
          range(data.GetArray(i).GetNumberOfTuples())] for i in range(data.GetNumberOfArrays())}
text = {"faults": faults, "dimensions": image.GetDimensions(), "origin": image.GetOrigin(),
        "spacing": image.GetSpacing(), "arrays": {k: [repr(x) for x in v] for k, v in arrays.items()}}
open(sys.argv[2], "w").write(json.dumps(text))
)py";

bool vtk_is_here() {
  return std::system("/usr/bin/python3 -c 'import vtkmodules.vtkIOXML' >/dev/null 2>&1") == 0;
}

nlohmann::json read_with_vtk(const std::string& content) {
  const fs::path folder = test::scratch_folder();
  std::ofstream(folder / "image.vti", std::ios::binary) << content;
  std::ofstream(folder / "read.py") << script;
  const std::string command = "/usr/bin/python3 '" + (folder / "read.py").string() + "' '" +
                              (folder / "image.vti").string() + "' '" +
                              (folder / "out.json").string() + "'";
  EXPECT_EQ(std::system(command.c_str()), 0);
  std::ifstream in(folder / "out.json");
  std::stringstream text;
  text << in.rdbuf();
  return nlohmann::json::parse(text.str());
}

TEST(vtk_reader, a_plane_is_read_bit_by_bit_where_it_stood) {
  if (!vtk_is_here()) {
    GTEST_SKIP() << "skipped: no VTK for Python (python3-vtk9) here";
  }
  const SurveyResult result = test::made_result();
  const PlaneResult& plane = result.planes[0];
  const auto seen = read_with_vtk(plane_image_data(plane));
  EXPECT_TRUE(seen.at("faults").empty());
  EXPECT_EQ(seen.at("dimensions"), (std::vector<std::size_t>{1, plane.map.ny, plane.map.nz}));
  EXPECT_NEAR(seen.at("origin")[0].get<double>(), plane.distance_m, 1e-12);
  EXPECT_NEAR(seen.at("origin")[1].get<double>(), plane.map.y_min_m, 1e-12);
  EXPECT_NEAR(seen.at("origin")[2].get<double>(), plane.map.z_min_m, 1e-12);
  EXPECT_NEAR(seen.at("spacing")[1].get<double>(), plane.map.step_m, 1e-12);
  const auto& speed = seen.at("arrays").at("speed_m_s");
  ASSERT_EQ(speed.size(), plane.map.speed_m_s.size());
  for (std::size_t i = 0; i < speed.size(); ++i) {
    EXPECT_EQ(std::strtod(speed[i].get<std::string>().c_str(), nullptr), plane.map.speed_m_s[i]);
  }
  EXPECT_EQ(seen.at("arrays").at("speed_uncertainty_m_s").size(), speed.size());
  EXPECT_EQ(seen.at("arrays").at("support").size(), speed.size());
}

TEST(vtk_reader, a_volume_is_read_with_every_layer) {
  if (!vtk_is_here()) {
    GTEST_SKIP() << "skipped: no VTK for Python (python3-vtk9) here";
  }
  const SurveyResult result = test::made_result();
  const auto seen = read_with_vtk(volume_image_data(result.planes));
  EXPECT_TRUE(seen.at("faults").empty());
  const auto size = seen.at("dimensions").get<std::vector<std::size_t>>();
  EXPECT_GE(size[0], result.planes.size());
  EXPECT_EQ(seen.at("arrays").at("speed_m_s").size(), size[0] * size[1] * size[2]);
  const double first = seen.at("origin")[0].get<double>();
  const double last =
      first + static_cast<double>(size[0] - 1) * seen.at("spacing")[0].get<double>();
  EXPECT_NEAR(first, result.planes.front().distance_m, 1e-3);
  EXPECT_NEAR(last, result.planes.back().distance_m, 1e-3);
}

TEST(vtk_reader, a_broken_file_is_found_out) {
  if (!vtk_is_here()) {
    GTEST_SKIP() << "skipped: no VTK for Python (python3-vtk9) here";
  }
  std::string text = plane_image_data(test::made_result().planes[0]);
  text.resize(text.size() / 2);
  EXPECT_FALSE(read_with_vtk(text).at("faults").empty());
}

}  // namespace
}  // namespace sweepflux
