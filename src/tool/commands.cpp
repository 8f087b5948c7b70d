#include "tool/commands.hpp"

#include "tool/compare_command.hpp"
#include "tool/follow_command.hpp"
#include "tool/map_command.hpp"
#include "tool/new_command.hpp"
#include "tool/plan_command.hpp"
#include "tool/reduce_command.hpp"
#include "tool/thrust_command.hpp"

namespace sweepflux::tool {

std::span<const AddCommand> all_commands() {
  static constexpr AddCommand commands[] = {
      add_new_command,
      add_plan_command,
      add_follow_command,
      add_reduce_command,
      add_map_command,
      add_thrust_command,
      add_compare_command,
  };
  return commands;
}

}  // namespace sweepflux::tool
