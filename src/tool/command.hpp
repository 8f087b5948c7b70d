#pragma once

#include "sweepflux/base/unit_text.hpp"
#include "tool/session.hpp"

#include <functional>
#include <limits>
#include <string>
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
inline constexpr NumberRange thread_count = {1, 1024};

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

/// --out, --replace, --json, --quiet: the options that all verbs share.
///
/// @param options  filled while the command line is read
[[nodiscard]] std::vector<Option> common_options(CommonOptions& options,
                                                 const std::string& what_out_is);

/// The value of an option: a number and its unit.
///
/// @throws InputError  it is none; names the option
[[nodiscard]] double quantity_of(const std::string& option,
                                 const std::string& text,
                                 Dimension dimension);

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
