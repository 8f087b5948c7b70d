#include "sweepflux/record/follow_journal.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstring>
#include <fcntl.h>
#include <fstream>
#include <limits>
#include <string_view>
#include <type_traits>
#include <unistd.h>

namespace sweepflux {
namespace {

constexpr const char* head = "sweepflux follow journal 1";
constexpr const char* line_end = " end";

void append(std::string& line, double value) {
  char digits[32];
  const auto end = std::to_chars(digits, digits + sizeof digits, value);
  line.append(" ").append(digits, end.ptr);
}

/// Calls `each` with every number of a dwell, in a fixed order.
template <typename SomeDwell, typename Each>
void visit(SomeDwell& d, Each each) {
  each(d.position);
  each(d.direction);
  each(d.start_s);
  each(d.settle_s);
  each(d.reading.samples);
  each(d.reading.mean);
  each(d.reading.standard_deviation);
  each(d.reading.integral_time_s);
  each(d.reading.effective_samples);
  each(d.reading.standard_error);
  each(d.reading.first_time_s);
  each(d.reading.last_time_s);
  each(d.reading.first_line);
  each(d.reading.last_line);
  each(d.missing);
  each(d.over_range);
  each(d.unreadable);
  each(d.gaps);
  each(d.largest);
  each(d.at_largest);
  each(d.zeros);
  each(d.values);
  each(d.longest_same);
}

/// A journal may have been damaged: what no whole number can hold becomes 0.
template <typename Field>
Field to_field(double value) {
  if constexpr (std::is_same_v<Field, double>) {
    return value;
  } else {
    constexpr double most = 9007199254740992.0;  // 2^53: beyond, a double tells no whole numbers
    const bool fits =
        std::abs(value) <= std::min(most, static_cast<double>(std::numeric_limits<Field>::max()));
    return fits && (std::is_signed_v<Field> || value >= 0.0) ? static_cast<Field>(value) : Field{};
  }
}

/// Numbers of a line, one after the other; the line must end as a whole one does.
class LineNumbers {
 public:
  explicit LineNumbers(const std::string& line) : line_(line) {
    const std::size_t tail = std::strlen(line_end);
    whole_ = line.size() > tail && line.compare(line.size() - tail, tail, line_end) == 0;
  }

  [[nodiscard]] double next() {
    while (at_ < line_.size() && line_[at_] == ' ') {
      ++at_;
    }
    double value = std::numeric_limits<double>::quiet_NaN();
    const char* const first = line_.data() + at_;
    const auto [stop, error] = std::from_chars(first, line_.data() + line_.size(), value);
    whole_ = whole_ && error == std::errc{};
    at_ += static_cast<std::size_t>(stop - first);
    return value;
  }

  [[nodiscard]] bool whole() const { return whole_; }

 private:
  const std::string& line_;
  std::size_t at_ = 0;
  bool whole_ = true;
};

}  // namespace

std::optional<JournalContent> FollowJournal::read(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) {
    return std::nullopt;
  }
  JournalContent content;
  std::string line;
  std::string id;
  const bool has_line = static_cast<bool>(std::getline(in, line));
  if (in.eof() && std::string_view(head).starts_with(line)) {
    return std::nullopt;  // killed at the very first line
  }
  if (!has_line || line != head) {
    throw InputError(file.string() +
                     ": not a journal of sweepflux; move it away, or choose another --out");
  }
  if (!std::getline(in, content.settings) || !std::getline(in, id)) {
    return std::nullopt;  // killed before the head was whole: nothing was reduced yet
  }
  std::from_chars(id.data(), id.data() + id.size(), content.source_id);
  while (std::getline(in, line)) {
    LineNumbers numbers(line);
    Dwell dwell;
    const double byte = numbers.next();
    const double at_line = numbers.next();
    const double settle_s = numbers.next();
    const double shortest_s = numbers.next();
    visit(dwell, [&numbers](auto& field) {
      using Field = std::remove_reference_t<decltype(field)>;
      const double value = numbers.next();
      field = to_field<Field>(value);
    });
    if (!numbers.whole()) {
      continue;  // cut by a kill; the source holds what it told
    }
    content.dwells.push_back(std::move(dwell));
    content.mark = {to_field<std::size_t>(byte), to_field<std::size_t>(at_line)};
    content.settle_s = settle_s;
    content.shortest_s = shortest_s;
  }
  return content;
}

FollowJournal::FollowJournal(const std::filesystem::path& file,
                             const std::string& settings,
                             std::uint64_t source_id)
    : file_(file) {
  const std::optional<JournalContent> old = read(file);
  const int mode = old ? O_APPEND : O_TRUNC;
  descriptor_ = ::open(file.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC | mode, 0644);
  if (descriptor_ < 0) {
    throw SystemError(file.string() + ": " + std::strerror(errno));
  }
  if (!old) {
    put(std::string(head) + "\n" + settings + "\n" + std::to_string(source_id) + "\n");
  } else {
    put("\n");  // ends a line that a kill may have cut; an empty line is passed over
  }
}

FollowJournal::~FollowJournal() {
  if (descriptor_ >= 0) {
    ::close(descriptor_);
  }
}

void FollowJournal::put(const std::string& line) {
  std::size_t written = 0;
  while (written < line.size()) {
    const ssize_t n = ::write(descriptor_, line.data() + written, line.size() - written);
    if (n < 0 && errno != EINTR) {
      throw SystemError(file_.string() + ": " + std::strerror(errno));
    }
    written += n > 0 ? static_cast<std::size_t>(n) : 0;
  }
  if (::fdatasync(descriptor_) != 0 && errno != EINVAL) {
    throw SystemError(file_.string() + ": " + std::strerror(errno));
  }
}

void FollowJournal::add(const Dwell& dwell, FollowMark mark, double settle_s, double shortest_s) {
  std::string line;
  append(line, static_cast<double>(mark.byte));
  append(line, static_cast<double>(mark.line));
  append(line, settle_s);
  append(line, shortest_s);
  visit(dwell, [&line](const auto& field) { append(line, static_cast<double>(field)); });
  put(line + line_end + "\n");
}

void FollowJournal::remove() {
  std::error_code ignored;
  std::filesystem::remove(file_, ignored);
}

}  // namespace sweepflux
