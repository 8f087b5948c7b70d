#include "sweepflux/record/follow_journal.hpp"

#include "sweepflux/base/error.hpp"

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstring>
#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <limits>
#include <string_view>
#include <type_traits>
#include <unistd.h>

namespace sweepflux {
namespace {

constexpr const char* head = "sweepflux follow journal 4";
constexpr const char* line_end = " end";
constexpr const char* dwell_begin = "dwell";
constexpr const char* mark_begin = "mark";
constexpr int parts = 4;  // of a fingerprint: a double holds no whole number of 64 bits
constexpr int bits_of_part = 16;

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
  each(d.second_largest);
  each(d.at_largest);
  each(d.zeros);
  each(d.values);
  each(d.longest_same);
  each(d.first_line);
  each(d.reading.evidence.degrees);
  for (std::size_t i = 0; i < correlation_candidates; ++i) {
    each(d.reading.evidence.log_likelihood[i]);
    each(d.reading.evidence.centre[i]);
    each(d.reading.evidence.scale[i]);
  }
}

/// Calls `each` with every number of a mark, in a fixed order.
template <typename SomeMark, typename Each>
void visit_mark(SomeMark& m, Each each) {
  each(m.byte);
  each(m.line);
  each(m.moving_rows);
  each(m.counts.rows);
  each(m.counts.missing);
  each(m.counts.over_range);
  each(m.counts.under_range);
  each(m.counts.unreadable);
  each(m.counts.segments);
  each(m.counts.undated);
  each(m.learnt.settle_s);
  each(m.learnt.shortest_s);
  each(m.learnt.usual_rest_s);
  each(m.learnt.listed);
  each(m.learnt.steps);
  each(m.learnt.response.seen);
  each(m.learnt.response.delay_s);
  each(m.learnt.response.time_constant_s);
  each(m.learnt.response.settle_s);
  each(m.learnt.response.settle_low_s);
  each(m.learnt.response.settle_high_s);
  each(m.learnt.response.noise);
}

/// A journal may have been damaged: what no whole number can hold becomes 0.
template <typename Field>
Field to_field(double value) {
  if constexpr (std::is_floating_point_v<Field>) {
    return static_cast<Field>(value);
  } else {
    constexpr double most = 9007199254740992.0;  // 2^53: beyond, a double holds no odd numbers
    const bool fits =
        std::abs(value) <= std::min(most, static_cast<double>(std::numeric_limits<Field>::max()));
    return fits && (std::is_signed_v<Field> || value >= 0.0) ? static_cast<Field>(value) : Field{};
  }
}

/// Numbers of a line, one after the other; the line must end as a whole one does.
class LineNumbers {
 public:
  /// @param begin  the word before them
  LineNumbers(const std::string& line, std::string_view begin) : line_(line), at_(begin.size()) {
    whole_ = line.starts_with(begin) && line.ends_with(line_end);
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
  std::size_t at_;
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
  const bool has_line = static_cast<bool>(std::getline(in, line));
  if (in.eof() && std::string_view(head).starts_with(line)) {
    return std::nullopt;  // killed at the very first line
  }
  if (!has_line || line != head) {
    throw InputError(file.string() +
                     ": not a journal of sweepflux; move it away, or choose another --out");
  }
  if (!std::getline(in, content.settings)) {
    return std::nullopt;  // killed before the head was whole: nothing was reduced yet
  }
  std::vector<Dwell> unmarked;
  const auto fill = [](LineNumbers& numbers) {
    return [&numbers](auto& field) {
      field = to_field<std::remove_reference_t<decltype(field)>>(numbers.next());
    };
  };
  while (std::getline(in, line)) {
    if (line.starts_with(mark_begin)) {
      LineNumbers numbers(line, mark_begin);
      FollowMark mark;
      visit_mark(mark, fill(numbers));
      std::uint64_t fingerprint = 0;
      for (int part = 0; part < parts; ++part) {
        fingerprint |= to_field<std::uint64_t>(numbers.next()) << (bits_of_part * part);
      }
      if (numbers.whole()) {
        content.mark = mark;
        content.fingerprint = fingerprint;
        std::move(unmarked.begin(), unmarked.end(), std::back_inserter(content.dwells));
      }
      unmarked.clear();  // of a cut one the source holds what it gave
    } else if (line.empty()) {
      unmarked.clear();  // another run began here
    } else {
      LineNumbers numbers(line, dwell_begin);
      Dwell dwell;
      visit(dwell, fill(numbers));
      if (numbers.whole()) {
        unmarked.push_back(std::move(dwell));
      }
    }
  }
  if (content.dwells.empty()) {
    return std::nullopt;  // nothing to go on with
  }
  return content;
}

FollowJournal::FollowJournal(const std::filesystem::path& file, const std::string& settings)
    : file_(file) {
  const std::optional<JournalContent> old = read(file);
  holds_dwells_ = old.has_value();
  const int mode = old ? O_APPEND : O_TRUNC;
  descriptor_ = ::open(file.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC | mode, 0644);
  if (descriptor_ < 0) {
    throw SystemError(file.string() + ": " + std::strerror(errno));
  }
  try {
    // An empty line ends one that a kill may have cut, and is passed over.
    put(old ? "\n" : std::string(head) + "\n" + settings + "\n");
  } catch (const SystemError&) {
    ::close(descriptor_);
    if (!old) {
      remove();
    }
    throw;
  }
}

FollowJournal::~FollowJournal() {
  if (descriptor_ >= 0) {
    ::close(descriptor_);
    if (!holds_dwells_) {
      remove();
    }
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

void FollowJournal::add(std::span<const Dwell> dwells,
                        const FollowMark& mark,
                        std::uint64_t fingerprint) {
  std::string lines;
  const auto write = [&lines](const auto& field) { append(lines, static_cast<double>(field)); };
  for (const Dwell& dwell : dwells) {
    lines += dwell_begin;
    visit(dwell, write);
    lines.append(line_end).append("\n");
  }
  lines += mark_begin;
  visit_mark(mark, write);
  for (int part = 0; part < parts; ++part) {
    write((fingerprint >> (bits_of_part * part)) & ((1U << bits_of_part) - 1U));
  }
  lines.append(line_end).append("\n");
  put(lines);
  holds_dwells_ = holds_dwells_ || !dwells.empty();
}

void FollowJournal::remove() {
  std::error_code ignored;
  std::filesystem::remove(file_, ignored);
}

}  // namespace sweepflux
