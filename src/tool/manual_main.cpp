// Writes what a package holds beside the program: sweepflux_manual MANUAL_PAGE BASH_COMPLETION
#include "sweepflux/capture/survey/survey_template.hpp"
#include "tool/commands.hpp"
#include "tool/program.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>
#include <iostream>
#include <map>
#include <sstream>
#include <utility>

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

/// Keys of [log], or beside `log` in a [[sweep]], and what they mean.
constexpr std::array<std::pair<const char*, const char*>, 16> log_keys{{
    {"columns",
     "headings of a log that has none, in order, - for a column of no interest: "
     "[\"time [s]\", \"-\", \"speed [m/s]\"]"},
    {"time_column, angle_column (across_column on a rail), value_column",
     "headings; else those of [columns], else the usual ones"},
    {"time_unit, angle_unit (across_unit), value_unit", "where a heading has no unit"},
    {"dates", "\"day-first\" or \"month-first\", where the dates leave it open"},
    {"rate", "rows a second (a number), for a log without times"},
    {"settle", "time dropped after each step; else found from the step response"},
    {"tolerance", "positions this near are one dwell"},
    {"start, step, stops, dwell", "a regular sweep, for a log without angles"},
    {"move, begin, there_and_back",
     "of a regular sweep: time of a step, time of the first stop (else found from the signal), and "
     "whether it came back"},
    {"steps", "instead: a CSV list of stops (angle, time, dwell, settle)"},
    {"steps_sweep", "name of this sweep in that list; else found by distance and height"},
    {"continuous", "true: the fan turned without stopping"},
    {"bin", "width of a reading of a continuous sweep"},
    {"time_constant, distance_constant, rotating",
     "the sensor's lag in a continuous sweep; else the probe's, else found from the two ways"},
    {"full_scale", "top of the probe's range, for warnings"},
    {"uncorrected",
     "true: backlash and drift are reported and not taken off; else they are where significant"},
}};

/// What the files may hold: the commented templates, and the keys for raw logs.
std::string file_sections() {
  std::string text =
      ".SH SURVEY FILE\nOne file a fan and setting. It may also name the logger's raw time series; "
      "the keys of RAW LOGS say how to reduce it.\n" +
      verbatim(survey_template()) +
      ".SH RAW LOGS\nUnder [log] for all logs of a survey, or beside log in one [[sweep]]; that "
      "counts first. All are optional.\n";
  for (const auto& [keys, meaning] : log_keys) {
    text += entry(bold(keys), meaning);
  }
  return text +
         ".PP\nRests are judged by each other. One much longer at the start or end of the log "
         "counts as parked and gives a reading of the usual length; one much shorter is left out "
         "and named with its lines. Gaps, steps of the clock and a logger started anew are closed "
         "up and reported. A log in which more stops are lost than gave a reading is refused.\n"
         ".SH SESSION FILE\nA day at the balance.\n" +
         verbatim(session_template()) + ".SH CAMPAIGN FILE\nMany fans and settings on one rig.\n" +
         verbatim(campaign_template());
}

/// The manual page (roff, section 1) of the program: the words of its `--help` and of
/// every verb's, in the form that `man` reads.
///
/// @param version  "sweepflux 0.1.0", for the foot of the page
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
  page << file_sections();
  page << ".SH EXIT STATUS\n" << plain(program_footer) << "\n";
  return page.str();
}

/// What the shell can offer for a value, by the word that stands for it in the help.
std::string offer_of(const std::string& value) {
  static const std::map<std::string, const char*> offers = {{"DIR", "folders"},
                                                            {"DIR...", "folders"},
                                                            {"FILE", "files"},
                                                            {"LOG...", "files"},
                                                            {"SOURCE", "files"},
                                                            {"SURVEY.toml", "files"},
                                                            {"SESSION.toml", "files"}};
  const auto found = offers.find(value);
  return found == offers.end() ? "nothing" : found->second;
}

/// Both ways of asking for help, as the shell offers them.
constexpr const char* help_options = "-h --help";

/// The branch of one verb: its options, what they take, and what stands alone.
std::string branch(const Command& command) {
  std::string options = help_options;
  std::string values;
  std::string alone = "nothing";
  for (const Option& option : command.options) {
    if (option.is_argument()) {
      alone = offer_of(option.value);
      continue;
    }
    options += " " + option.name;
    if (!option.value.empty()) {
      values += "        " + option.name + ") offer=" + offer_of(option.value) + " ;;\n";
    }
  }
  return "    " + command.name + ")\n      options=\"" + options + "\"\n      offer=" + alone +
         "\n      case \"$before\" in\n" + values +
         "        *) value=no ;;\n      esac\n      ;;\n";
}

/// A bash script that completes verbs, options, files and folders of the program.
std::string bash_completion(const std::vector<Command>& commands) {
  std::string first;
  std::string branches;
  for (const Command& command : commands) {
    first += command.name + " ";
    branches += branch(command);
  }
  first += std::string(help_options) + " " + version_name;
  const std::string name = program_name;
  return "# Completion of " + name +
         " for bash; written by the build from the options themselves.\n"
         "_" +
         name +
         "() {\n"
         "  local current=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n"
         "  local options=\"\" offer=nothing value=yes\n"
         "  COMPREPLY=()\n"
         "  if ((COMP_CWORD == 1)); then\n"
         "    mapfile -t COMPREPLY < <(compgen -W \"" +
         first +
         "\" -- \"$current\")\n"
         "    return\n"
         "  fi\n"
         "  case \"${COMP_WORDS[1]}\" in\n" +
         branches +
         "    *) return ;;\n"
         "  esac\n"
         "  if [[ $value == no && $current == -* ]]; then\n"
         "    mapfile -t COMPREPLY < <(compgen -W \"$options\" -- \"$current\")\n"
         "  elif [[ $offer == files ]]; then\n"
         "    compopt -o filenames 2>/dev/null\n"
         "    mapfile -t COMPREPLY < <(compgen -f -- \"$current\")\n"
         "  elif [[ $offer == folders ]]; then\n"
         "    compopt -o filenames 2>/dev/null\n"
         "    mapfile -t COMPREPLY < <(compgen -d -- \"$current\")\n"
         "  fi\n"
         "}\n"
         "complete -F _" +
         name + " " + name + "\n";
}

}  // namespace
}  // namespace sweepflux::tool

int main(int argc, char** argv) {
  using namespace sweepflux::tool;
  if (argc != 3) {
    std::cerr << "sweepflux_manual needs two files to write: the manual page and the completion\n";
    return bad_input;
  }
  const std::vector<Command> commands = all_commands();
  const std::string version = version_text();
  std::ofstream page(argv[1]);
  std::ofstream completion(argv[2]);
  page << manual_page(commands, version.substr(0, version.find('\n'))) << std::flush;
  completion << bash_completion(commands) << std::flush;
  return page.good() && completion.good() ? done : failed;
}
