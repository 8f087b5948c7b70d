#pragma once

#include "render/pages/survey_page.hpp"
#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/judge/survey_result.hpp"
#include "sweepflux/record/folder.hpp"
#include "tool/session.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux::tool {

/// Beside what was read, named after it: "heron-3/survey" and "-results" give
/// heron-3/survey-results. Of standard input, "-", the ending alone.
[[nodiscard]] std::filesystem::path folder_beside(const std::filesystem::path& file,
                                                  const std::string& ending);

/// The folder that --out names, or the usual one.
///
/// @throws InputError  as ResultFolder
[[nodiscard]] ResultFolder result_folder(const CommonOptions& options,
                                         const std::filesystem::path& usual,
                                         const std::vector<std::filesystem::path>& inputs);

/// The same, but none where only JSON was asked for: a program that wants the numbers gets no
/// folder that it did not name.
[[nodiscard]] std::optional<ResultFolder> result_folder_if_wanted(
    const CommonOptions& options,
    const std::filesystem::path& usual,
    const std::vector<std::filesystem::path>& inputs);

/// A picture as SVG and PNG.
void add_picture(ResultFolder& folder, const std::string& name, const render::Canvas& canvas);

/// What the foot of a page says: the command, the program, the files beside it.
[[nodiscard]] render::PageOptions page_options(std::string command, std::vector<std::string> files);

enum class Pictures { all, none };

/// All files of `map`: summary.json, planes.csv; for each plane plane-<distance>m.csv and .vti;
/// volume.vti when there are several planes. Then each picture as PNG and SVG:
/// plane-<distance>m, the same with -uncertainty and -budget, profiles, along-the-stream, and from
/// two planes on from-the-side and from-above; and report.html with all of them inside.
///
/// @param command  that makes these results again, for the page
/// @param threads  at most; 0: as many as the machine has
/// @throws Interrupted  progress.stop_wanted said so
void add_map_files(const SurveyResult& result,
                   Pictures pictures,
                   const std::string& command,
                   int threads,
                   ResultFolder& folder,
                   const Progress& progress = {});

}  // namespace sweepflux::tool
