#pragma once

#include "sweepflux/derive/log/reduce_log.hpp"
#include "sweepflux/record/folder.hpp"
#include "tool/follow_options.hpp"

namespace sweepflux::tool {

/// What comes after a sweep: with --append it is put into the survey's file; its plane is mapped
/// with it and said; and with --append the next sweep is planned, said, and added to the folder as
/// steps and program, which is written anew.
void say_next(const FollowArguments& options,
              const ReducedLog& reduced,
              ResultFolder& folder,
              Session& session);

}  // namespace sweepflux::tool
