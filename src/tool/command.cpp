#include "tool/command.hpp"

#include "sweepflux/base/error.hpp"

namespace sweepflux::tool {

std::vector<Option> common_options(CommonOptions& options, const std::string& what_out_is) {
  return {{"--out", &options.out, what_out_is, "DIR"},
          {"--replace",
           &options.replace,
           "Replace earlier results even if they were changed since",
           ""},
          {"--json", &options.json, "Print the result as JSON instead of text", ""},
          {"--quiet", &options.quiet, "Print nothing but errors", ""}};
}

double quantity_of(const std::string& option, const std::string& text, Dimension dimension) {
  try {
    return parse_quantity(text, dimension);
  } catch (const InputError& error) {
    throw InputError(option + ": " + error.what());
  }
}

}  // namespace sweepflux::tool
