#include "tool/command.hpp"

#include "sweepflux/base/error.hpp"

namespace sweepflux::tool {

std::vector<Option> common_options(CommonOptions& options, const std::string& what_out_is) {
  return {{"--out", &options.out, what_out_is, "DIR"},
          {"--json", &options.json, "Print the result as JSON instead of text", ""},
          {"--quiet", &options.quiet, "Print nothing but faults", ""}};
}

double quantity_of(const std::string& option, const std::string& text, Dimension dimension) {
  try {
    return parse_quantity(text, dimension);
  } catch (const InputError& error) {
    throw InputError(option + ": " + error.what());
  }
}

std::filesystem::path folder_beside(const std::filesystem::path& file, const std::string& ending) {
  return file.parent_path() / (file.stem().string() + ending);
}

}  // namespace sweepflux::tool
