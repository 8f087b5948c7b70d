#pragma once

#include "sweepflux/base/finding.hpp"

#include <toml++/toml.h>

#include <cstddef>
#include <filesystem>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace sweepflux {

/// A TOML file with what could be read of it.
struct TomlDocument {
  std::filesystem::path file;
  std::string text;  ///< as read, in UTF-8
  toml::table root;
  /// "air.pressure", or "air." for a whole section: a mistake was reported there, so nothing is
  /// called missing. Array sections are counted: "sweep#3.file".
  std::set<std::string> damaged;
  std::set<std::string> ignored;  ///< root keys that stand in for headers with a mistake

  /// Where a node of the table stood; columns turned into bytes.
  [[nodiscard]] Spot spot(const toml::source_region& region) const;
};

/// Reads and parses. The parser stops at its first mistake; so each mistake is reported, the
/// statement it stands in is blanked in memory, and the text is parsed again, a bounded number of
/// times.
///
/// @throws SurveyError  it cannot be read at all, or too many findings
[[nodiscard]] TomlDocument load_toml(const std::filesystem::path& file,
                                     Findings& findings,
                                     std::vector<Finding>& remarks);

/// A file of another kind is called that in one line, and not asked for all that it lacks.
///
/// @throws SurveyError  it has the section `other`, and not `own`
void refuse_other_kind(const TomlDocument& document,
                       std::string_view own,
                       std::string_view other,
                       const char* words);

/// A piece of a TOML text that stands for itself: one header or one `key = value`. Found without
/// a full grammar, so that a text with mistakes can be taken apart as well.
struct TomlStatement {
  enum class Kind { header, pair, other };
  Kind kind = Kind::other;
  std::size_t first = 0;           ///< offset of its first byte that is no blank
  std::size_t last = 0;            ///< offset behind its last byte; may span lines
  std::size_t line = 0;            ///< of `first`, from 1
  std::size_t value = 0;           ///< pair: offset of the value's first byte, or of the line's end
  std::string key;                 ///< pair: the key; header: the name within the brackets
  std::string section;             ///< pair: the name of the header above
  std::size_t section_number = 0;  ///< counts headers, so that [[sweep]] blocks differ
  bool is_array_header = false;    ///< [[...]]
  bool is_open = false;            ///< a bracket or a quote that nothing closes
};

[[nodiscard]] std::vector<TomlStatement> split_toml(std::string_view text);

/// One mistake of TOML's grammar in the user's words.
struct TomlMistake {
  std::size_t line = 0;
  std::size_t column = 0;
  std::string text;
};

/// @param statements  of the whole text
/// @param index       the statement that the parser stopped in
/// @param parser_says its own words, when nothing better is known
[[nodiscard]] TomlMistake explain_toml_mistake(std::string_view text,
                                               const std::vector<TomlStatement>& statements,
                                               std::size_t index,
                                               const TomlMistake& parser_says);

}  // namespace sweepflux
