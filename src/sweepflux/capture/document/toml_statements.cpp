#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/document/toml_statements_private.hpp"

#include <algorithm>

namespace sweepflux {
namespace {

bool is_key_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
         c == '-' || c == '.';
}

/// The end of the line at or behind `at`: the offset of its line feed, or the text's end.
std::size_t line_end(std::string_view text, std::size_t at) {
  return std::min(text.find('\n', at), text.size());
}

/// True when the line at `at` starts a statement: `key =` or `[name]` alone.
bool starts_statement(std::string_view text, std::size_t at) {
  const std::string_view line = trimmed(text.substr(at, line_end(text, at) - at));
  const auto key_end = std::find_if_not(line.begin(), line.end(), is_key_letter);
  const std::size_t length = static_cast<std::size_t>(key_end - line.begin());
  const std::string_view behind = trimmed(line.substr(length));
  if (length > 0) {
    return !behind.empty() && behind.front() == '=';
  }
  if (line.empty() || line.front() != '[') {
    return false;
  }
  const std::string_view inner = line.substr(std::min(line.find_first_not_of('['), line.size()));
  const auto name_end = std::find_if_not(inner.begin(), inner.end(), is_key_letter);
  const std::string_view rest = inner.substr(static_cast<std::size_t>(name_end - inner.begin()));
  const std::string_view tail =
      trimmed(rest.substr(std::min(rest.find_first_not_of(']'), rest.size())));
  return name_end != inner.begin() && !rest.empty() && rest.front() == ']' &&
         (tail.empty() || tail.front() == '#');
}

/// Walks over one value, strings, comments and brackets minded.
class ValueScanner {
 public:
  ValueScanner(std::string_view text, std::size_t at) : text_(text), at_(at) {}

  void walk() {
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '"' || c == '\'') {
        skip_string(c);
      } else if (c == '#') {
        at_ = line_end(text_, at_);
      } else if (c == '\n') {
        if (depth_ == 0) {
          return;
        }
        if (starts_statement(text_, at_ + 1)) {
          open_ = true;
          return;
        }
        ++at_;
      } else {
        depth_ += c == '[' || c == '{' ? 1 : 0;
        depth_ -= (c == ']' || c == '}') && depth_ > 0 ? 1 : 0;
        ++at_;
      }
    }
    open_ = open_ || depth_ > 0;
  }

  [[nodiscard]] std::size_t at() const { return at_; }
  [[nodiscard]] bool open() const { return open_; }

 private:
  void skip_string(char quote) {
    const std::string triple(3, quote);
    if (text_.substr(at_, 3) == triple) {
      const std::size_t end = text_.find(triple, at_ + 3);
      open_ = open_ || end == std::string_view::npos;
      at_ = end == std::string_view::npos ? text_.size() : end + 3;
      return;
    }
    for (++at_; at_ < text_.size() && text_[at_] != '\n'; ++at_) {
      if (text_[at_] == quote) {
        ++at_;
        return;
      }
      if (quote == '"' && text_[at_] == '\\' && at_ + 1 < text_.size() && text_[at_ + 1] != '\n') {
        ++at_;
      }
    }
    open_ = true;
  }

  std::string_view text_;
  std::size_t at_;
  int depth_ = 0;
  bool open_ = false;
};

TomlStatement read_header(std::string_view text, std::size_t first) {
  TomlStatement header;
  header.kind = TomlStatement::Kind::header;
  header.first = first;
  header.last = line_end(text, first);
  header.is_array_header = text.substr(first, 2) == "[[";
  std::string_view name = text.substr(first, header.last - first);
  name = name.substr(0, name.find('#'));
  name = name.substr(std::min(name.find_first_not_of("[ \t"), name.size()));
  name = name.substr(0, name.find(']'));
  header.key = trimmed(name);
  return header;
}

TomlStatement read_pair(std::string_view text, std::size_t first) {
  TomlStatement pair;
  pair.first = first;
  const std::size_t end = line_end(text, first);
  const std::size_t equals = text.substr(first, end - first).find('=');
  if (equals == std::string_view::npos) {
    pair.last = end;
    pair.value = end;
    return pair;
  }
  pair.kind = TomlStatement::Kind::pair;
  pair.key = trimmed(text.substr(first, equals));
  pair.value = std::min(text.find_first_not_of(" \t", first + equals + 1), end);
  ValueScanner scanner(text, pair.value);
  scanner.walk();
  pair.last = scanner.at();
  pair.is_open = scanner.open();
  return pair;
}

}  // namespace

std::vector<TomlStatement> split_toml(std::string_view text) {
  std::vector<TomlStatement> statements;
  std::string section;
  std::size_t section_number = 0;
  std::size_t line = 1;
  std::size_t counted = 0;  // line ends up to here are in `line`
  for (std::size_t at = 0; at < text.size();) {
    at = text.find_first_not_of(" \t\r\n", at);
    if (at == std::string_view::npos) {
      break;
    }
    if (text[at] == '#') {
      at = line_end(text, at);
      continue;
    }
    TomlStatement statement = text[at] == '[' ? read_header(text, at) : read_pair(text, at);
    const auto lines_in = [text](std::size_t from, std::size_t to) {
      return static_cast<std::size_t>(std::count(text.begin() + static_cast<std::ptrdiff_t>(from),
                                                 text.begin() + static_cast<std::ptrdiff_t>(to),
                                                 '\n'));
    };
    line += lines_in(counted, statement.first);
    statement.line = line;
    line += lines_in(statement.first, statement.last);
    statement.last_line = line;
    counted = statement.last;
    if (statement.kind == TomlStatement::Kind::header) {
      section = statement.key;
      ++section_number;
    }
    statement.section = section;
    statement.section_number = section_number;
    at = statement.last;
    statements.push_back(std::move(statement));
  }
  return statements;
}

}  // namespace sweepflux
