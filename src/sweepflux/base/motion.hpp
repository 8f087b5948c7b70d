#pragma once

namespace sweepflux {

/// How the probe's place changes along a sweep: the fan turns before it, or it rides a rail.
enum class Motion { swivel, traverse };

}  // namespace sweepflux
