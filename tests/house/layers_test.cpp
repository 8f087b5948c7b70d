#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <map>
#include <set>
#include <vector>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

struct SourceFile {
  std::string path;  ///< from the top of the tree, with `/`
  std::vector<std::string> lines;
};

std::vector<SourceFile> read_files(const std::vector<std::string>& folders,
                                   const std::set<std::string>& endings) {
  std::vector<SourceFile> files;
  for (const std::string& folder : folders) {
    if (!fs::exists(test::source_folder() / folder)) {
      continue;
    }
    for (const auto& entry : fs::recursive_directory_iterator(test::source_folder() / folder)) {
      if (entry.is_regular_file() && endings.contains(entry.path().extension().string())) {
        SourceFile file{entry.path().lexically_relative(test::source_folder()).generic_string(),
                        {}};
        std::ifstream in(entry.path());
        for (std::string line; std::getline(in, line);) {
          file.lines.push_back(line);
        }
        files.push_back(std::move(file));
      }
    }
  }
  std::sort(files.begin(), files.end(), [](const SourceFile& a, const SourceFile& b) {
    return a.path < b.path;
  });
  return files;
}

const std::vector<SourceFile>& sources() {
  static const std::vector<SourceFile> files =
      read_files({"src", "render", "tests", "scans"}, {".cpp", ".hpp"});
  return files;
}

/// What stands between the quotes or brackets of an include line; empty for any other line.
std::string included(const std::string& line) {
  if (!line.starts_with("#include ")) {
    return "";
  }
  const std::size_t from = line.find_first_of("\"<");
  const std::size_t to = line.find_last_of("\">");
  return from < to ? line.substr(from + 1, to - from - 1) : "";
}

/// A file's layer by its path, an include's by its text; -1: neither.
int layer_of(std::string path) {
  static const std::vector<std::string> order = {"sweepflux/base/",
                                                  "sweepflux/capture/delimited/",
                                                  "sweepflux/capture/document/",
                                                  "sweepflux/capture/log/",
                                                  "sweepflux/capture/survey/",
                                                  "sweepflux/derive/log/",
                                                  "sweepflux/derive/sample/",
                                                  "sweepflux/derive/thrust/",
                                                  "sweepflux/field/general/",
                                                  "sweepflux/field/stream/",
                                                  "sweepflux/integrate/",
                                                  "sweepflux/judge/",
                                                  "sweepflux/plan/",
                                                  "sweepflux/result/",
                                                  "sweepflux/rank/",
                                                  "sweepflux/record/",
                                                  "render/canvas/",
                                                  "render/charts/",
                                                  "render/pages/",
                                                  "tool/"};
  if (path.starts_with("src/")) {
    path = path.substr(4);
  }
  for (std::size_t i = 0; i < order.size(); ++i) {
    if (path.starts_with(order[i])) {
      return static_cast<int>(i);
    }
  }
  return -1;
}

TEST(Layers, IncludesRunOneWay) {
  std::size_t crossings = 0;
  for (const SourceFile& file : sources()) {
    const int own = layer_of(file.path);
    for (const std::string& line : file.lines) {
      const int other = layer_of(included(line));
      if (own >= 0 && other >= 0) {
        EXPECT_LE(other, own) << file.path << " includes upwards: " << line;
        crossings += other < own ? 1 : 0;
      }
    }
  }
  EXPECT_GT(crossings, 20u) << "the walk over the tree found too little";
}

TEST(Layers, NothingBelowTheTestsIncludesThem) {
  for (const SourceFile& file : sources()) {
    for (const std::string& line : file.lines) {
      const std::string header = included(line);
      if (layer_of(file.path) >= 0) {
        EXPECT_FALSE(header.starts_with("tests/") || header.starts_with("scans/"))
            << file.path << ": " << line;
      }
    }
  }
}

/// Where a library's headers may stand: the start of each allowed path.
const std::map<std::string, std::vector<std::string>>& homes() {
  static const std::map<std::string, std::vector<std::string>> places = {
      {"Eigen/",
       {"src/sweepflux/base/combination.cpp",
        "src/sweepflux/derive/sample/",
        "src/sweepflux/field/",
        "src/sweepflux/integrate/",
        "src/sweepflux/judge/",
        "src/sweepflux/plan/"}},
      {"boost/", {"src/sweepflux/base/quantiles.cpp"}},
      {"nanoflann.hpp", {"src/sweepflux/field/general/neighbours.cpp"}},
      {"toml++/", {"src/sweepflux/capture/document/"}},
      {"nlohmann/", {"src/sweepflux/record/json_text_private.hpp"}},
      {"png.h", {"render/canvas/image.cpp"}},
      {"cairo", {"render/canvas/write_png.cpp"}},
      {"CLI/", {"src/tool/program.cpp"}}};
  return places;
}

TEST(Layers, ThirdPartyHeadersStayInTheirPlaces) {
  for (const SourceFile& file : sources()) {
    if (layer_of(file.path) < 0) {
      continue;
    }
    for (const std::string& line : file.lines) {
      const std::string header = included(line);
      for (const auto& [library, places] : homes()) {
        if (header.starts_with(library)) {
          EXPECT_TRUE(
              std::any_of(places.begin(),
                          places.end(),
                          [&](const std::string& place) { return file.path.starts_with(place); }))
              << file.path << ": " << line;
        }
      }
    }
  }
}

TEST(Layers, PublicHeadersNeedOnlyTheStandardLibrary) {
  for (const SourceFile& file : sources()) {
    const bool is_public = layer_of(file.path) >= 0 && file.path.ends_with(".hpp") &&
                           !file.path.ends_with("_private.hpp") &&
                           !file.path.starts_with("src/tool/");
    for (const std::string& line : file.lines) {
      const std::string header = included(line);
      if (is_public && line.find('<') != std::string::npos && !header.empty()) {
        EXPECT_EQ(header.find_first_of("/."), std::string::npos) << file.path << ": " << line;
      } else if (is_public && !header.empty()) {
        // What is installed includes what is installed.
        EXPECT_GE(layer_of("src/" + header), 0) << file.path << ": " << line;
        EXPECT_FALSE(header.ends_with("_private.hpp")) << file.path << ": " << line;
      }
    }
  }
}

TEST(House, NoFileIsLongerThan400Lines) {
  for (const SourceFile& file : sources()) {
    EXPECT_LE(file.lines.size(), 400u) << file.path;
  }
}

TEST(House, NoFileNamesAPathOfOneMachine) {
  // Written in two parts, so that this file does not find itself.
  const std::vector<std::string> signs = {
      std::string("/wo") + "rk/", std::string("/ho") + "me/", std::string("/ro") + "ot/"};
  const std::vector<SourceFile> files =
      read_files({"src", "render", "tests", "scans", ".ci"},
                 {".cpp", ".hpp", ".txt", ".sh", ".toml", ".md", ".csv", ".cmake", ""});
  for (const SourceFile& file : files) {
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      for (const std::string& sign : signs) {
        EXPECT_EQ(file.lines[i].find(sign), std::string::npos)
            << file.path << ":" << i + 1 << ": " << file.lines[i];
      }
    }
  }
}

}  // namespace
}  // namespace sweepflux
