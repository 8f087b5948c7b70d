#pragma once

#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/capture/document/toml_document_private.hpp"

#include <cstddef>
#include <filesystem>
#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace sweepflux {

/// What a value may be, in SI.
struct Bounds {
  double low = -std::numeric_limits<double>::infinity();
  double high = std::numeric_limits<double>::infinity();
  bool low_itself = true;  ///< false: must be above `low`
  std::string_view words;  ///< "> 0", "from 0 % to 100 %"

  [[nodiscard]] bool hold(double value) const {
    return value <= high && (low_itself ? value >= low : value > low);
  }
};

inline constexpr double unbounded = std::numeric_limits<double>::infinity();
inline constexpr Bounds any_value{-unbounded, unbounded, true, "a number"};
inline constexpr Bounds above_zero{0.0, unbounded, false, "> 0"};
inline constexpr Bounds zero_or_more{0.0, unbounded, true, ">= 0"};

/// What all views of a document share.
struct TomlReport {
  const TomlDocument& document;
  Findings& findings;
  std::vector<std::string>& defaults;  ///< "probe.resolution = 0.01 m/s"
};

/// A typed look at one table: every key is asked for by name and type; what does not fit is a
/// finding with its place, and what nobody asked for is a finding at the end.
class TomlView {
 public:
  /// The document itself.
  explicit TomlView(TomlReport& report);

  /// False when the survey has no such section.
  [[nodiscard]] bool is_there() const { return table_ != nullptr; }
  [[nodiscard]] bool has(std::string_view key) const;
  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] Spot spot() const { return spot_; }
  /// The path of a file that is named in the document.
  [[nodiscard]] std::filesystem::path beside(const std::filesystem::path& name) const;
  /// Of the key's value, or of the section when it is absent.
  [[nodiscard]] Spot spot(std::string_view key) const;

  std::optional<std::string> text(std::string_view key);
  std::optional<bool> boolean(std::string_view key);
  std::optional<double> number(std::string_view key, const Bounds& bounds);
  std::optional<double> quantity(std::string_view key, Dimension dimension, const Bounds& bounds);
  /// The quantity, or what is usual; the default is noted where it has words.
  double quantity_or(std::string_view key,
                     Dimension dimension,
                     const Bounds& bounds,
                     double usual,
                     std::string_view shown_usual);
  /// A difference or uncertainty: "0.5 degC" is 0.5 K.
  std::optional<double> difference(std::string_view key, Dimension dimension);
  std::optional<double> force(std::string_view key, double gravity_m_s2, const Bounds& bounds);
  /// The place of the text among `names`.
  std::optional<std::size_t> choice(std::string_view key, std::span<const std::string> names);
  std::vector<std::string> texts(std::string_view key);
  std::vector<double> quantities(std::string_view key, Dimension dimension, const Bounds& bounds);
  std::vector<double> forces(std::string_view key, double gravity_m_s2);
  std::vector<std::pair<double, double>> pairs(std::string_view key,
                                               Dimension dimension,
                                               const Bounds& bounds);

  /// Two quantities, the lower one first; `words` is the fault of any other list.
  std::optional<std::pair<double, double>> limits(std::string_view key,
                                                  Dimension dimension,
                                                  const char* words);

  /// How many elements the user wrote, good or bad; nothing when there is no list.
  [[nodiscard]] std::optional<std::size_t> list_size(std::string_view key) const;

  /// Keeps in mind that the key must be there; finish() tells all such keys at once.
  void require(std::string_view key);
  /// Notes that a default is used; `shown` is the value in the user's units.
  void note_default(std::string_view key, std::string_view shown);
  void fault(std::string_view key, std::string text);

  /// A table below this one; is_there() is false when there is none.
  [[nodiscard]] TomlView section(std::string_view key);
  /// The tables of [[key]].
  [[nodiscard]] std::vector<TomlView> sections(std::string_view key);

  /// Reports missing keys and unknown ones.
  void finish();

 private:
  TomlView(
      TomlReport& report, const toml::table* table, std::string name, std::string id, Spot spot);
  using Parser = std::function<double(std::string_view, Dimension)>;
  const toml::node* take(std::string_view key);
  void wrong_type(const toml::node& node, std::string_view key, std::string_view wanted);
  std::optional<double> quantity_of(const toml::node& node,
                                    std::string_view key,
                                    Dimension dimension,
                                    const Bounds& bounds,
                                    const Parser& parse = parse_quantity);
  /// What `read` makes of each node of a list; nodes of which it makes nothing are left out.
  template <typename Value, typename Read>
  std::vector<Value> values(std::string_view key, Read read);
  const toml::array* list(std::string_view key);
  [[nodiscard]] std::string path(std::string_view key) const;
  [[nodiscard]] bool is_damaged(std::string_view key) const;
  [[nodiscard]] bool is_misspelt() const;

  TomlReport* report_;
  const toml::table* table_;
  std::string name_;  ///< as shown: "air", "sweep 3"
  std::string id_;    ///< as in TomlDocument::damaged: "air", "sweep#3"
  Spot spot_;
  std::vector<std::string> asked_;
  std::vector<std::string> missing_;
};

}  // namespace sweepflux
