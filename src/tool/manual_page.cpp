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

/// One paragraph with a hanging name: an option or an argument, then what it does.
std::string entry(const CLI::Option& option) {
  const std::string& value = option.get_option_text();
  if (option.get_positional()) {
    return ".TP\n\\fI" + plain(value) + "\\fR\n" + plain(option.get_description()) + "\n";
  }
  const std::string names = option.get_name(false, true);
  std::string text = ".TP\n" + bold(names);
  if (!value.empty()) {
    text += " \\fI" + plain(value) + "\\fR";
  }
  return text + "\n" + plain(option.get_description()) + "\n";
}

std::string entries(const CLI::App& parser) {
  std::string arguments;
  std::string options;
  for (const CLI::Option* option : parser.get_options()) {
    (option->get_positional() ? arguments : options) += entry(*option);
  }
  return arguments + options;
}

/// The example below a verb's help: lines to type, and indented under them what they do.
std::string verbatim(const std::string& text) { return ".PP\n.EX\n" + plain(text) + "\n.EE\n"; }

std::string usage(const CLI::App& verb) {
  std::string text = bold("sweepflux " + verb.get_name());
  for (const CLI::Option* option : verb.get_options()) {
    if (option->get_positional()) {
      text += " \\fI" + plain(option->get_option_text()) + "\\fR";
    }
  }
  return text + " [options]";
}

}  // namespace

std::string manual_page(const CLI::App& program, const std::string& version) {
  const std::string& name = program.get_name();
  std::string what = program.get_description();
  if (what.ends_with('.')) {
    what.pop_back();
  }
  std::ostringstream page;
  page << ".TH " << upper(name) << " 1 \"\" \"" << plain(version) << "\" \"User commands\"\n"
       << ".SH NAME\n"
       << name << " \\- " << plain(what) << "\n.SH SYNOPSIS\n";
  const auto verbs = program.get_subcommands([](const CLI::App*) { return true; });
  for (const CLI::App* verb : verbs) {
    page << usage(*verb) << "\n.br\n";
  }
  page << bold(name + " --version") << "\n.br\n" << bold(name + " COMMAND --help") << "\n";
  page << ".SH OPTIONS\n" << entries(program) << ".SH COMMANDS\n";
  for (const CLI::App* verb : verbs) {
    page << ".SS " << usage(*verb) << "\n"
         << plain(verb->get_description()) << ".\n"
         << entries(*verb) << verbatim(verb->get_footer());
  }
  page << ".SH EXIT STATUS\n" << plain(program.get_footer()) << "\n";
  return page.str();
}

}  // namespace sweepflux::tool
