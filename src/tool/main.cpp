#include "tool/compare_command.hpp"
#include "tool/follow_command.hpp"
#include "tool/map_command.hpp"
#include "tool/new_command.hpp"
#include "tool/plan_command.hpp"
#include "tool/program.hpp"
#include "tool/reduce_command.hpp"
#include "tool/stop_signal.hpp"
#include "tool/thrust_command.hpp"

int main(int argc, char** argv) {
  using namespace sweepflux::tool;
  // In the order in which the help lists them: that of a day at the rig.
  constexpr AddCommand commands[] = {
      add_new_command,
      add_plan_command,
      add_follow_command,
      add_reduce_command,
      add_map_command,
      add_thrust_command,
      add_compare_command,
  };
  watch_stop_signals();
  return run_program({argv + (argc > 0 ? 1 : 0), argv + argc}, commands, stdout, stderr);
}
