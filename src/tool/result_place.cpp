#include "tool/result_place.hpp"

namespace sweepflux::tool {

namespace fs = std::filesystem;

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

}  // namespace sweepflux::tool
