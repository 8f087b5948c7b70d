#include "tool/campaign_files.hpp"

#include "render/canvas/write_png.hpp"
#include "render/canvas/write_svg.hpp"

#include <utility>

namespace sweepflux::tool {

void add_drawings(const CampaignDrawings& drawings, ResultFolder& folder) {
  for (const auto& [name, canvas] : drawings.files) {
    folder.add(name + ".svg", render::write_svg(canvas));
    const auto png = render::write_png(canvas);
    folder.add(name + ".png", std::string(png.begin(), png.end()));
  }
}

render::PageOptions page_options(std::string command, std::vector<std::string> files) {
  render::PageOptions options;
  options.command = std::move(command);
  options.program = "sweepflux " SWEEPFLUX_VERSION;
  options.files = std::move(files);
  return options;
}

std::string shell_word(const std::string& word) {
  constexpr const char* plain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-./=+,:%@";
  if (!word.empty() && word.find_first_not_of(plain) == std::string::npos) {
    return word;
  }
  std::string quoted = "'";
  for (const char c : word) {
    quoted += c == '\'' ? "'\\''" : std::string(1, c);
  }
  return quoted + "'";
}

std::string compare_line(std::span<const std::string> paths,
                         std::span<const std::string> distances,
                         std::span<const std::string> speeds,
                         const SharedErrors& shared) {
  std::string line = "sweepflux compare";
  for (const std::string& path : paths) {
    line += " " + shell_word(path);
  }
  for (const std::string& d : distances) {
    line += " --distance " + shell_word(d);
  }
  for (const std::string& v : speeds) {
    line += " --throw " + shell_word(v);
  }
  line += shared.same_probe ? " --same-probe" : "";
  line += shared.same_balance ? " --same-balance" : "";
  return line;
}

}  // namespace sweepflux::tool
