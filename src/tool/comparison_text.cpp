#include "tool/comparison_text.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "tool/columns.hpp"

#include <algorithm>

namespace sweepflux::tool {
namespace {

std::string with_uncertainty(const Estimate& e, double scale = 1.0) {
  return format_with_uncertainty(e.value * scale, e.standard_uncertainty * scale, "");
}

/// Rows with columns just as wide as they need to be.
std::string columns(const std::vector<std::vector<std::string>>& rows) {
  std::vector<std::size_t> width;
  for (const auto& row : rows) {
    width.resize(std::max(width.size(), row.size()), 0);
    for (std::size_t i = 0; i < row.size(); ++i) {
      width[i] = std::max(width[i], row[i].size());
    }
  }
  std::string text;
  for (const auto& row : rows) {
    std::string line;
    for (std::size_t i = 0; i < row.size(); ++i) {
      line += i + 1 < row.size() ? left_aligned(row[i], width[i] + 2, 2) : row[i];
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += "  " + line + "\n";
  }
  return text;
}

std::string sentences(const std::vector<std::string>& said) {
  std::string text;
  for (const std::string& s : said) {
    text += s + "\n";
  }
  return text;
}

/// Of a plane at the distance; predictions are left to the tables.
std::string flow_of(const FanAtSetting& e, double downstream_m) {
  const PlaneFacts* plane = plane_at(e, downstream_m);
  return plane ? with_uncertainty(plane->volume_flow_m3_s) : "-";
}

std::string seat_text(const Comparison& c) {
  std::vector<std::vector<std::string>> rows{
      {"at the seat", "speed [m/s]", "95 % interval", "draught rating [%]", "how"}};
  for (const SeatSpeed& s : c.seats) {
    const auto range = [](const Estimate& e) {
      return format_number(e.low_95, 2) + " to " + format_number(e.high_95, 2);
    };
    rows.push_back({c.entries[s.entry].name(),
                    format_number(s.speed_m_s.value, 2),
                    range(s.speed_m_s),
                    s.draught_rating_percent
                        ? format_number(s.draught_rating_percent->value, 2) + " (" +
                              range(*s.draught_rating_percent) + ")"
                        : "-",
                    s.mapped ? "mapped" : "predicted"});
  }
  return c.seats.empty() ? "" : "\n" + columns(rows);
}

/// What several measurements of one thing say of each other, and the probe's scale.
std::string agreement_text(const Comparison& c) {
  std::string text;
  for (const FanAtSetting& e : c.entries) {
    for (const Consistency& test : e.consistency) {
      text += test.consistent ? test.words + "\n" : "";
    }
  }
  if (c.probe_check) {
    for (const std::string& words : c.probe_check->probe.words) {
      const bool said = std::find(c.summary.begin(), c.summary.end(), words) != c.summary.end();
      text += said ? "" : words + "\n";
    }
    text += "To take the scale out, paste (nothing is applied by itself):\n" +
            c.probe_check->calibration;
  }
  return text.empty() ? "" : "\n" + text;
}

std::string notes_text(std::span<const std::string> warnings,
                       std::span<const std::string> remarks) {
  std::string text = warnings.empty() && remarks.empty() ? "" : "\nNotes:\n";
  for (const auto& list : {warnings, remarks}) {
    for (const std::string& note : list) {
      text += "  - " + note + "\n";
    }
  }
  return text;
}

}  // namespace

std::string comparison_text(const Comparison& c, std::span<const std::string> remarks) {
  std::string text = std::string(uncertainty_words) + "\n\n" + sentences(c.summary);
  text += c.summary.empty() ? "" : "\n";
  std::vector<std::vector<std::string>> rows{
      {"fan", "setting", "thrust [N]", "flow [m3/s]", "planes", "throw (predicted)"}};
  for (std::size_t i = 0; i < c.entries.size(); ++i) {
    const FanAtSetting& e = c.entries[i];
    std::string throws;
    for (const PredictedStream& f : c.predicted) {
      for (const Throw& r : f.throws) {
        if (f.entry == i && r.downstream_m) {
          throws += (throws.empty() ? "" : ", ") + format_number(r.wished_speed_m_s, 3) + " m/s to " +
                   format_number(r.downstream_m->value, 2) + " m";
        }
      }
    }
    rows.push_back({e.fan,
                    e.setting + (e.variant.empty() ? "" : ", " + e.variant),
                    e.thrust_n ? with_uncertainty(*e.thrust_n) : "-",
                    flow_of(e, c.distances_m.front()),
                    std::to_string(e.planes.size()),
                    throws});
  }
  text += columns(rows);
  text += seat_text(c) + agreement_text(c);
  constexpr std::size_t most_pairs = 40;
  text += c.equal_thrust.empty() ? "" : "\n";
  if (c.equal_thrust.size() > most_pairs) {
    text += "Settings of equal thrust: " + std::to_string(c.equal_thrust.size()) +
            " sentences, in the page and in comparison.json\n";
  }
  for (const EqualThrust& p : c.equal_thrust) {
    text += c.equal_thrust.size() > most_pairs ? "" : p.words + "\n";
  }
  text += notes_text(c.warnings, remarks);
  return text;
}

std::string session_text(const SessionThrust& thrust, const Comparison& comparison) {
  std::vector<std::vector<std::string>> rows{
      {"fan", "setting", "thrust [N]", "[gf]", "power [W]", "[mN/W]", "blocks"}};
  for (const SettingThrust& s : thrust.settings) {
    rows.push_back({s.fan,
                    s.setting + (s.variant.empty() ? "" : ", " + s.variant),
                    with_uncertainty(s.thrust_n),
                    with_uncertainty(s.thrust_n, grams_force(1.0)),
                    s.power_w ? format_number(s.power_w->value, 4) : "-",
                    s.thrust_per_watt_n_w ? with_uncertainty(*s.thrust_per_watt_n_w, 1e3) : "-",
                    std::to_string(s.repeats)});
  }
  std::string text = std::string(uncertainty_words) + "\n\n" + columns(rows);
  const Measured& ratio = thrust.lever.ratio;
  text += "\n" + thrust.lever.words + ", known to " +
          format_number(100.0 * ratio.standard_uncertainty / ratio.value, 2) +
          " %; it is in the numbers above, and cancels between settings\n";
  const bool repeated = std::any_of(thrust.settings.begin(),
                                    thrust.settings.end(),
                                    [](const SettingThrust& s) { return s.repeats > 1; });
  if (!repeated) {
    text +=
        "no setting was repeated, so what putting a fan back on the balance changes is not in "
        "the numbers\n";
  }
  text += comparison.summary.empty() ? "" : "\n";
  text += sentences(comparison.summary);
  std::vector<std::string> warnings;
  for (const FanAtSetting& e : comparison.entries) {
    for (const std::string& w : e.warnings) {
      warnings.push_back(e.name() + ": " + w);
    }
  }
  return text + notes_text(warnings, {});
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

std::vector<double> lengths_of(const std::string& option, std::span<const std::string> texts) {
  return quantities_of(option, texts, Dimension::length);
}

std::vector<double> speeds_of(const std::string& option, std::span<const std::string> texts) {
  return quantities_of(option, texts, Dimension::speed);
}

}  // namespace sweepflux::tool
