#include "sweepflux/base/error.hpp"
#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/document/toml_view_private.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace sweepflux {
namespace {

constexpr std::int64_t largest_exact_integer = std::int64_t{1} << 53;

std::string_view type_name(const toml::node& node) {
  return node.is_table()     ? "a section"
         : node.is_array()   ? "a list"
         : node.is_string()  ? "text"
         : node.is_number()  ? "a number without unit"
         : node.is_boolean() ? "true or false"
                             : "a date or time";
}

/// The value as the user sees it, for messages.
std::string shown(const toml::node& node) {
  if (const auto text = node.value<std::string>(); text && node.is_string()) {
    return in_backticks(*text);
  }
  if (node.is_integer()) {
    return in_backticks(std::to_string(node.as_integer()->get()));
  }
  if (node.is_floating_point()) {
    return in_backticks(format_number(node.as_floating_point()->get(), 17));
  }
  return std::string(type_name(node));
}

/// Grams as newtons by the balance's own gravity.
auto by_gravity(double gravity_m_s2) {
  return
      [gravity_m_s2](std::string_view text, Dimension) { return parse_force(text, gravity_m_s2); };
}

}  // namespace

TomlView::TomlView(TomlReport& report)
    : TomlView(report, &report.document.root, "", "", {report.document.file, 0, 0}) {}

TomlView::TomlView(
    TomlReport& report, const toml::table* table, std::string name, std::string id, Spot spot)
    : report_(&report),
      table_(table),
      name_(std::move(name)),
      id_(std::move(id)),
      spot_(std::move(spot)) {}

std::string TomlView::path(std::string_view key) const {
  return (name_.empty() ? "" : name_ + ".") + std::string(key);
}

bool TomlView::is_damaged(std::string_view key) const {
  const std::set<std::string>& damaged = report_->document.damaged;
  return damaged.count(id_ + ".") > 0 || damaged.count(id_ + "." + std::string(key)) > 0;
}

const toml::node* TomlView::take(std::string_view key) {
  if (std::find(asked_.begin(), asked_.end(), key) == asked_.end()) {
    asked_.emplace_back(key);
  }
  return table_ == nullptr ? nullptr : table_->get(key);
}

bool TomlView::has(std::string_view key) const {
  return table_ != nullptr && table_->contains(key);
}

std::filesystem::path TomlView::beside(const std::filesystem::path& name) const {
  return report_->document.file.parent_path() / name;
}

Spot TomlView::spot(std::string_view key) const {
  const toml::node* const node = table_ == nullptr ? nullptr : table_->get(key);
  return node == nullptr ? spot_ : report_->document.spot(node->source());
}

void TomlView::fault(std::string_view key, std::string text) {
  report_->findings.add(spot(key), std::move(text));
}

void TomlView::wrong_type(const toml::node& node, std::string_view key, std::string_view wanted) {
  report_->findings.add(report_->document.spot(node.source()),
                        path(key) + " is " + shown(node) + (node.is_string() ? ", text" : "") +
                            ", must be " + std::string(wanted));
}

std::optional<std::string> TomlView::text(std::string_view key) {
  const toml::node* const node = take(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  if (!node->is_string()) {
    wrong_type(*node, key, "text in quotation marks");
    return std::nullopt;
  }
  if (node->as_string()->get().find_first_of("\r\n") != std::string::npos) {
    fault(key, path(key) + " is " + shown(*node) + ", must be one line");
    return std::nullopt;
  }
  return node->as_string()->get();
}

std::optional<bool> TomlView::boolean(std::string_view key) {
  const toml::node* const node = take(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  if (!node->is_boolean()) {
    wrong_type(*node, key, "true or false, without quotation marks");
    return std::nullopt;
  }
  return node->as_boolean()->get();
}

std::optional<double> TomlView::number(std::string_view key, const Bounds& bounds) {
  const toml::node* const node = take(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  const bool exact =
      node->is_integer() && std::llabs(node->as_integer()->get()) < largest_exact_integer;
  const double value = node->value_or(0.0);
  if (!std::isfinite(value) || !(exact || node->is_floating_point())) {
    wrong_type(*node,
               key,
               (node->is_integer() ? "below 2^53 and a plain number " : "a plain number ") +
                   std::string(bounds.words));
    return std::nullopt;
  }
  if (!bounds.hold(value)) {
    fault(key, path(key) + " is " + shown(*node) + ", must be " + std::string(bounds.words));
    return std::nullopt;
  }
  return value;
}

std::optional<double> TomlView::quantity_of(const toml::node& node,
                                            std::string_view key,
                                            Dimension dimension,
                                            const Bounds& bounds,
                                            const Parser& parse) {
  if (!node.is_string()) {
    wrong_type(node, key, "text with a number and a unit (" + accepted_units(dimension) + ")");
    return std::nullopt;
  }
  const Spot where = report_->document.spot(node.source());
  try {
    const double value = parse(node.as_string()->get(), dimension);
    if (bounds.hold(value)) {
      return value;
    }
    report_->findings.add(
        where, path(key) + " is " + shown(node) + ", must be " + std::string(bounds.words));
  } catch (const InputError& error) {
    report_->findings.add(where, path(key) + ": " + error.what());
  }
  return std::nullopt;
}

std::optional<double> TomlView::quantity(std::string_view key,
                                         Dimension dimension,
                                         const Bounds& bounds) {
  const toml::node* const node = take(key);
  return node == nullptr ? std::nullopt : quantity_of(*node, key, dimension, bounds);
}

double TomlView::quantity_or(std::string_view key,
                             Dimension dimension,
                             const Bounds& bounds,
                             double usual,
                             std::string_view shown_usual) {
  const std::optional<double> stated = quantity(key, dimension, bounds);
  if (!has(key) && !shown_usual.empty()) {
    note_default(key, shown_usual);
  }
  return stated.value_or(usual);
}

std::optional<double> TomlView::difference(std::string_view key, Dimension dimension) {
  const toml::node* const node = take(key);
  return node == nullptr ? std::nullopt
                         : quantity_of(*node, key, dimension, zero_or_more, parse_difference);
}

std::optional<double> TomlView::force(std::string_view key,
                                      double gravity_m_s2,
                                      const Bounds& bounds) {
  const toml::node* const node = take(key);
  return node == nullptr
             ? std::nullopt
             : quantity_of(*node, key, Dimension::force, bounds, by_gravity(gravity_m_s2));
}

std::optional<std::size_t> TomlView::choice(std::string_view key,
                                            std::span<const std::string> names) {
  const std::optional<std::string> value = text(key);
  if (!value) {
    return std::nullopt;
  }
  const auto found = std::find(names.begin(), names.end(), *value);
  if (found != names.end()) {
    return static_cast<std::size_t>(found - names.begin());
  }
  fault(key,
        path(key) + " is " + in_backticks(*value) + ", must be one of " + listed(names) +
            did_you_mean(*value, names));
  return std::nullopt;
}

const toml::array* TomlView::list(std::string_view key) {
  const toml::node* const node = take(key);
  if (node != nullptr && !node->is_array()) {
    wrong_type(*node, key, "a list, [ ... ]");
  }
  return node == nullptr ? nullptr : node->as_array();
}

std::optional<std::size_t> TomlView::list_size(std::string_view key) const {
  const toml::node* const node = table_ == nullptr ? nullptr : table_->get(key);
  const bool is_list = node != nullptr && node->is_array();
  return is_list ? std::optional<std::size_t>(node->as_array()->size()) : std::nullopt;
}

template <typename Value, typename Read>
std::vector<Value> TomlView::values(std::string_view key, Read read) {
  std::vector<Value> all;
  if (const toml::array* const array = list(key)) {
    for (const toml::node& node : *array) {
      if (std::optional<Value> value = read(node)) {
        all.push_back(std::move(*value));
      }
    }
  }
  return all;
}

std::vector<std::string> TomlView::texts(std::string_view key) {
  return values<std::string>(key, [&](const toml::node& node) {
    if (!node.is_string()) {
      wrong_type(node, key, "a list of texts in quotation marks");
    }
    return node.value_exact<std::string>();
  });
}

std::vector<double> TomlView::quantities(std::string_view key,
                                         Dimension dimension,
                                         const Bounds& bounds) {
  return values<double>(
      key, [&](const toml::node& node) { return quantity_of(node, key, dimension, bounds); });
}

std::vector<double> TomlView::forces(std::string_view key, double gravity_m_s2) {
  return values<double>(key, [&](const toml::node& node) {
    return quantity_of(node, key, Dimension::force, any_value, by_gravity(gravity_m_s2));
  });
}

std::vector<std::pair<double, double>> TomlView::pairs(std::string_view key,
                                                       Dimension dimension,
                                                       const Bounds& bounds) {
  using Pair = std::pair<double, double>;
  return values<Pair>(key, [&](const toml::node& node) -> std::optional<Pair> {
    const toml::array* const pair = node.as_array();
    if (pair == nullptr || pair->size() != 2) {
      wrong_type(node, key, "a list of pairs [true, indicated]");
      return std::nullopt;
    }
    const std::optional<double> first = quantity_of(*pair->get(0), key, dimension, bounds);
    const std::optional<double> second = quantity_of(*pair->get(1), key, dimension, bounds);
    return first && second ? std::optional(Pair(*first, *second)) : std::nullopt;
  });
}

std::optional<std::pair<double, double>> TomlView::limits(std::string_view key,
                                                          Dimension dimension,
                                                          const char* words) {
  const std::vector<double> both = quantities(key, dimension, any_value);
  const std::optional<std::size_t> count = list_size(key);
  if (count && (*count != 2 || (both.size() == 2 && !(both[0] < both[1])))) {
    fault(key, words);
    return std::nullopt;
  }
  return both.size() == 2 ? std::optional(std::pair(both[0], both[1])) : std::nullopt;
}

void TomlView::require(std::string_view key) {
  if (!has(key) && !is_damaged(key)) {
    missing_.push_back(path(key));
  }
}

void TomlView::note_default(std::string_view key, std::string_view shown_value) {
  report_->defaults.push_back(path(key) + " = " + std::string(shown_value));
}

TomlView TomlView::section(std::string_view key) {
  const toml::node* const node = take(key);
  const std::string id = id_.empty() ? std::string(key) : id_ + "." + std::string(key);
  if (node != nullptr && !node->is_table()) {
    wrong_type(*node, key, "a section, [" + path(key) + "]");
  }
  const bool is_table = node != nullptr && node->is_table();
  return {*report_,
          is_table ? node->as_table() : nullptr,
          path(key),
          id,
          node == nullptr ? spot_ : report_->document.spot(node->source())};
}

std::vector<TomlView> TomlView::sections(std::string_view key) {
  std::vector<TomlView> views;
  const toml::node* const node = take(key);
  if (node == nullptr) {
    return views;
  }
  const toml::array* const array = node->as_array();
  if (array == nullptr) {
    fault(key, "[" + path(key) + "] must be [[" + path(key) + "]], with two brackets");
    return views;
  }
  for (std::size_t i = 0; i < array->size(); ++i) {
    const toml::node& element = *array->get(i);
    if (!element.is_table()) {
      wrong_type(element, key, "a section, [[" + path(key) + "]]");
      continue;
    }
    const std::string number = std::to_string(i + 1);
    views.push_back({*report_,
                     element.as_table(),
                     path(key) + " " + number,
                     path(key) + "#" + number,
                     report_->document.spot(element.source())});
  }
  return views;
}

/// True for a section that is not there while one of a similar name is: that one is reported.
bool TomlView::is_misspelt() const {
  if (table_ != nullptr) {
    return false;
  }
  const std::vector<std::string> wanted = {name_};
  for (const auto& [key, node] : report_->document.root) {
    if (node.is_table() && nearest_name(key.str(), wanted)) {
      return true;
    }
  }
  return false;
}

void TomlView::finish() {
  if (!missing_.empty() && !is_misspelt()) {
    const std::string verb = missing_.size() == 1 ? " is missing" : " are missing";
    report_->findings.add(spot_, listed(missing_) + verb);
  }
  if (table_ == nullptr) {
    return;
  }
  for (const auto& [key, node] : *table_) {
    const std::string_view word = key.str();
    const bool stands_in = name_.empty() && report_->document.ignored.count(std::string(word)) > 0;
    if (stands_in || std::find(asked_.begin(), asked_.end(), word) != asked_.end()) {
      continue;
    }
    const std::string kind = node.is_table() ? "section" : "key";
    const std::string hint = did_you_mean(word, asked_);
    report_->findings.add(report_->document.spot(key.source()),
                          "unknown " + kind + " " + in_backticks(path(word)) +
                              (hint.empty() ? ", allowed here: " + listed(asked_, 30) : hint));
  }
}

}  // namespace sweepflux
