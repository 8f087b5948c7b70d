#include "tool/stop_signal.hpp"

#include <csignal>
#include <initializer_list>
#include <unistd.h>

namespace sweepflux::tool {
namespace {

volatile std::sig_atomic_t wanted = 0;

extern "C" void note_stop(int signal) {
  if (wanted != 0) {
    _exit(128 + signal);
  }
  wanted = signal;
}

}  // namespace

void watch_stop_signals() {
  struct sigaction action {};
  action.sa_handler = note_stop;
  sigemptyset(&action.sa_mask);
  action.sa_flags = SA_RESTART;
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
    struct sigaction before {};
    sigaction(signal, nullptr, &before);
    // Under nohup, or in the background of a plain shell, some are ignored on purpose.
    if (before.sa_handler != SIG_IGN) {
      sigaction(signal, &action, nullptr);
    }
  }
  std::signal(SIGXFSZ, SIG_IGN);
}

int stop_signal() { return wanted; }

}  // namespace sweepflux::tool
