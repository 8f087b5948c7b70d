#include "tool/manual_page.hpp"

#include <algorithm>
#include <cctype>
#include <sstream>

namespace sweepflux::tool {
namespace {

/// Text as roff prints it unchanged: a hyphen stays one when it is copied into a shell.
std::string plain(const std::string& text) {
  std::string out;
  bool at_start = true;
  for (const char c : text) {
    if (at_start && (c == '.' || c == '\'')) {
      out += "\\&";
    }
    at_start = c == '\n';
    out += c == '\\' ? "\\(rs" : c == '-' ? "\\-" : std::string(1, c);
  }
  return out;
}

std::string bold(const std::string& text) { return "\\fB" + plain(text) + "\\fR"; }

std::string upper(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) {
    return static_cast<char>(std::toupper(c));
  });
  return text;
}

std::string value_of(const Option& option) { return "\\fI" + plain(option.value) + "\\fR"; }

/// One paragraph with a hanging name: an option or an argument, then what it does.
std::string entry(const std::string& head, const std::string& what) {
  return ".TP\n" + head + "\n" + plain(what) + "\n";
}

std::string entries(const Command& command) {
  std::string arguments;
  std::string options = entry(bold(help_names), help_words);
  for (const Option& option : command.options) {
    if (option.is_argument()) {
      arguments += entry(value_of(option), option.what);
    } else {
      options += entry(bold(option.name) + (option.value.empty() ? "" : " " + value_of(option)),
                       option.what);
    }
  }
  return arguments + options;
}

/// The example below a verb's help: lines to type, and indented under them what they do.
std::string verbatim(const std::string& text) { return ".PP\n.EX\n" + plain(text) + "\n.EE\n"; }

std::string usage(const Command& command) {
  std::string text = bold(std::string(program_name) + " " + command.name);
  for (const Option& option : command.options) {
    if (option.is_argument()) {
      text += " " + value_of(option);
    }
  }
  return text + " [options]";
}

}  // namespace

std::string manual_page(const std::vector<Command>& commands, const std::string& version) {
  const std::string name = program_name;
  std::string what = program_words;
  if (what.ends_with('.')) {
    what.pop_back();
  }
  std::ostringstream page;
  page << ".TH " << upper(name) << " 1 \"\" \"" << plain(version) << "\" \"User commands\"\n"
       << ".SH NAME\n"
       << name << " \\- " << plain(what) << "\n.SH SYNOPSIS\n";
  for (const Command& command : commands) {
    page << usage(command) << "\n.br\n";
  }
  page << bold(name + " --version") << "\n.br\n" << bold(name + " COMMAND --help") << "\n";
  page << ".SH OPTIONS\n"
       << entry(bold(help_names), help_words) << entry(bold(version_name), version_words)
       << ".SH COMMANDS\n";
  for (const Command& command : commands) {
    page << ".SS " << usage(command) << "\n"
         << plain(command.what) << ".\n"
         << entries(command) << verbatim("Example:\n  " + command.example);
  }
  page << ".SH EXIT STATUS\n" << plain(program_footer) << "\n";
  return page.str();
}

}  // namespace sweepflux::tool
