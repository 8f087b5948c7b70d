#include "tool/shell_completion.hpp"

#include <map>
#include <vector>

namespace sweepflux::tool {
namespace {

/// What the shell can offer for a value, by the word that stands for it in the help.
enum class Offer { files, folders, nothing };

Offer offer_of(const std::string& value) {
  static const std::map<std::string, Offer> offers = {{"DIR", Offer::folders},
                                                      {"DIR...", Offer::folders},
                                                      {"FILE", Offer::files},
                                                      {"LOG...", Offer::files},
                                                      {"SOURCE", Offer::files},
                                                      {"SURVEY.toml", Offer::files},
                                                      {"SESSION.toml", Offer::files}};
  const auto found = offers.find(value);
  return found == offers.end() ? Offer::nothing : found->second;
}

const char* word_for(Offer offer) {
  switch (offer) {
    case Offer::files:
      return "files";
    case Offer::folders:
      return "folders";
    case Offer::nothing:
      break;
  }
  return "nothing";
}

/// Both ways of asking for help, as the shell offers them.
constexpr const char* help_options = "-h --help";

/// The branch of one verb: its options, what they take, and what stands alone.
std::string branch(const Command& command) {
  std::string options = help_options;
  std::string values;
  Offer alone = Offer::nothing;
  for (const Option& option : command.options) {
    if (option.is_argument()) {
      alone = offer_of(option.value);
      continue;
    }
    options += " " + option.name;
    if (!option.value.empty()) {
      values += "        " + option.name + ") offer=" + word_for(offer_of(option.value)) + " ;;\n";
    }
  }
  return "    " + command.name + ")\n      options=\"" + options +
         "\"\n      offer=" + word_for(alone) + "\n      case \"$before\" in\n" + values +
         "        *) value=no ;;\n      esac\n      ;;\n";
}

}  // namespace

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

}  // namespace sweepflux::tool
