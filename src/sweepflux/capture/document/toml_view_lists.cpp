#include "sweepflux/capture/document/toml_view_private.hpp"

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {

const toml::array* TomlView::list(std::string_view key) {
  const toml::node* const node = take(key);
  if (node == nullptr) {
    return nullptr;
  }
  if (!node->is_array()) {
    wrong_type(*node, key, "a list, [ ... ]");
    return nullptr;
  }
  return node->as_array();
}

std::optional<std::size_t> TomlView::list_size(std::string_view key) const {
  const toml::node* const node = table_ == nullptr ? nullptr : table_->get(key);
  const bool is_list = node != nullptr && node->is_array();
  return is_list ? std::optional<std::size_t>(node->as_array()->size()) : std::nullopt;
}

std::vector<std::string> TomlView::texts(std::string_view key) {
  std::vector<std::string> values;
  if (const toml::array* const array = list(key)) {
    for (const toml::node& node : *array) {
      if (node.is_string()) {
        values.push_back(node.as_string()->get());
      } else {
        wrong_type(node, key, "a list of texts in quotation marks");
      }
    }
  }
  return values;
}

std::vector<double> TomlView::quantities(std::string_view key,
                                         Dimension dimension,
                                         const Bounds& bounds) {
  std::vector<double> values;
  if (const toml::array* const array = list(key)) {
    for (const toml::node& node : *array) {
      if (const std::optional<double> value = quantity_of(node, key, dimension, bounds)) {
        values.push_back(*value);
      }
    }
  }
  return values;
}

std::vector<double> TomlView::forces(std::string_view key, double gravity_m_s2) {
  std::vector<double> values;
  if (const toml::array* const array = list(key)) {
    for (const toml::node& node : *array) {
      if (const std::optional<double> value = force_of(node, key, gravity_m_s2, any_value)) {
        values.push_back(*value);
      }
    }
  }
  return values;
}

std::vector<std::pair<double, double>> TomlView::pairs(std::string_view key,
                                                       Dimension dimension,
                                                       const Bounds& bounds) {
  std::vector<std::pair<double, double>> values;
  const toml::array* const array = list(key);
  if (array == nullptr) {
    return values;
  }
  for (const toml::node& node : *array) {
    const toml::array* const pair = node.as_array();
    if (pair == nullptr || pair->size() != 2) {
      wrong_type(node, key, "a list of pairs [true, indicated]");
      continue;
    }
    const std::optional<double> first = quantity_of(*pair->get(0), key, dimension, bounds);
    const std::optional<double> second = quantity_of(*pair->get(1), key, dimension, bounds);
    if (first && second) {
      values.emplace_back(*first, *second);
    }
  }
  return values;
}

}  // namespace sweepflux
