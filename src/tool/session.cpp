#include "tool/session.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "tool/stop_signal.hpp"

#include <cerrno>
#include <chrono>
#include <memory>
#include <mutex>
#include <system_error>
#include <unistd.h>

namespace sweepflux::tool {
namespace {

using Clock = std::chrono::steady_clock;

/// One line that is written over again and again, and wiped in the end.
class ProgressLine {
 public:
  explicit ProgressLine(std::FILE* err) : err_(err) {}
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ~ProgressLine() {
    if (shown_) {
      std::fputs("\r\x1b[K", err_);
      std::fflush(err_);
    }
  }

  void show(const char* what, double share) {
    const std::lock_guard guard(mutex_);
    const Clock::time_point now = Clock::now();
    // Short work stays silent, and a terminal need not be refreshed more than a few times a second.
    if (now - start_ < std::chrono::seconds(1) ||
        (shown_ && now - last_ < std::chrono::milliseconds(200))) {
      return;
    }
    std::fprintf(err_, "\r\x1b[K%s: %d %%", what, static_cast<int>(100 * share));
    std::fflush(err_);
    last_ = now;
    shown_ = true;
  }

 private:
  std::FILE* err_;
  std::mutex mutex_;
  Clock::time_point start_ = Clock::now();
  Clock::time_point last_;
  bool shown_ = false;
};

}  // namespace

void Session::put(std::string_view text) {
  if (std::fwrite(text.data(), 1, text.size(), out_) != text.size()) {
    throw SystemError("standard output cannot be written: " +
                      std::generic_category().message(errno));
  }
}

void Session::say(std::string_view text) {
  if (!options_.quiet && !options_.json) {
    put(terminal_text(with_minus_signs(text)));
  }
}

void Session::redraw(std::string_view page) {
  std::string over = drawn_ ? "\x1b[H" : "\x1b[2J\x1b[H";
  drawn_ = true;
  for (const char c : terminal_text(with_minus_signs(page))) {
    over += c == '\n' ? std::string("\x1b[K\n") : std::string(1, c);
  }
  if (!options_.quiet && !options_.json) {
    put(over + "\x1b[J");
    finish();
  }
}

void Session::say_place(const char* what, const std::filesystem::path& folder) {
  if (!options_.quiet && !options_.json) {
    put(std::string("\n") + what + " in " + terminal_line(folder.string()) + "\n");
  }
}

void Session::give(std::string_view json) { put(terminal_json(json)); }

void Session::complain(std::string_view line) {
  const std::string text = terminal_line(line) + "\n";
  std::fwrite(text.data(), 1, text.size(), err_);
}

void Session::finish() {
  // A full disk may report only at the flush, or, over a network, only at the close.
  if (std::fflush(out_) != 0) {
    throw SystemError("standard output cannot be written: " +
                      std::generic_category().message(errno));
  }
}

Progress Session::progress() const {
  Progress progress;
  progress.stop_wanted = [] { return stop_signal() != 0; };
  if (!options_.quiet && ::isatty(::fileno(err_)) == 1) {
    const auto line = std::make_shared<ProgressLine>(err_);
    progress.report = [line](const char* what, double share) { line->show(what, share); };
  }
  return progress;
}

}  // namespace sweepflux::tool
