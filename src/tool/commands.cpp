#include "tool/commands.hpp"

namespace sweepflux::tool {

std::vector<Command> all_commands() {
  return {make_new_command(),
          make_plan_command(),
          make_follow_command(),
          make_reduce_command(),
          make_map_command(),
          make_thrust_command(),
          make_compare_command()};
}

}  // namespace sweepflux::tool
