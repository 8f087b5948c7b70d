#pragma once

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "tool/session.hpp"

#include <functional>
#include <initializer_list>
#include <limits>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace sweepflux::tool {

/// What an option or argument fills: a flag, text, a number, or every text of a list.
using OptionTarget = std::variant<bool*, std::string*, int*, double*, std::vector<std::string>*>;

/// Least and greatest value of a number.
struct NumberRange {
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity();
};
inline constexpr NumberRange above_zero = {std::numeric_limits<double>::denorm_min()};

enum class Need { optional, required };

/// One option ("--out") or argument ("survey") of a command, free of the parser that reads it.
struct Option {
  std::string name;
  OptionTarget into;
  std::string what;        ///< for the help
  std::string value = {};  ///< word for the value in the help, such as DIR; none for a flag
  Need need = Need::optional;
  NumberRange range = {};

  [[nodiscard]] bool is_argument() const { return !name.starts_with('-'); }
};

/// One verb of the command line: how it presents itself, what it takes, and what it does.
struct Command {
  std::string name;
  std::string what;             ///< one sentence, for the list of verbs and the head of its help
  std::string example;          ///< a line that works, and what it does; stands below the help
  std::vector<Option> options;  ///< in the order of the help
  std::function<void(Session&)> run;
};

/// --out, --replace, --json, --quiet, the options that all verbs share, then the verb's own.
///
/// @param options  filled while the command line is read
[[nodiscard]] std::vector<Option> common_options(CommonOptions& options,
                                                 const std::string& what_out_is,
                                                 std::vector<Option> own);
[[nodiscard]] Option threads_option(int& threads);

/// The value of an option: a number and its unit.
///
/// @throws InputError  it is none; names the option
[[nodiscard]] double quantity_of(const std::string& option,
                                 const std::string& text,
                                 Dimension dimension);

/// Quantities such as "2 m", "80 in", each above zero.
///
/// @throws InputError  as quantity_of; all that are wrong at once
[[nodiscard]] std::vector<double> quantities_of(const std::string& option,
                                                std::span<const std::string> texts,
                                                Dimension dimension);
[[nodiscard]] double positive_quantity_of(const std::string& option,
                                          const std::string& text,
                                          Dimension dimension);

/// What one of a few names stands for.
///
/// @throws InputError  it is none of them; they are listed
template <typename Value>
[[nodiscard]] Value choice_of(const std::string& option,
                              const std::string& name,
                              std::initializer_list<std::pair<const char*, Value>> choices) {
  std::vector<std::string> names;
  for (const auto& [known, value] : choices) {
    if (name == known) {
      return value;
    }
    names.emplace_back(known);
  }
  throw InputError(option + " is `" + name + "`, must be one of " + listed(names) +
                   did_you_mean(name, names));
}

/// A word of a shell's command line, quoted when it must be.
[[nodiscard]] std::string shell_word(const std::string& word);
/// " --throw '0.5 m/s'", once a value; nothing for an empty one.
[[nodiscard]] std::string shell_option(const std::string& name,
                                       std::span<const std::string> values);
[[nodiscard]] inline std::string shell_option(const std::string& name, const std::string& value) {
  return shell_option(name, {&value, 1});
}

/// What every command line has, by itself and behind each verb.
inline constexpr const char* help_names = "-h,--help";
inline constexpr const char* help_words = "Print this help and end";
inline constexpr const char* version_name = "--version";
inline constexpr const char* version_words = "Print the version and end";

/// The program as its help presents it.
inline constexpr const char* program_name = "sweepflux";
inline constexpr const char* program_words = "Flow and thrust of fans from sweeps of wind speed.";
inline constexpr const char* program_footer =
    "Exit codes: 0 done; 2 the input or the usage is at fault; 3 legal input without an\n"
    "answer; 1 anything else, such as a full disk.";

}  // namespace sweepflux::tool
