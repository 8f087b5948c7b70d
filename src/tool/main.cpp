#include "tool/commands.hpp"
#include "tool/program.hpp"
#include "tool/stop_signal.hpp"

int main(int argc, char** argv) {
  using namespace sweepflux::tool;
  watch_stop_signals();
  return run_program({argv + (argc > 0 ? 1 : 0), argv + argc}, all_commands(), stdout, stderr);
}
