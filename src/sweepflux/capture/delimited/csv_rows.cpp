#include "sweepflux/capture/delimited/csv_rows.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/delimited/csv_source_private.hpp"

#include <algorithm>
#include <array>
#include <cstring>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t block_bytes = 1U << 18;
constexpr std::size_t sample_bytes = 1U << 16;

enum class Kind : unsigned char { plain, separator, line_end, nul };

void check(const CsvOptions& options) {
  if (options.max_cell_bytes < 1 || options.max_cells < 1 ||
      options.max_line_bytes < options.max_cell_bytes) {
    throw InputError(
        "CsvOptions: max_cell_bytes and max_cells must be >= 1, max_line_bytes must "
        "be >= max_cell_bytes");
  }
  if (std::strchr("\"\r\n#", options.separator) != nullptr && options.separator != '\0') {
    throw InputError("CsvOptions: a quote, a line end or # cannot be the separator");
  }
}

/// Spreadsheets write their error values with a leading #; such a row is no comment.
bool is_error_value(std::string_view rest) {
  constexpr std::array<std::string_view, 7> values = {
      "#N/A", "#NV", "#VALUE!", "#DIV/0!", "#NUM!", "#REF!", "#WERT!"};
  return std::any_of(values.begin(), values.end(), [rest](std::string_view value) {
    return rest.substr(0, value.size()) == value;
  });
}

/// Undoes doubled quotes in place; the text only shrinks.
std::string_view undouble_quotes(char* first, std::size_t size) {
  std::size_t kept = 0;
  for (std::size_t i = 0; i < size; ++i, ++kept) {
    first[kept] = first[i];
    if (first[i] == '"' && i + 1 < size && first[i + 1] == '"') {
      ++i;
    }
  }
  return {first, kept};
}

}  // namespace

struct CsvRows::State {
  enum class Outcome { row, nothing, need_more };

  CsvSource source;
  CsvOptions options;
  char separator = ',';
  std::array<Kind, 256> kinds{};
  std::vector<char> buffer;
  std::size_t begin = 0;
  std::size_t end = 0;
  bool ended = false;
  std::size_t bytes = 0;
  std::size_t block = block_bytes;  ///< to be read next; less for a file that is known to be small
  std::size_t line = 1;
  CsvRow row;
  std::vector<std::size_t> doubled;  ///< cells with doubled quotes
  std::string comment;
  std::size_t comment_line = 0;
  std::string sample;

  void start();
  void refill();
  void start_row();
  const CsvRow* next();
  Outcome parse();
  Outcome finish_line(std::size_t at, std::size_t extra_lines);
  Outcome parse_comment(std::size_t at);
  bool quoted_cell(std::size_t& at, std::size_t& extra_lines, bool& wants_more);
  void plain_cell(std::size_t& at);
  void give_up_line();

  [[nodiscard]] Kind kind(std::size_t at) const {
    return kinds[static_cast<unsigned char>(buffer[at])];
  }
  [[nodiscard]] bool ends_cell(std::size_t at) const {
    return kind(at) == Kind::separator || kind(at) == Kind::line_end;
  }
  [[nodiscard]] bool is_blank(std::size_t at) const {
    return buffer[at] == ' ' || (buffer[at] == '\t' && separator != '\t');
  }
  void fault(CsvFault what, std::size_t at) {
    if (row.fault == CsvFault::none) {
      row.fault = what;
      row.fault_column = at - begin + 1;
    }
  }
  void add_cell(std::size_t first, std::size_t last, bool quoted) {
    if (row.cells.size() >= options.max_cells) {
      fault(CsvFault::too_many_cells, first);
      return;
    }
    if (last - first > options.max_cell_bytes) {
      fault(CsvFault::cell_too_long, first);
      last = first + options.max_cell_bytes;
    }
    row.cells.push_back({{buffer.data() + first, last - first}, first - begin + 1, quoted});
  }
};

/// Moves the unread bytes to the front and reads a block behind them.
void CsvRows::State::refill() {
  if (ended) {
    return;
  }
  std::copy(buffer.begin() + static_cast<std::ptrdiff_t>(begin),
            buffer.begin() + static_cast<std::ptrdiff_t>(end),
            buffer.begin());
  end -= begin;
  begin = 0;
  if (buffer.size() < end + block) {
    buffer.resize(end + block);
  }
  const std::size_t given = source.read(buffer.data() + end, block);
  ended = given < block;
  block = block_bytes;
  end += given;
  bytes += given;
}

void CsvRows::State::start() {
  check(options);
  block = std::min(block_bytes, source.size_hint().value_or(block_bytes) + 1);
  refill();
  sample.assign(buffer.data(), std::min(end, sample_bytes));
  const CsvOpening opening = read_csv_opening(sample);
  begin = opening.bytes;
  line += opening.lines;
  sample.erase(0, opening.bytes);
  separator = options.separator != '\0' ? options.separator : opening.separator;
  if (separator == '\0' && options.separator_in) {
    separator = options.separator_in(sample);
  }
  if (separator == '\0') {
    separator = find_separator(sample);
  }
  kinds[0] = Kind::nul;
  kinds['\n'] = Kind::line_end;
  kinds['\r'] = Kind::line_end;
  kinds[static_cast<unsigned char>(separator)] = Kind::separator;
  if (separator == ' ') {
    kinds['\t'] = Kind::separator;
  }
}

/// `at` stands on the line's end or on the end of the file.
CsvRows::State::Outcome CsvRows::State::finish_line(std::size_t at, std::size_t extra_lines) {
  if (at == end) {
    if (!ended) {
      return Outcome::need_more;
    }
    row.has_line_end = false;
  } else if (buffer[at] == '\r') {
    if (at + 1 == end && !ended) {
      return Outcome::need_more;
    }
    at += at + 1 < end && buffer[at + 1] == '\n' ? 2U : 1U;
  } else {
    ++at;
  }
  for (const std::size_t index : doubled) {
    const std::string_view text = row.cells[index].text;
    row.cells[index].text =
        undouble_quotes(buffer.data() + (text.data() - buffer.data()), text.size());
  }
  begin = at;
  line += 1 + extra_lines;
  return Outcome::row;
}

CsvRows::State::Outcome CsvRows::State::parse_comment(std::size_t at) {
  const std::size_t first = at + 1;
  while (at < end && kind(at) != Kind::line_end) {
    ++at;
  }
  const std::size_t length = std::min(at - first, options.max_cell_bytes);
  const std::string text(buffer.data() + first, length);
  const std::size_t stood_on = line;
  row.cells.clear();
  if (finish_line(at, 0) == Outcome::need_more) {
    return Outcome::need_more;
  }
  comment = text;
  comment_line = stood_on;
  return Outcome::nothing;
}

/// Reads `"..."`; `at` stands on the opening quote. False: nothing closes it, `at` is unchanged.
bool CsvRows::State::quoted_cell(std::size_t& at, std::size_t& extra_lines, bool& wants_more) {
  const std::size_t first = at + 1;
  std::size_t lines = 0;
  bool has_doubled = false;
  for (std::size_t i = first;; ++i) {
    if (i - first > options.max_cell_bytes) {
      return false;
    }
    if (i == end) {
      wants_more = !ended;
      return false;
    }
    const char c = buffer[i];
    if (c == '\0') {
      fault(CsvFault::nul_byte, i);
    } else if (c == '\n' || (c == '\r' && !(i + 1 < end && buffer[i + 1] == '\n'))) {
      ++lines;
    } else if (c == '"') {
      if (i + 1 == end && !ended) {
        wants_more = true;
        return false;
      }
      if (i + 1 < end && buffer[i + 1] == '"') {
        has_doubled = true;
        ++i;
        continue;
      }
      if (has_doubled && row.cells.size() < options.max_cells) {
        doubled.push_back(row.cells.size());
      }
      add_cell(first, i, true);
      at = i + 1;
      extra_lines += lines;
      return true;
    }
  }
}

void CsvRows::State::plain_cell(std::size_t& at) {
  const std::size_t first = at;
  for (; at < end && !ends_cell(at); ++at) {
    if (kind(at) == Kind::nul) {
      fault(CsvFault::nul_byte, at);
    }
  }
  std::size_t last = at;
  while (last > first && is_blank(last - 1)) {
    --last;
  }
  add_cell(first, last, false);
}

void CsvRows::State::start_row() {
  row.cells.clear();
  doubled.clear();
  row.line = line;
  row.fault = CsvFault::none;
  row.fault_column = 0;
  row.has_line_end = true;
}

CsvRows::State::Outcome CsvRows::State::parse() {
  start_row();
  std::size_t at = begin;
  std::size_t extra_lines = 0;
  const auto skip_blanks = [&] {
    while (at < end && is_blank(at)) {
      ++at;
    }
  };
  skip_blanks();
  if (at == end || kind(at) == Kind::line_end) {
    const Outcome outcome = finish_line(at, 0);
    return outcome == Outcome::row ? Outcome::nothing : outcome;
  }
  if (buffer[at] == '#' && !is_error_value({buffer.data() + at, end - at})) {
    return parse_comment(at);
  }
  while (true) {
    skip_blanks();
    bool wants_more = false;
    if (at < end && buffer[at] == '"' && quoted_cell(at, extra_lines, wants_more)) {
      skip_blanks();
      if (at < end && !ends_cell(at) && separator != ' ') {
        fault(CsvFault::text_after_quote, at);
        while (at < end && !ends_cell(at)) {
          ++at;
        }
      }
    } else if (wants_more) {
      return Outcome::need_more;
    } else {
      if (at < end && buffer[at] == '"') {
        fault(CsvFault::open_quote, at);
      }
      plain_cell(at);
    }
    if (separator == ' ') {
      skip_blanks();
    }
    if (at == end || kind(at) == Kind::line_end) {
      return finish_line(at, extra_lines);
    }
    if (separator != ' ') {
      ++at;  // over the separator; a cell follows, be it empty
    }
  }
}

/// Passes over a line that is longer than can be kept.
void CsvRows::State::give_up_line() {
  start_row();
  row.fault = CsvFault::line_too_long;
  row.fault_column = options.max_line_bytes;
  while (true) {
    while (begin < end && kind(begin) != Kind::line_end) {
      ++begin;
    }
    if ((begin < end || ended) && finish_line(begin, 0) == Outcome::row) {
      return;
    }
    refill();
  }
}

const CsvRow* CsvRows::State::next() {
  while (begin < end || !ended) {
    const Outcome outcome = begin < end ? parse() : Outcome::need_more;
    if (outcome == Outcome::row) {
      return &row;
    }
    if (outcome == Outcome::need_more) {
      if (end - begin >= options.max_line_bytes) {
        give_up_line();
        return &row;
      }
      refill();
    }
  }
  return nullptr;
}

CsvRows::CsvRows(std::unique_ptr<State> state) : state_(std::move(state)) {}
CsvRows::~CsvRows() = default;
CsvRows::CsvRows(CsvRows&&) noexcept = default;
CsvRows& CsvRows::operator=(CsvRows&&) noexcept = default;

CsvRows::CsvRows(const std::filesystem::path& file, const CsvOptions& options)
    : state_(std::make_unique<State>()) {
  state_->options = options;
  state_->source = CsvSource::open(file);
  state_->start();
}

CsvRows CsvRows::over_text(std::string text, const CsvOptions& options) {
  auto state = std::make_unique<State>();
  state->options = options;
  state->source = CsvSource::over(std::move(text));
  state->start();
  return CsvRows(std::move(state));
}

const CsvRow* CsvRows::next() { return state_->next(); }
char CsvRows::separator() const { return state_->separator; }
std::size_t CsvRows::bytes_read() const { return state_->bytes; }
const std::string& CsvRows::last_comment() const { return state_->comment; }
std::size_t CsvRows::last_comment_line() const { return state_->comment_line; }
const std::string& CsvRows::sample() const { return state_->sample; }

const char* describe(CsvFault fault) {
  // In the order of the enumeration.
  constexpr std::array words = {"",
                                "NUL byte",
                                "a quote that nothing closes",
                                "text after a closing quote",
                                "a cell that is too long",
                                "a line that is too long",
                                "too many cells"};
  return words[static_cast<std::size_t>(fault)];
}

std::vector<std::string> texts_of(const CsvRow& row) {
  std::vector<std::string> texts;
  for (const CsvCell& cell : row.cells) {
    texts.emplace_back(cell.text);
  }
  return texts;
}

bool holds_texts(const CsvRow& row, const std::vector<std::string>& texts) {
  return std::equal(row.cells.begin(),
                    row.cells.end(),
                    texts.begin(),
                    texts.end(),
                    [](const CsvCell& cell, const std::string& text) { return cell.text == text; });
}

}  // namespace sweepflux
