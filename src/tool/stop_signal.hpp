#pragma once

namespace sweepflux::tool {

/// From here on Ctrl-C, a hang-up and a request to end only raise a flag that the work looks at;
/// a second one ends the program at once. A write beyond a limit of file size becomes an ordinary
/// error instead of killing the program.
void watch_stop_signals();

/// The number of the signal that asked for a stop; 0: none did.
[[nodiscard]] int stop_signal();

}  // namespace sweepflux::tool
