#pragma once

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

}  // namespace sweepflux::tool
