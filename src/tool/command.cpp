#include "tool/command.hpp"

#include "sweepflux/base/error.hpp"

#include <iterator>

namespace sweepflux::tool {

std::vector<Option> common_options(CommonOptions& options,
                                   const std::string& what_out_is,
                                   std::vector<Option> own) {
  std::vector<Option> all = {
      {"--out", &options.out, what_out_is, "DIR"},
      {"--replace", &options.replace, "Replace earlier results even if they were changed since"},
      {"--json", &options.json, "Print the result as JSON instead of text"},
      {"--quiet", &options.quiet, "Print nothing but errors"}};
  std::move(own.begin(), own.end(), std::back_inserter(all));
  return all;
}

Option threads_option(int& threads) {
  return {"--threads",
          &threads,
          "Threads at most; else as many as there are cores",
          "N",
          Need::optional,
          {1, 1024}};
}

double quantity_of(const std::string& option, const std::string& text, Dimension dimension) {
  try {
    return parse_quantity(text, dimension);
  } catch (const InputError& error) {
    throw InputError(option + ": " + error.what());
  }
}

std::vector<double> quantities_of(const std::string& option,
                                  std::span<const std::string> texts,
                                  Dimension dimension) {
  std::vector<double> values;
  std::string faults;
  for (const std::string& text : texts) {
    try {
      values.push_back(parse_quantity(text, dimension));
      if (!(values.back() > 0.0)) {
        throw InputError("is \"" + text + "\", must be above zero");
      }
    } catch (const InputError& error) {
      faults += (faults.empty() ? "" : "\n") + option + ": " + error.what();
    }
  }
  if (!faults.empty()) {
    throw InputError(faults);
  }
  return values;
}

double positive_quantity_of(const std::string& option,
                            const std::string& text,
                            Dimension dimension) {
  return quantities_of(option, {&text, 1}, dimension).front();
}

std::string shell_word(const std::string& word) {
  constexpr const char* plain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-./=+,:%@";
  if (!word.empty() && word.find_first_not_of(plain) == std::string::npos) {
    return word;
  }
  std::string quoted = "'";
  for (const char c : word) {
    quoted += c == '\'' ? "'\\''" : std::string(1, c);
  }
  return quoted + "'";
}

std::string shell_option(const std::string& name, std::span<const std::string> values) {
  std::string text;
  for (const std::string& value : values) {
    text += value.empty() ? "" : " " + name + " " + shell_word(value);
  }
  return text;
}

}  // namespace sweepflux::tool
