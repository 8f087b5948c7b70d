#include "tool/commands.hpp"
#include "tool/program.hpp"
#include "tool/stop_signal.hpp"

#include <pthread.h>
#include <sys/resource.h>
#include <thread>

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

/// Runs it on a stack of the usual size, and all threads that it starts, also where the shell
/// allows less (`ulimit -s 64`): Eigen's products keep up to 128 KiB of it at a time.
template <typename Run>
void with_usual_stack(Run run) {
  constexpr rlim_t usual = 8U << 20U;
  struct rlimit limit {};
  if (::getrlimit(RLIMIT_STACK, &limit) != 0 || limit.rlim_cur >= usual) {
    run();
    return;
  }
#ifdef __GLIBC__
  pthread_attr_t attributes;
  pthread_attr_init(&attributes);
  pthread_attr_setstacksize(&attributes, usual);
  pthread_setattr_default_np(&attributes);
  pthread_attr_destroy(&attributes);
#endif
  std::thread(run).join();
}

}  // namespace

int main(int argc, char** argv) {
  using namespace sweepflux::tool;
  keep_freed_memory();
  watch_stop_signals();
  int code = failed;
  with_usual_stack([&] {
    code = run_program({argv + (argc > 0 ? 1 : 0), argv + argc}, all_commands(), stdout, stderr);
  });
  return code;
}
