#include "sweepflux/base/input_file.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/document/toml_document_private.hpp"

#include <algorithm>
#include <optional>
#include <utility>

namespace sweepflux {
namespace {

constexpr std::size_t largest_file = 1U << 20U;  // a survey has a few kilobytes
constexpr std::size_t most_repairs = 64;
constexpr std::size_t most_dots = 16;  // a.b.c...: the parser nests, and would nest without end

/// The whole file; what is wrong with it goes to `fault`.
std::string read_text(const std::filesystem::path& file, std::string& fault) {
  std::string text;
  try {
    text = read_input(file, "; name the survey's TOML file in it", largest_file);
  } catch (const InputError& error) {
    fault = error.what();
  }
  if (text.size() > largest_file) {
    fault = "is larger than 1 MiB, this is no survey; readings belong into CSV files";
  } else if (text.find('\0') != std::string::npos) {
    fault = "holds NUL bytes, this is no text file";
  }
  return fault.empty() ? text : std::string();
}

/// TOML knows no lone CR; old spreadsheets and editors do.
void mend_line_ends(std::string& text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\r' && (i + 1 == text.size() || text[i + 1] != '\n')) {
      text[i] = '\n';
    }
  }
}

void blank(std::string& text, const TomlStatement& statement) {
  for (std::size_t i = statement.first; i < statement.last; ++i) {
    text[i] = text[i] == '\n' ? '\n' : ' ';
  }
}

/// "air", or "sweep#3" in the third [[sweep]].
std::string section_name(const std::vector<TomlStatement>& statements, std::size_t index) {
  const std::string& section = statements[index].section;
  const auto end = statements.begin() + static_cast<std::ptrdiff_t>(index) + 1;
  const auto count = std::count_if(statements.begin(), end, [&](const TomlStatement& header) {
    return header.kind == TomlStatement::Kind::header && header.is_array_header &&
           header.key == section;
  });
  return section + (count > 0 ? "#" + std::to_string(count) : "");
}

/// Dots outside of strings with no comma, bracket or line end between them.
std::size_t most_dots_in_a_row(std::string_view statement) {
  std::size_t most = 0;
  std::size_t dots = 0;
  char quote = '\0';
  for (const char c : statement) {
    if (quote != '\0' || c == '"' || c == '\'') {
      quote = quote == '\0' ? c : c == quote || c == '\n' ? '\0' : quote;
    } else if (c == '.') {
      most = std::max(most, ++dots);
    } else if (c == '=' || c == ',' || c == '{' || c == '\n') {
      dots = 0;
    }
  }
  return most;
}

/// Mends a broken text step by step.
class Repair {
 public:
  Repair(TomlDocument& document, Findings& findings)
      : document_(document), findings_(findings), text_(document.text) {}

  void run() {
    refuse_deep_keys();
    for (std::size_t i = 0; i < most_repairs; ++i) {
      try {
        document_.root = toml::parse(text_, document_.file.string());
        return;
      } catch (const toml::parse_error& error) {
        const Spot spot = document_.spot(error.source());
        if (!mend({spot.line, spot.column, printable(error.description(), 200)})) {
          return;
        }
      }
    }
  }

 private:
  void report(const TomlMistake& mistake) {
    findings_.add({document_.file, mistake.line, mistake.column}, mistake.text);
  }

  /// False when nothing is left to be mended, so parsing again would not help.
  bool mend(const TomlMistake& parser_says) {
    const std::vector<TomlStatement> statements = split_toml(text_);
    // The statement that holds the line, or the last one before it; of an open one the parser
    // notices only later.
    std::optional<std::size_t> index;
    for (std::size_t i = 0; i < statements.size() && statements[i].line <= parser_says.line; ++i) {
      index = i;
      if (statements[i].is_open) {
        break;
      }
    }
    if (!index) {
      report(parser_says);
      return false;
    }
    const TomlStatement& statement = statements[*index];
    report(explain_toml_mistake(text_, statements, *index, parser_says));
    if (statement.kind == TomlStatement::Kind::header) {
      mend_header(statements, *index);
      return true;
    }
    const std::string section = section_name(statements, *index);
    document_.damaged.insert(section + "." + statement.key.substr(0, statement.key.find('.')));
    if (statement.kind == TomlStatement::Kind::other) {
      document_.damaged.insert(section + ".");
    }
    blank(text_, statement);
    return true;
  }

  /// Mends the brackets, or gives the keys below a place of their own: they must not fall to the
  /// section above, where they would be called unknown.
  void mend_header(const std::vector<TomlStatement>& statements, std::size_t index) {
    const TomlStatement& header = statements[index];
    const bool is_array = header.is_array_header || header.key == "sweep";
    const bool is_plain =
        !header.key.empty() &&
        header.key.find_first_not_of("abcdefghijklmnopqrstuvwxyz_.") == std::string::npos;
    const bool is_first = std::none_of(statements.begin(),
                                       statements.begin() + static_cast<std::ptrdiff_t>(index),
                                       [&header](const TomlStatement& before) {
                                         return before.kind == TomlStatement::Kind::header &&
                                                before.key == header.key;
                                       });
    std::string mended = is_array ? "[[" + header.key + "]]" : "[" + header.key + "]";
    const std::string_view whole = text_;
    const std::size_t length = header.last - header.first;
    if (!is_plain || !(is_first || is_array) || whole.substr(header.first, length) == mended) {
      const std::string name = "unread-" + std::to_string(document_.ignored.size());
      document_.ignored.insert(name);
      document_.damaged.insert(header.key + ".");
      document_.damaged.insert(header.key.substr(0, header.key.find('.')) + ".");
      mended = "[" + name + "]";
    }
    text_.replace(header.first, length, mended);
  }

  void refuse_deep_keys() {
    for (const TomlStatement& statement : split_toml(text_)) {
      const std::string_view whole = text_;
      const std::string_view piece =
          whole.substr(statement.first, statement.last - statement.first);
      if (most_dots_in_a_row(piece) > most_dots) {
        report({statement.line, 1, "more than 16 dots: no survey needs such a key or value"});
        blank(text_, statement);
      }
    }
  }

  TomlDocument& document_;
  Findings& findings_;
  std::string text_;
};

}  // namespace

Spot TomlDocument::spot(const toml::source_region& region) const {
  std::size_t start = 0;
  for (std::size_t i = 1; i < region.begin.line && start < text.size(); ++i) {
    start = std::min(text.find('\n', start), text.size() - 1) + 1;
  }
  // The parser counts letters; messages count bytes.
  std::size_t at = start;
  for (std::size_t letters = 1; letters < region.begin.column && at < text.size(); ++letters) {
    ++at;
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U) {
      ++at;
    }
  }
  return {file, region.begin.line, at - start + 1};
}

TomlDocument load_toml(const std::filesystem::path& file,
                       Findings& findings,
                       std::vector<Finding>& remarks) {
  TomlDocument document;
  document.file = file;
  std::string fault;
  std::string text = read_text(file, fault);
  if (!fault.empty()) {
    throw SurveyError({{{file, 0, 0}, fault}});
  }
  if (text.substr(0, 3) == "\xEF\xBB\xBF") {
    text.erase(0, 3);
  }
  if (!is_utf8(text)) {
    text = utf8_from_latin1(text);
    remarks.push_back({{file, 0, 0}, "not UTF-8, read as Latin-1"});
  }
  mend_line_ends(text);
  document.text = std::move(text);
  Repair(document, findings).run();
  return document;
}

void refuse_other_kind(const TomlDocument& document,
                       std::string_view own,
                       std::string_view other,
                       const char* words) {
  const toml::node* const there = document.root.get(other);
  if (there != nullptr && document.root.get(own) == nullptr) {
    throw SurveyError({{document.spot(there->source()), words}});
  }
}

}  // namespace sweepflux
