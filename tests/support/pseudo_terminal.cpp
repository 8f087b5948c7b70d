#include "tests/support/pseudo_terminal.hpp"

#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <fcntl.h>
#include <stdexcept>
#include <sys/ioctl.h>
#include <termios.h>
#include <thread>
#include <unistd.h>

namespace sweepflux::test {
namespace {

using Clock = std::chrono::steady_clock;

void rest() { std::this_thread::sleep_for(std::chrono::milliseconds(1)); }

}  // namespace

PseudoTerminal::PseudoTerminal() {
  master_ = ::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (master_ < 0 || ::grantpt(master_) != 0 || ::unlockpt(master_) != 0) {
    throw std::runtime_error("no pseudo-terminal");
  }
  path_ = ::ptsname(master_);
  slave_ = ::open(path_.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  struct termios line {};
  if (slave_ < 0 || ::tcgetattr(slave_, &line) != 0) {
    throw std::runtime_error("no pseudo-terminal");
  }
  ::cfmakeraw(&line);  // else it would send back what it gets
  ::tcsetattr(slave_, TCSANOW, &line);
}

PseudoTerminal::~PseudoTerminal() { close(); }

void PseudoTerminal::close() {
  for (int* end : {&slave_, &master_}) {
    if (*end >= 0) {
      ::close(*end);
      *end = -1;
    }
  }
}

bool PseudoTerminal::write(std::string_view bytes, double patience_s) {
  Clock::time_point last = Clock::now();
  while (!bytes.empty()) {
    const ssize_t n = ::write(master_, bytes.data(), bytes.size());
    if (n > 0) {
      bytes.remove_prefix(static_cast<std::size_t>(n));
      last = Clock::now();
    } else if (n < 0 && errno != EAGAIN && errno != EINTR) {
      return false;
    } else if (std::chrono::duration<double>(Clock::now() - last).count() > patience_s) {
      return false;
    } else {
      rest();
    }
  }
  return true;
}

bool PseudoTerminal::wait_until_read(double patience_s) const {
  constexpr double longest_way_s = 2.0;  // the system hands bytes over a little later
  const Clock::time_point begin = Clock::now();
  bool arrived = false;
  while (true) {
    int waiting = 0;
    const double since_s = std::chrono::duration<double>(Clock::now() - begin).count();
    if (::ioctl(slave_, FIONREAD, &waiting) != 0 || since_s > patience_s) {
      return false;
    }
    arrived = arrived || waiting > 0 || since_s > longest_way_s;
    if (arrived && waiting == 0) {
      return true;
    }
    rest();
  }
}

}  // namespace sweepflux::test
