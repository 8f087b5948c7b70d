#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/document/toml_document_private.hpp"
#include "sweepflux/capture/document/toml_statements_private.hpp"

#include <algorithm>
#include <optional>

namespace sweepflux {
namespace {

/// From 1, in bytes.
std::size_t column_of(std::string_view text, std::size_t offset) {
  const std::size_t line_start = text.substr(0, offset).rfind('\n');
  return line_start == std::string_view::npos ? offset + 1 : offset - line_start;
}

std::string place(std::string_view text, const TomlStatement& statement) {
  return std::to_string(statement.line) + ":" + std::to_string(column_of(text, statement.first));
}

TomlMistake at(std::string_view text,
               const TomlStatement& statement,
               std::size_t offset,
               std::string words) {
  return {statement.line, column_of(text, offset), std::move(words)};
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
  std::string_view value = text.substr(pair.value, pair.last - pair.value);
  value = value.substr(0, value.find('\n'));
  return trimmed(value.substr(0, value.find('#')));
}

std::string quoted_example(const TomlStatement& pair, std::string_view value) {
  return printable(pair.key) + " = \"" + printable(value) + "\"";
}

/// Why a value that starts with neither quote nor bracket is none.
std::string explain_bare_value(const TomlStatement& pair, std::string_view value) {
  const std::string shown = in_backticks(value);
  const std::string word = lower_ascii(value);
  if (value.empty()) {
    return printable(pair.key) + " has no value";
  }
  if (word == "true" || word == "false" || word == "yes" || word == "no" || word == "on" ||
      word == "off") {
    return shown + " is no TOML value; write true or false";
  }
  const bool curly = value.substr(0, 2) == "\xE2\x80" || value.substr(0, 1) == "`" ||
                     value.substr(0, 2) == "\xC2\xAB";
  if (curly) {
    return "this is not TOML's quotation mark; write plain \"...\"";
  }
  const bool numeric = std::string_view("+-.0123456789").find(value[0]) != std::string_view::npos;
  const std::optional<double> number = parse_number(value);
  if (number) {
    return shown + " is no TOML number; write " + format_number(*number, 17);
  }
  if (parse_number(value, ',')) {
    return shown + " is no TOML number; write a decimal point";
  }
  return shown + (numeric ? " is no TOML number; a quantity" : " is no TOML value; text") +
         " needs quotation marks: " + quoted_example(pair, value);
}

std::optional<TomlMistake> explain_pair(std::string_view text, const TomlStatement& pair) {
  const char first = pair.value < text.size() ? text[pair.value] : '\n';
  if (first == '"' || first == '\'') {
    if (pair.is_open) {
      return at(text, pair, pair.value, "text that no quotation mark closes");
    }
    const std::string_view value = text.substr(pair.value, pair.last - pair.value);
    if (first == '"' && value.find('\\') != std::string_view::npos) {
      return at(text,
                pair,
                pair.value,
                "a backslash has a meaning of its own in \"...\"; write / in paths, or use '...'");
    }
    return std::nullopt;
  }
  if (first == '[' || first == '{') {
    if (pair.is_open) {
      return at(text, pair, pair.value, "a list or table that no bracket closes");
    }
    return std::nullopt;
  }
  return at(text, pair, pair.value, explain_bare_value(pair, bare_value(text, pair)));
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

TomlMistake explain_toml_mistake(std::string_view text,
                                 const std::vector<TomlStatement>& statements,
                                 std::size_t index,
                                 const TomlMistake& parser_says) {
  const TomlStatement& statement = statements[index];
  if (statement.kind == TomlStatement::Kind::other) {
    return at(text,
              statement,
              statement.first,
              in_backticks(text.substr(statement.first, statement.last - statement.first)) +
                  " is neither `key = value` nor `[section]` nor a `#` comment");
  }
  const TomlStatement* const before = find_first(statements, index);
  if (statement.kind == TomlStatement::Kind::header) {
    if (before != nullptr && !statement.is_array_header) {
      const bool is_sweep = statement.key == "sweep";
      return at(text,
                statement,
                statement.first,
                "[" + printable(statement.key) + "] stands twice (first at " +
                    place(text, *before) + ")" +
                    (is_sweep ? "; write [[sweep]], with two brackets, for each"
                              : "; put all its keys into one"));
    }
    if (is_whole_header(text.substr(statement.first, statement.last - statement.first))) {
      return parser_says;
    }
    return at(text,
              statement,
              statement.first,
              "this is no section header; write [name], or [[sweep]] for a sweep");
  }
  if (const std::optional<TomlMistake> mistake = explain_pair(text, statement)) {
    // A legal bare value can stand in a pair that is defined twice.
    const bool is_twice =
        before != nullptr && parser_says.text.find("redefine") != std::string::npos;
    if (!is_twice) {
      return *mistake;
    }
  }
  if (before != nullptr) {
    return at(text,
              statement,
              statement.first,
              printable(statement.key) + " is defined twice (first at " + place(text, *before) +
                  "); keep one of them");
  }
  return parser_says;
}

}  // namespace sweepflux
