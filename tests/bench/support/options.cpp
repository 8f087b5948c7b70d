#include "tests/bench/support/options.hpp"

#include "sweepflux/base/error.hpp"

#include <charconv>
#include <cmath>
#include <iostream>
#include <system_error>
#include <utility>

namespace sweepflux::bench {
namespace {

std::vector<std::string> split(const std::string& text) {
  std::vector<std::string> parts;
  std::size_t from = 0;
  while (from <= text.size() && !text.empty()) {
    const std::size_t comma = std::min(text.find(',', from), text.size());
    parts.push_back(text.substr(from, comma - from));
    from = comma + 1;
  }
  return parts;
}

double number_of(const std::string& text, std::string_view name) {
  double value = 0.0;
  const auto end = std::from_chars(text.data(), text.data() + text.size(), value);
  if (end.ec != std::errc{} || end.ptr != text.data() + text.size() || !std::isfinite(value)) {
    throw InputError("--" + std::string(name) + ": \"" + text + "\" is no number");
  }
  return value;
}

int count_of(const std::string& text, std::string_view name, int least) {
  const double value = number_of(text, name);
  if (value != std::floor(value) || value < least || value > 1e6) {
    throw InputError("--" + std::string(name) + ": \"" + text +
                     "\" is no whole number of at least " + std::to_string(least));
  }
  return static_cast<int>(value);
}

}  // namespace

Options::Options(int argc, const char* const* argv, std::map<std::string, std::string> defaults)
    : values_(std::move(defaults)) {
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const auto found = word.rfind("--", 0) == 0 ? values_.find(word.substr(2)) : values_.end();
    if (found == values_.end() || i + 1 >= argc) {
      throw InputError((found == values_.end() ? "no option " : "no value after ") + word +
                       "; options and their defaults: " + all());
    }
    found->second = argv[++i];
  }
}

const std::string& Options::text(std::string_view name) const {
  return values_.at(std::string(name));
}

std::vector<std::string> Options::texts(std::string_view name) const { return split(text(name)); }

double Options::number(std::string_view name) const { return number_of(text(name), name); }

std::vector<double> Options::numbers(std::string_view name) const {
  std::vector<double> values;
  for (const std::string& part : texts(name)) {
    values.push_back(number_of(part, name));
  }
  return values;
}

int Options::count(std::string_view name, int least) const {
  return count_of(text(name), name, least);
}

std::uint64_t Options::seed(std::string_view name) const {
  const std::string value = text(name);
  std::uint64_t out = 0;
  const auto [end, error] = std::from_chars(value.data(), value.data() + value.size(), out);
  if (error != std::errc{} || end != value.data() + value.size()) {
    throw InputError("--" + std::string(name) + ": \"" + value + "\" is no whole number");
  }
  return out;
}

std::vector<int> Options::counts(std::string_view name, int least) const {
  std::vector<int> values;
  for (const std::string& part : texts(name)) {
    values.push_back(count_of(part, name, least));
  }
  return values;
}

bool Options::yes(std::string_view name) const {
  if (text(name) != "yes" && text(name) != "no") {
    throw InputError("--" + std::string(name) + ": yes or no");
  }
  return text(name) == "yes";
}

std::string Options::all() const {
  std::string line;
  for (const auto& [name, value] : values_) {
    line += (line.empty() ? "--" : " --") + name + " " + (value.empty() ? "\"\"" : value);
  }
  return line;
}

int run_program(int argc, const char* const* argv, int (*work)(int, const char* const*)) {
  try {
    return work(argc, argv);
  } catch (const InputError& error) {
    std::cerr << argv[0] << ": " << error.what() << '\n';
    return 2;
  } catch (const std::exception& error) {
    std::cerr << argv[0] << ": " << error.what() << '\n';
    return 1;
  }
}

}  // namespace sweepflux::bench
