#include "sweepflux/base/input_file.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

namespace sweepflux {
namespace {

constexpr int wait_ms = 100;
constexpr int most_waits = 50;

InputFile into_stream(int handle) {
  InputFile file(::fdopen(handle, "rb"));
  if (file == nullptr) {
    ::close(handle);
    throw SystemError(std::string("cannot be opened: ") + std::strerror(errno));
  }
  std::setvbuf(file.get(), nullptr, _IONBF, 0);
  return file;
}

/// Opened without blocking, a pipe reads as ended until somebody opens its other end.
InputFile wait_for_writer(int handle) {
  InputFile file = into_stream(handle);
  for (int waits = 0; waits < most_waits; ++waits) {
    struct pollfd wanted {
      handle, POLLIN, 0
    };
    char first = '\0';
    const bool ready = ::poll(&wanted, 1, wait_ms) > 0;
    const ssize_t given = ready ? -1 : ::read(handle, &first, 1);
    if (ready || given != 0) {
      ::fcntl(handle, F_SETFL, ::fcntl(handle, F_GETFL) & ~O_NONBLOCK);
      if (given == 1) {
        std::ungetc(static_cast<unsigned char>(first), file.get());
      }
      return file;
    }
  }
  throw InputError("is a pipe that nothing writes to; start what writes to it first");
}

}  // namespace

InputFile open_input(const std::filesystem::path& file, const char* for_folder) {
  const int handle = ::open(file.c_str(), O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  struct stat status {};
  if (handle < 0 || ::fstat(handle, &status) != 0) {
    throw InputError(std::string("cannot be opened: ") + std::strerror(errno));
  }
  if (S_ISDIR(status.st_mode)) {
    ::close(handle);
    throw InputError(std::string("is a folder") + for_folder);
  }
  if (S_ISFIFO(status.st_mode)) {
    return wait_for_writer(handle);
  }
  // Of a wrong path, such as /proc/self/mem, not one byte can be read; a disk fails further on.
  char first = '\0';
  if (S_ISREG(status.st_mode) && ::pread(handle, &first, 1, 0) < 0) {
    const int fault = errno;
    ::close(handle);
    throw InputError(std::string("cannot be read: ") + std::strerror(fault));
  }
  ::fcntl(handle, F_SETFL, ::fcntl(handle, F_GETFL) & ~O_NONBLOCK);
  return into_stream(handle);
}

std::string read_input(const std::filesystem::path& file,
                       const char* for_folder,
                       std::size_t most_bytes) {
  constexpr std::size_t piece = 1U << 14U;
  const InputFile opened = open_input(file, for_folder);
  std::string text;
  std::size_t given = piece;
  while (given == piece && text.size() <= most_bytes) {
    const std::size_t before = text.size();
    text.resize(before + piece);
    given = std::fread(text.data() + before, 1, piece, opened.get());
    text.resize(before + given);
  }
  if (std::ferror(opened.get()) != 0) {
    throw SystemError(file.string() + ": reading stopped: " + std::strerror(errno));
  }
  text.resize(std::min(text.size(), most_bytes + 1));
  return text;
}

}  // namespace sweepflux
