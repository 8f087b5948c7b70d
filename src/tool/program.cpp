#include "tool/program.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "tool/stop_signal.hpp"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <cmath>
#include <exception>
#include <filesystem>
#include <new>
#include <system_error>
#include <type_traits>

namespace sweepflux::tool {
namespace {

/// The parser's own help, with the arguments as the person types them.
class HelpText : public CLI::Formatter {
 public:
  HelpText() {
    column_width(30);
    label("Positionals", "Arguments");
    label("OPTIONS", "options");
    label("SUBCOMMAND", "COMMAND ...");
  }

  std::string make_usage(const CLI::App* app, std::string name) const override {
    std::string text = "Usage: " + name;
    for (const CLI::Option* argument :
         app->get_options([](const CLI::Option* option) { return option->get_positional(); })) {
      text += " " + argument->get_option_text();
    }
    text += app->get_parent() == nullptr ? " COMMAND ..." : " [options]";
    return text + "\n";
  }

  std::string make_option_name(const CLI::Option* option, bool is_positional) const override {
    return is_positional ? option->get_option_text() : option->get_name(false, true);
  }

  std::string make_option_opts(const CLI::Option* option) const override {
    return option->get_positional() || option->get_option_text().empty()
               ? ""
               : " " + option->get_option_text();
  }
};

/// "-.5 m" is a number to a person, but a bundle of short options to the parser.
std::string with_leading_zero(const std::string& argument) {
  const bool bare = argument.size() > 2 && argument[0] == '-' && argument[1] == '.' &&
                    argument[2] >= '0' && argument[2] <= '9';
  return bare ? "-0" + argument.substr(1) : argument;
}

std::vector<std::string> option_names(const CLI::App& parser) {
  std::vector<std::string> names;
  for (const CLI::Option* option : parser.get_options()) {
    for (const std::string& name : option->get_lnames()) {
      names.push_back("--" + name);
    }
  }
  return names;
}

std::vector<std::string> verb_names(const CLI::App& program) {
  std::vector<std::string> names;
  for (const CLI::App* verb : program.get_subcommands([](const CLI::App*) { return true; })) {
    names.push_back(verb->get_name());
  }
  return names;
}

/// What stood on the command line and nobody knew, with the nearest that is known.
std::string unknown_word(const CLI::App& program) {
  const auto name_of = [](const std::string& word) { return word.substr(0, word.find('=')); };
  const std::vector<std::string> before = program.remaining(false);
  const std::vector<CLI::App*> called = program.get_subcommands();
  if (!before.empty() && before.front().starts_with('-')) {
    return "`" + name_of(before.front()) + "` must stand behind the command";
  }
  if (!before.empty()) {
    return "`" + before.front() + "` is no command" +
           did_you_mean(before.front(), verb_names(program));
  }
  const std::string word = name_of(called.front()->remaining().front());
  const std::string verb = "`" + called.front()->get_name() + "`";
  return word.starts_with('-') ? "`" + word + "` is no option of " + verb +
                                     did_you_mean(word, option_names(*called.front()))
                               : "`" + word + "` is one argument too many for " + verb;
}

std::string missing_argument(const CLI::App& verb) {
  std::string text = "`" + verb.get_name() + "` needs";
  for (const CLI::Option* option : verb.get_options()) {
    if (option->get_required() && option->count() == 0) {
      text += " " + (option->get_positional() ? option->get_option_text() : option->get_name());
    }
  }
  return text;
}

/// The parser's words on one line, in our manner.
std::string usage_fault(const CLI::App& program, const CLI::ParseError& error) {
  const std::vector<CLI::App*> called = program.get_subcommands();
  const std::string help =
      called.empty() ? "sweepflux --help" : "sweepflux " + called.front()->get_name() + " --help";
  std::string text = error.what();
  if (!program.remaining(true).empty()) {
    text = unknown_word(program);
  } else if (called.empty()) {
    text = "name a command: " + listed(verb_names(program));
  } else if (dynamic_cast<const CLI::ArgumentMismatch*>(&error) != nullptr) {
    text = text.substr(0, text.find(':')) + " needs a value";
  } else if (dynamic_cast<const CLI::RequiredError*>(&error) != nullptr) {
    text = missing_argument(*called.front());
  }
  std::replace(text.begin(), text.end(), '\n', ' ');
  return "sweepflux: " + text + (text.ends_with('?') ? " See `" : "; see `") + help + "`";
}

/// An empty word is a variable of the shell that was never set, hardly ever a wish.
void check_words(const std::vector<std::string>& arguments) {
  for (std::size_t i = 0; i < arguments.size(); ++i) {
    const std::string& word = arguments[i];
    const bool cut = word.starts_with("--") && word.ends_with('=');
    if (word.empty() && i > 0 && arguments[i - 1].starts_with("--")) {
      throw InputError("sweepflux: " + arguments[i - 1] +
                       " is empty; give it a value, or leave it");
    }
    if (word.empty() || cut) {
      throw InputError(
          "sweepflux: " + (cut ? word + " has" : "argument " + std::to_string(i + 1) + " has") +
          " nothing in it; name a file or a value");
    }
  }
}

int report_current_exception(Session& session) {
  try {
    throw;
  } catch (const SurveyError& error) {
    for (const Finding& finding : error.findings()) {
      session.complain(finding.message());
    }
    return bad_input;
  } catch (const InputError& error) {
    session.complain(error.what());
    return bad_input;
  } catch (const NumericalError& error) {
    session.complain(error.what());
    return no_answer;
  } catch (const Interrupted& error) {
    session.complain(std::string("sweepflux: ") + error.what());
    return stopped + std::max(stop_signal(), 0);
  } catch (const std::bad_alloc&) {
    session.complain("sweepflux: not enough memory for this; nothing was written");
  } catch (const Error& error) {
    session.complain(error.what());
  } catch (const std::system_error& error) {
    std::error_code gone;
    (void)std::filesystem::current_path(gone);
    session.complain(gone ? "sweepflux: the folder that you stand in is gone; change to another"
                          : std::string("sweepflux: ") + error.what());
  } catch (const std::exception& error) {
    session.complain(std::string("sweepflux: a mistake of the program itself, please report it: ") +
                     error.what());
  }
  return failed;
}

/// Tells the parser of one option or argument.
void add_option(CLI::App& verb, const Option& option) {
  const auto add = [&](auto* into) -> CLI::Option* {
    using Value = std::remove_pointer_t<decltype(into)>;
    if constexpr (std::is_same_v<Value, bool>) {
      return verb.add_flag(option.name, *into, option.what);
    } else {
      CLI::Option* added = verb.add_option(option.name, *into, option.what);
      added->option_text(option.value)->required(option.need == Need::required);
      if constexpr (std::is_same_v<Value, int>) {
        if (std::isfinite(option.range.low)) {
          added->check(
              CLI::Range(static_cast<int>(option.range.low), static_cast<int>(option.range.high)));
        }
      } else if constexpr (std::is_same_v<Value, double>) {
        if (option.range.low > 0.0) {
          added->check(CLI::PositiveNumber);
        }
      } else if constexpr (std::is_same_v<Value, std::vector<std::string>>) {
        if (!option.is_argument()) {  // one value each time that the option is given
          added->take_all()->expected(1)->allow_extra_args(false);
        }
      }
      return added;
    }
  };
  std::visit(add, option.into);
}

/// Gives an empty parser the program's name, its own options, its help and its verbs.
void set_up(CLI::App& program, const std::vector<Command>& commands) {
  program.name(program_name);
  program.description(program_words);
  program.require_subcommand(1);
  program.set_version_flag(version_name, version_text(), version_words);
  program.formatter(std::make_shared<HelpText>());
  program.set_help_flag(help_names, help_words);
  program.footer(program_footer);
  for (const Command& command : commands) {
    CLI::App& verb = *program.add_subcommand(command.name, command.what);
    verb.group("Commands");
    verb.footer("Example:\n  " + command.example);
    for (const Option& option : command.options) {
      add_option(verb, option);
    }
  }
}

}  // namespace

int run_program(std::vector<std::string> arguments,
                const std::vector<Command>& commands,
                std::FILE* out,
                std::FILE* err) {
  Session session(out, err);
  CLI::App program;
  try {
    set_up(program, commands);
    check_words(arguments);
    std::transform(arguments.begin(), arguments.end(), arguments.begin(), with_leading_zero);
    std::reverse(arguments.begin(), arguments.end());  // the parser takes them from the back
    program.parse(std::move(arguments));
    for (const Command& command : commands) {
      if (program.got_subcommand(command.name)) {
        command.run(session);
      }
    }
    session.finish();
    return done;
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() != 0) {
      session.complain(usage_fault(program, error));
      return bad_input;
    }
    try {
      session.say(dynamic_cast<const CLI::CallForVersion*>(&error) != nullptr
                      ? std::string(error.what()) + "\n"
                      : program.help());
      session.finish();
      return done;
    } catch (const Error&) {
      return report_current_exception(session);
    }
  } catch (...) {
    return report_current_exception(session);
  }
}

std::string version_text() { return "sweepflux " SWEEPFLUX_VERSION "\n" SWEEPFLUX_LIBRARIES; }

}  // namespace sweepflux::tool
