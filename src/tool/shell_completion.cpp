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

std::vector<std::string> names_of(const CLI::Option& option) {
  std::vector<std::string> names;
  for (const std::string& name : option.get_snames()) {
    names.push_back("-" + name);
  }
  for (const std::string& name : option.get_lnames()) {
    names.push_back("--" + name);
  }
  return names;
}

std::string joined(const std::vector<std::string>& words, const char* between) {
  std::string text;
  for (const std::string& word : words) {
    text += (text.empty() ? "" : between) + word;
  }
  return text;
}

/// The branch of one verb: its options, what they take, and what stands alone.
std::string branch(const CLI::App& verb) {
  std::vector<std::string> options;
  std::string values;
  Offer alone = Offer::nothing;
  for (const CLI::Option* option : verb.get_options()) {
    if (option->get_positional()) {
      alone = offer_of(option->get_option_text());
      continue;
    }
    const std::vector<std::string> names = names_of(*option);
    options.insert(options.end(), names.begin(), names.end());
    if (!option->get_option_text().empty()) {
      values += "        " + joined(names, "|") +
                ") offer=" + word_for(offer_of(option->get_option_text())) + " ;;\n";
    }
  }
  return "    " + verb.get_name() + ")\n      options=\"" + joined(options, " ") +
         "\"\n      offer=" + word_for(alone) + "\n      case \"$before\" in\n" + values +
         "        *) value=no ;;\n      esac\n      ;;\n";
}

}  // namespace

std::string bash_completion(const CLI::App& program) {
  std::vector<std::string> first;
  std::string branches;
  for (const CLI::App* verb : program.get_subcommands([](const CLI::App*) { return true; })) {
    first.push_back(verb->get_name());
    branches += branch(*verb);
  }
  for (const CLI::Option* option : program.get_options()) {
    const std::vector<std::string> names = names_of(*option);
    first.insert(first.end(), names.begin(), names.end());
  }
  const std::string& name = program.get_name();
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
         joined(first, " ") +
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
