#include "tool/comparison_text.hpp"

#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/quantiles.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/draught_rating.hpp"
#include "tool/columns.hpp"

#include <algorithm>
#include <cmath>

namespace sweepflux::tool {
namespace {

using Rows = std::vector<std::vector<std::string>>;

/// Rows with columns just as wide as they need to be, numbers flush right.
std::string columns(const Rows& rows) {
  std::vector<std::size_t> width(rows.front().size(), 0);
  std::vector<bool> number(rows.front().size(), true);
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t i = 0; i < rows[r].size(); ++i) {
      const std::string& cell = rows[r][i];
      width[i] = std::max(width[i], cell.size());
      number[i] =
          number[i] && (r == 0 || cell.find_first_not_of("0123456789.+- ") == std::string::npos);
    }
  }
  std::string text;
  for (const auto& row : rows) {
    std::string line;
    for (std::size_t i = 0; i < row.size(); ++i) {
      line += (i == 0 ? "" : "  ") +
              (number[i] ? right_aligned(row[i], width[i]) : left_aligned(row[i], width[i]));
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += "  " + line + "\n";
  }
  return text;
}

/// Adds a column: a heading and a cell a row.
template <typename Cell>
void add_column(Rows& rows, const std::string& heading, Cell cell) {
  rows.front().push_back(heading);
  for (std::size_t i = 0; i + 1 < rows.size(); ++i) {
    rows[i + 1].push_back(cell(i));
  }
}

/// Adds a column: a heading and "value +- u" a row, all with one number of decimals; "-" for none.
void add_measured(Rows& rows,
                  const std::string& heading,
                  const std::vector<std::optional<Estimate>>& values,
                  double scale = 1.0) {
  std::vector<double> uncertainties;
  for (const auto& e : values) {
    uncertainties.push_back(e ? scale * e->standard_uncertainty : 0.0);
  }
  const int decimals = std::max(0, column_decimals(uncertainties, 2));
  add_column(rows, heading, [&](std::size_t i) {
    const auto& e = values[i];
    return e ? fixed_number(scale * e->value, decimals) + " +- " +
                   fixed_number(scale * e->standard_uncertainty, decimals)
             : std::string("-");
  });
}

std::string sentences(const std::vector<std::string>& said) {
  std::string text;
  for (const std::string& s : said) {
    text += wrapped(s, 2);
  }
  return text;
}

std::string seat_text(const Comparison& c) {
  if (c.seats.empty()) {
    return {};
  }
  Rows rows{{"at the seat", "speed [m/s]", "95 % interval", "draught rating [%]", "how"}};
  bool outside = false;
  const auto range = [](const Estimate& e, int decimals) {
    return fixed_number(e.low_95, decimals) + " to " + fixed_number(e.high_95, decimals);
  };
  for (const SeatSpeed& s : c.seats) {
    std::string rating = "-";
    if (const auto& dr = s.draught_rating_percent) {
      const bool holds =
          draught_rating_holds(*s.air_temperature_c, s.speed_m_s.value, s.turbulence);
      rating = holds ? fixed_number(dr->value, 0) + " (" + range(*dr, 0) + ")" : "*";
      outside = outside || !holds;
    }
    rows.push_back({c.entries[s.entry].name(),
                    fixed_number(s.speed_m_s.value, 2),
                    range(s.speed_m_s, 2),
                    rating,
                    s.mapped ? "mapped" : "predicted"});
  }
  return "\n" + columns(rows) +
         (outside ? "  * outside the range of ISO 7730: 20 to 26 degC, below 0.5 m/s, turbulence "
                    "intensity 10 to 60 %\n"
                  : "");
}

/// How gusty the settings are of which a log says so.
std::string gust_text(const Comparison& c) {
  const auto estimate = [](const Measured& m, double scale = 1.0) {
    return symmetric_estimate(scale * m.value, scale * m.standard_uncertainty);
  };
  Rows rows{{"gusts"}};
  std::vector<std::optional<Estimate>> intensities, periods;
  for (const FanAtSetting& e : c.entries) {
    if (e.gusts) {
      rows.push_back({e.name()});
      intensities.emplace_back(estimate(e.gusts->turbulence, 100.0));
      periods.push_back(e.gusts->period_s ? std::optional(estimate(*e.gusts->period_s))
                                          : std::nullopt);
    }
  }
  if (rows.size() == 1) {
    return {};
  }
  add_measured(rows, "turbulence intensity [%]", intensities);
  add_measured(rows, "dominant period [s]", periods);
  return "\n" + columns(rows);
}

/// What several measurements of one thing say of each other, and the probe's scale.
std::string agreement_text(const Comparison& c) {
  std::string text;
  std::vector<const Consistency*> agreeing;
  for (const FanAtSetting& e : c.entries) {
    for (const Consistency& test : e.consistency) {
      if (test.consistent) {
        agreeing.push_back(&test);
      }
    }
  }
  if (!agreeing.empty()) {
    const Consistency& worst =
        **std::min_element(agreeing.begin(), agreeing.end(), [](const auto* a, const auto* b) {
          return a->chance < b->chance;
        });
    text = agreeing.size() == 1
               ? worst.words + "\n"
               : std::to_string(agreeing.size()) +
                     " values were measured more than once and agree; the least likely:\n  " +
                     worst.words + "\n";
  }
  if (c.probe_check) {
    for (const std::string& words : c.probe_check->probe.words) {
      const bool said = std::find(c.summary.begin(), c.summary.end(), words) != c.summary.end();
      text += said ? "" : wrapped(words, 2);
    }
    text += "To take the scale out, paste (nothing is applied by itself):\n" +
            c.probe_check->calibration;
  }
  return text.empty() ? "" : "\n" + text;
}

std::string notes_text(const std::vector<std::string>& notes) {
  std::string text = notes.empty() ? "" : "\nNotes:\n";
  for (const std::string& note : notes) {
    text += wrapped("  - " + note, 4);
  }
  return text;
}

}  // namespace

std::string comparison_text(const Comparison& c) {
  std::string text = std::string(uncertainty_words) + "\n\n" + sentences(c.summary);
  text += c.summary.empty() ? "" : "\n";
  Rows rows{{"fan", "setting"}};
  std::vector<std::optional<Estimate>> thrusts, flows;
  for (const FanAtSetting& e : c.entries) {
    const PlaneFacts* plane = plane_at(e, c.distances_m.front());
    rows.push_back({e.fan, e.setting + (e.variant.empty() ? "" : ", " + e.variant)});
    thrusts.push_back(e.thrust_n);
    flows.push_back(plane ? std::optional(plane->volume_flow_m3_s) : std::nullopt);
  }
  add_measured(rows, "thrust [N]", thrusts);
  add_measured(rows, "flow [m3/s]", flows);
  add_column(
      rows, "planes", [&](std::size_t i) { return std::to_string(c.entries[i].planes.size()); });
  for (const double speed : c.options.wished_speeds_m_s) {
    const bool first = speed == c.options.wished_speeds_m_s.front();
    const std::string heading = (first ? "throw [m] to " : "") + format_number(speed, 3) + " m/s";
    add_column(rows, heading, [&](std::size_t i) {
      const PredictedStream* f = predicted_of(c.predicted, i);
      for (const Throw& r : f ? f->throws : std::vector<Throw>{}) {
        if (r.wished_speed_m_s == speed && r.downstream_m) {
          return fixed_number(r.downstream_m->value, 1);
        }
      }
      return std::string("-");
    });
  }
  text += columns(rows) + "  flow: measured, " + metres_text(c.distances_m.front()) +
          " from the outlet; throw: predicted\n";
  text += seat_text(c) + gust_text(c) + agreement_text(c);
  constexpr std::size_t most_pairs = 40;
  text += c.equal_thrust.empty() ? "" : "\n";
  if (c.equal_thrust.size() > most_pairs) {
    text += std::to_string(c.equal_thrust.size()) +
            " pairs of a setting and another fan were compared for equal thrust: see the page and "
            "comparison.json\n";
  }
  for (const EqualThrust& p : c.equal_thrust) {
    text += c.equal_thrust.size() > most_pairs ? "" : p.words + "\n";
  }
  return text + notes_text(c.warnings);
}

std::string session_text(const BalanceSession& session,
                         const SessionThrust& thrust,
                         const Comparison& comparison) {
  Rows rows{{"fan", "setting"}};
  std::vector<std::optional<Estimate>> thrusts, per_watt;
  std::vector<double> powers;
  for (const SettingThrust& s : thrust.settings) {
    rows.push_back({s.fan, s.setting + (s.variant.empty() ? "" : ", " + s.variant)});
    thrusts.emplace_back(s.thrust_n);
    per_watt.push_back(s.thrust_per_watt_n_w);
    powers.push_back(s.power_w ? s.power_w->value : std::nan(""));
  }
  add_measured(rows, "thrust [N]", thrusts);
  add_measured(rows, "[gf]", thrusts, grams_force(1.0));
  const int decimals = std::max(0, column_decimals(powers, 3));
  add_column(rows, "power [W]", [&](std::size_t i) { return fixed_number(powers[i], decimals); });
  add_measured(rows, "[mN/W]", per_watt, 1e3);
  add_column(
      rows, "blocks", [&](std::size_t i) { return std::to_string(thrust.settings[i].repeats); });
  std::string text = std::string(uncertainty_words) + "\n\n" + columns(rows) + "\n";
  const Measured& ratio = thrust.lever.ratio;
  text += thrust.lever.words + ", known to " +
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
  std::vector<std::string> notes;
  for (const FanAtSetting& e : comparison.entries) {
    for (const std::string& w : e.warnings) {
      notes.push_back(e.name() + ": " + w);
    }
  }
  const std::vector<std::string> remarks = remark_lines(session.remarks);
  notes.insert(notes.end(), remarks.begin(), remarks.end());
  return text + notes_text(notes);
}

}  // namespace sweepflux::tool
