#include "tool/commands.hpp"
#include "tool/program.hpp"
#include "tool/stop_signal.hpp"

#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace {

/// Matrices of a megabyte come and go by the thousand. Handed back to the system each time, they
/// cost a sixth of a map's time in page faults; so freed memory stays with the program.
void keep_freed_memory() {
#ifdef __GLIBC__
  constexpr int megabyte = 1024 * 1024;
  mallopt(M_MMAP_THRESHOLD, 32 * megabyte);  // the most that is allowed
  mallopt(M_TRIM_THRESHOLD, 512 * megabyte);
  mallopt(M_TOP_PAD, 16 * megabyte);
#endif
}

}  // namespace

int main(int argc, char** argv) {
  using namespace sweepflux::tool;
  keep_freed_memory();
  watch_stop_signals();
  return run_program({argv + (argc > 0 ? 1 : 0), argv + argc}, all_commands(), stdout, stderr);
}
