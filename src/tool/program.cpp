#include "tool/program.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/capture/survey/survey.hpp"
#include "tool/stop_signal.hpp"

#include <algorithm>
#include <exception>
#include <new>
#include <system_error>

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
    session.complain(std::string("sweepflux: ") + error.what());
  } catch (const std::exception& error) {
    session.complain(std::string("sweepflux: a mistake of the program itself, please report it: ") +
                     error.what());
  }
  return failed;
}

}  // namespace

CLI::App& add_verb(CLI::App& program, const CommandWords& words, CommonOptions& options) {
  CLI::App& verb = *program.add_subcommand(words.name, words.what);
  verb.group("Commands");
  verb.footer("Example:\n  " + words.example);
  verb.add_option("--out", options.out, "Folder for the results; appears whole or not at all")
      ->option_text("DIR");
  verb.add_flag("--json", options.json, "Print the result as JSON instead of text");
  verb.add_flag("--quiet", options.quiet, "Print nothing but faults");
  return verb;
}

std::vector<Command> set_up_program(CLI::App& program, std::span<const AddCommand> commands) {
  program.name("sweepflux");
  program.description("Flow and thrust of fans from sweeps of wind speed.");
  program.require_subcommand(1);
  program.set_version_flag("--version", version_text(), "Print the version and end");
  program.formatter(std::make_shared<HelpText>());
  program.set_help_flag("-h,--help", "Print this help and end");
  program.footer(
      "Exit codes: 0 done; 2 the input or the usage is at fault; 3 legal input without an answer\n"
      "worth having; 1 anything else, such as a full disk.");
  std::vector<Command> verbs;
  for (const AddCommand add : commands) {
    verbs.push_back(add(program));
  }
  return verbs;
}

int run_program(std::vector<std::string> arguments,
                std::span<const AddCommand> commands,
                std::FILE* out,
                std::FILE* err) {
  Session session(out, err);
  CLI::App program;
  try {
    const std::vector<Command> verbs = set_up_program(program, commands);
    std::transform(arguments.begin(), arguments.end(), arguments.begin(), with_leading_zero);
    std::reverse(arguments.begin(), arguments.end());  // the parser takes them from the back
    program.parse(std::move(arguments));
    for (const Command& verb : verbs) {
      if (verb.parser->parsed()) {
        verb.run(session);
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
      session.give(dynamic_cast<const CLI::CallForVersion*>(&error) != nullptr
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
