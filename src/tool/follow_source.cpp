#include "tool/follow_source.hpp"

#include "sweepflux/base/checksum.hpp"
#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

namespace sweepflux::tool {
namespace {

constexpr std::size_t most_bytes = 1U << 16;
constexpr std::size_t looked_at = 4096;  // at either end of what was read
constexpr double longest_loss_s = 30.0;  // of a line that may come back

std::uint64_t id_of(const struct stat& status) {
  return (static_cast<std::uint64_t>(status.st_dev) << 40) ^
         static_cast<std::uint64_t>(status.st_ino);
}

}  // namespace

FollowSource::FollowSource(const std::string& name, const SerialLine& line)
    : name_(name), line_(line) {
  if (!open()) {
    throw InputError(name_ + ": " + std::strerror(errno));
  }
}

FollowSource::~FollowSource() {
  if (descriptor_ > 0) {
    ::close(descriptor_);
  }
}

/// @return false when it cannot be opened; errno says why
bool FollowSource::open() {
  if (name_ == "-") {
    descriptor_ = 0;
    return true;
  }
  if (descriptor_ > 0) {
    ::close(descriptor_);
  }
  descriptor_ = ::open(name_.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (descriptor_ < 0) {
    return false;
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
  is_device_ = S_ISCHR(status.st_mode) && ::isatty(descriptor_) == 1;
  if (S_ISCHR(status.st_mode)) {
    set_serial_line(descriptor_, line_, name_);
  }
  return true;
}

/// The other end of a serial line is gone: a plug was pulled, an instrument was switched off.
FollowSource::State FollowSource::come_back(int wait_ms) {
  const auto now = std::chrono::steady_clock::now();
  if (!lost_since_) {
    lost_since_ = now;
  }
  if (std::chrono::duration<double>(now - *lost_since_).count() > longest_loss_s) {
    return State::ended;
  }
  ::poll(nullptr, 0, wait_ms);
  try {
    if (open()) {
      return State::nothing_yet;
    }
  } catch (const SystemError&) {
    // It is there, but not yet ready.
  }
  if (descriptor_ > 0) {
    ::close(descriptor_);
  }
  descriptor_ = -1;
  return State::nothing_yet;
}

void FollowSource::reopen() {
  if (!open()) {
    throw InputError(name_ + ": " + std::strerror(errno));
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
  if (!left_over_.empty()) {
    bytes = std::exchange(left_over_, {});
    return State::data;
  }
  if (descriptor_ < 0) {
    bytes.clear();
    return come_back(wait_ms);
  }
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
    reopen();
    return State::began_anew;
  }
  if (n > 0 && lost_since_) {
    lost_since_.reset();
    left_over_ = std::exchange(bytes, {});
    return State::came_back;
  }
  if (n > 0) {
    at_ += bytes.size();
    note_read();
    return State::data;
  }
  if (n < 0 && (fault == EAGAIN || fault == EINTR)) {
    return State::nothing_yet;
  }
  const bool gone = fault == EIO || fault == ENXIO || fault == ENODEV;
  if (is_device_ && (n == 0 || gone)) {
    return come_back(wait_ms);
  }
  if (n < 0 && !gone) {
    throw SystemError(name_ + ": " + std::strerror(fault));
  }
  if (!is_file_) {
    return State::ended;
  }
  if (was_replaced()) {
    reopen();
    return State::began_anew;
  }
  ::poll(nullptr, 0, wait_ms);
  return State::nothing_yet;
}

}  // namespace sweepflux::tool
