#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/document/toml_document_private.hpp"

#include <algorithm>
#include <optional>

namespace sweepflux {
namespace {

constexpr std::string_view key_letters =
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-.";

/// The end of the line at or behind `at`: the offset of its line feed, or the text's end.
std::size_t line_end(std::string_view text, std::size_t at) {
  return std::min(text.find('\n', at), text.size());
}

/// True when the line at `at` starts a statement: `key =` or `[name]` alone.
bool starts_statement(std::string_view text, std::size_t at) {
  const auto after = [](std::string_view line, std::string_view letters) {
    return line.substr(std::min(line.find_first_not_of(letters), line.size()));
  };
  const std::string_view line = trimmed(text.substr(at, line_end(text, at) - at));
  const std::string_view behind = after(line, key_letters);
  if (behind.size() < line.size()) {
    return trimmed(behind).starts_with('=');
  }
  const std::string_view inner = after(line, "[");
  const std::string_view rest = after(inner, key_letters);
  const std::string_view tail = trimmed(after(rest, "]"));
  return inner.size() < line.size() && rest.size() < inner.size() && rest.starts_with(']') &&
         (tail.empty() || tail.starts_with('#'));
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

/// From 1, in bytes.
std::size_t column_of(std::string_view text, std::size_t offset) {
  const std::size_t line_start = text.substr(0, offset).rfind('\n');
  return line_start == std::string_view::npos ? offset + 1 : offset - line_start;
}

/// Where a statement stood before, for "stands twice".
std::string first_at(std::string_view text, const TomlStatement& statement) {
  return " (first at " + std::to_string(statement.line) + ":" +
         std::to_string(column_of(text, statement.first)) + ")";
}

/// The statement that defined the same before, if any.
const TomlStatement* find_first(const std::vector<TomlStatement>& statements, std::size_t index) {
  const TomlStatement& second = statements[index];
  for (std::size_t i = 0; i < index; ++i) {
    const TomlStatement& first = statements[i];
    const bool same_place =
        second.kind == TomlStatement::Kind::header || first.section_number == second.section_number;
    if (first.kind == second.kind && first.key == second.key && same_place) {
      return &first;
    }
  }
  return nullptr;
}

/// The value up to a comment or the line's end.
std::string_view bare_value(std::string_view text, const TomlStatement& pair) {
  const std::string_view value = text.substr(pair.value, pair.last - pair.value);
  return trimmed(value.substr(0, value.find_first_of("\n#")));
}

/// Why a value that starts with neither quote nor bracket is none.
std::string explain_bare_value(const TomlStatement& pair, std::string_view value) {
  const std::string shown = in_backticks(value);
  if (value.empty()) {
    return printable(pair.key) + " has no value";
  }
  constexpr std::string_view truths = " true false yes no on off ";
  if (truths.find(" " + lower_ascii(value) + " ") != std::string_view::npos) {
    return shown + " is no TOML value; write true or false";
  }
  if (value.starts_with("\xE2\x80") || value.starts_with('`') || value.starts_with("\xC2\xAB")) {
    return "this is not TOML's quotation mark; write plain \"...\"";
  }
  if (const std::optional<double> number = parse_number(value)) {
    return shown + " is no TOML number; write " + format_number(*number, 17);
  }
  if (parse_number(value, ',')) {
    return shown + " is no TOML number; write a decimal point";
  }
  const bool numeric = std::string_view("+-.0123456789").find(value[0]) != std::string_view::npos;
  return shown + (numeric ? " is no TOML number; a quantity" : " is no TOML value; text") +
         " needs quotation marks: " + printable(pair.key) + " = \"" + printable(value) + "\"";
}

/// What is wrong with a value; empty: nothing that shows.
std::string explain_value(std::string_view text, const TomlStatement& pair) {
  const char first = pair.value < text.size() ? text[pair.value] : '\n';
  if (first == '"' || first == '\'') {
    const std::string_view value = text.substr(pair.value, pair.last - pair.value);
    return pair.is_open ? "text that no quotation mark closes"
           : first == '"' && value.find('\\') != std::string_view::npos
               ? "a backslash has a meaning of its own in \"...\"; write / in paths, or use '...'"
               : "";
  }
  if (first == '[' || first == '{') {
    return pair.is_open ? "a list or table that no bracket closes" : "";
  }
  return explain_bare_value(pair, bare_value(text, pair));
}

/// "[name]" or "[[name]]", perhaps with a comment.
bool is_whole_header(std::string_view header) {
  header = trimmed(header.substr(0, header.find('#')));
  const std::size_t opening = std::min(header.find_first_not_of('['), header.size());
  const std::size_t last = header.find_last_not_of(']');
  return last != std::string_view::npos && opening <= 2 && last >= opening &&
         header.size() - last - 1 == opening && header.find_first_of("[] \t", opening) == last + 1;
}

}  // namespace

std::vector<TomlStatement> split_toml(std::string_view text) {
  std::vector<TomlStatement> statements;
  std::string section;
  std::size_t section_number = 0;
  std::size_t line = 1;
  std::size_t counted = 0;  // line ends before it are in `line`
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
    const std::string_view passed = text.substr(counted, statement.first - counted);
    line += static_cast<std::size_t>(std::count(passed.begin(), passed.end(), '\n'));
    statement.line = line;
    counted = statement.first;
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

TomlMistake explain_toml_mistake(std::string_view text,
                                 const std::vector<TomlStatement>& statements,
                                 std::size_t index,
                                 const TomlMistake& parser_says) {
  const TomlStatement& statement = statements[index];
  const std::string_view whole = text.substr(statement.first, statement.last - statement.first);
  const auto mistake = [&](std::size_t offset, std::string words) -> TomlMistake {
    return {statement.line, column_of(text, offset), std::move(words)};
  };
  if (statement.kind == TomlStatement::Kind::other) {
    return mistake(
        statement.first,
        in_backticks(whole) + " is neither `key = value` nor `[section]` nor a `#` comment");
  }
  const TomlStatement* const before = find_first(statements, index);
  if (statement.kind == TomlStatement::Kind::header) {
    if (before != nullptr && !statement.is_array_header) {
      return mistake(
          statement.first,
          "[" + printable(statement.key) + "] stands twice" + first_at(text, *before) +
              (statement.key == "sweep" ? "; write [[sweep]], with two brackets, for each"
                                        : "; put all its keys into one"));
    }
    return is_whole_header(whole)
               ? parser_says
               : mistake(statement.first,
                         "this is no section header; write [name], or [[sweep]] for a sweep");
  }
  // A legal bare value can stand in a pair that is defined twice.
  const bool is_twice = before != nullptr && parser_says.text.find("redefine") != std::string::npos;
  const std::string fault = is_twice ? "" : explain_value(text, statement);
  if (!fault.empty()) {
    return mistake(statement.value, fault);
  }
  return before == nullptr ? parser_says
                           : mistake(statement.first,
                                     printable(statement.key) + " is defined twice" +
                                         first_at(text, *before) + "; keep one of them");
}

}  // namespace sweepflux
