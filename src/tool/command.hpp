#pragma once

#include "tool/session.hpp"

#include <CLI/CLI.hpp>

#include <functional>
#include <memory>
#include <string>

namespace sweepflux::tool {

/// One verb of the command line: its parser, and what is done when it was called.
struct Command {
  CLI::App* parser = nullptr;
  std::function<void(Session&)> run;
};

/// Adds a verb to the program; one such function a command, named in main.cpp.
using AddCommand = Command (*)(CLI::App& program);

/// How a verb presents itself.
struct CommandWords {
  std::string name;
  std::string what;     ///< one sentence, for the list of verbs and the head of its help
  std::string example;  ///< a line that works, and what it does; stands below the help
};

/// Adds the verb with the options that all of them share: --out, --json, --quiet.
///
/// @param options  filled while the command line is read
[[nodiscard]] CLI::App& add_verb(CLI::App& program,
                                 const CommandWords& words,
                                 CommonOptions& options);

}  // namespace sweepflux::tool
