#include "tool/follow_source.hpp"

#include "sweepflux/base/checksum.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>
#include <utility>

namespace sweepflux::tool {
namespace {

constexpr std::size_t most_bytes = 1U << 16;
constexpr std::size_t looked_at = 4096;  // at either end of what was read

std::uint64_t id_of(const struct stat& status) {
  return (static_cast<std::uint64_t>(status.st_dev) << 40) ^
         static_cast<std::uint64_t>(status.st_ino);
}

/// Raw bytes, eight bits, at the speed asked for.
void set_line(int descriptor, int baud, const std::string& name) {
  constexpr std::pair<int, speed_t> speeds[] = {{1200, B1200},
                                                {2400, B2400},
                                                {4800, B4800},
                                                {9600, B9600},
                                                {19200, B19200},
                                                {38400, B38400},
                                                {57600, B57600},
                                                {115200, B115200},
                                                {230400, B230400}};
  struct termios line {};
  if (tcgetattr(descriptor, &line) != 0) {
    return;  // no terminal line: nothing to set
  }
  cfmakeraw(&line);
  line.c_cc[VMIN] = 0;
  line.c_cc[VTIME] = 0;
  if (baud != 0) {
    bool known = false;
    for (const auto& [number, speed] : speeds) {
      if (number == baud) {
        cfsetispeed(&line, speed);
        cfsetospeed(&line, speed);
        known = true;
      }
    }
    if (!known) {
      throw InputError("--baud is " + std::to_string(baud) + ", must be one of 1200 to 230400");
    }
  }
  if (tcsetattr(descriptor, TCSANOW, &line) != 0) {
    throw SystemError(name + ": the serial line cannot be set: " + std::strerror(errno));
  }
}

}  // namespace

FollowSource::FollowSource(const std::string& name, int baud) : name_(name), baud_(baud) { open(); }

FollowSource::~FollowSource() {
  if (descriptor_ > 0) {
    ::close(descriptor_);
  }
}

void FollowSource::open() {
  if (name_ == "-") {
    descriptor_ = 0;
    return;
  }
  if (descriptor_ > 0) {
    ::close(descriptor_);
  }
  descriptor_ = ::open(name_.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (descriptor_ < 0) {
    throw InputError(name_ + ": " + std::strerror(errno));
  }
  struct stat status {};
  if (::fstat(descriptor_, &status) != 0) {
    throw SystemError(name_ + ": " + std::strerror(errno));
  }
  if (S_ISDIR(status.st_mode)) {
    throw InputError(name_ + ": is a folder; name the log in it");
  }
  is_file_ = S_ISREG(status.st_mode);
  id_ = is_file_ ? id_of(status) : 0;
  at_ = 0;
  note_read();
  if (S_ISCHR(status.st_mode)) {
    set_line(descriptor_, baud_, name_);
  }
}

std::uint64_t FollowSource::fingerprint(std::size_t byte) const {
  if (!is_file_) {
    return 0;
  }
  const std::size_t length = std::min(byte, looked_at);
  std::string ends(2 * length, '\0');
  const auto whole = [&](std::size_t to, std::size_t from) {
    return ::pread(descriptor_, ends.data() + to, length, static_cast<off_t>(from)) ==
           static_cast<ssize_t>(length);
  };
  return whole(0, 0) && whole(length, byte - length) ? checksum(ends) : 0;
}

void FollowSource::note_read() { read_so_far_ = fingerprint(at_); }

/// A logger that starts anew writes another file of the same name, or writes this one anew: what
/// was read of it is then no longer there, however long it has become.
bool FollowSource::was_replaced() const {
  struct stat status {};
  if (::stat(name_.c_str(), &status) != 0) {
    return false;  // between two files: wait for the new one
  }
  return id_of(status) != id_ || fingerprint(at_) != read_so_far_;
}

FollowSource::State FollowSource::read(std::string& bytes, int wait_ms) {
  bytes.resize(most_bytes);
  if (!is_file_) {
    struct pollfd wanted {
      descriptor_, POLLIN, 0
    };
    const int ready = ::poll(&wanted, 1, wait_ms);
    if (ready <= 0) {
      bytes.clear();
      return State::nothing_yet;
    }
  }
  const ssize_t n = ::read(descriptor_, bytes.data(), bytes.size());
  const int fault = errno;
  bytes.resize(n > 0 ? static_cast<std::size_t>(n) : 0);
  if (n > 0 && is_file_ && fingerprint(at_) != read_so_far_) {
    bytes.clear();
    open();
    return State::began_anew;
  }
  if (n > 0) {
    at_ += bytes.size();
    note_read();
    return State::data;
  }
  if (n < 0 && (fault == EAGAIN || fault == EINTR)) {
    return State::nothing_yet;
  }
  if (n < 0 && fault != EIO) {  // EIO: the other end of the line is gone
    throw SystemError(name_ + ": " + std::strerror(fault));
  }
  if (!is_file_) {
    return State::ended;
  }
  if (was_replaced()) {
    open();
    return State::began_anew;
  }
  ::poll(nullptr, 0, wait_ms);
  return State::nothing_yet;
}

}  // namespace sweepflux::tool
