// Writes what a package holds beside the program: sweepflux_manual MANUAL_PAGE BASH_COMPLETION
#include "tool/commands.hpp"
#include "tool/manual_page.hpp"
#include "tool/program.hpp"
#include "tool/shell_completion.hpp"

#include <fstream>
#include <iostream>

int main(int argc, char** argv) {
  using namespace sweepflux::tool;
  if (argc != 3) {
    std::cerr << "sweepflux_manual needs two files to write: the manual page and the completion\n";
    return bad_input;
  }
  const std::vector<Command> commands = all_commands();
  const std::string version = version_text();
  std::ofstream page(argv[1]);
  std::ofstream completion(argv[2]);
  page << manual_page(commands, version.substr(0, version.find('\n'))) << std::flush;
  completion << bash_completion(commands) << std::flush;
  return page.good() && completion.good() ? done : failed;
}
