#include "sweepflux/base/message_text.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/rank/comparison_private.hpp"

#include <algorithm>
#include <cctype>
#include <iterator>
#include <map>
#include <utility>

namespace sweepflux {
namespace {

/// "a, b and c"; "a; b, changed; and c" where a name has a comma itself.
std::string joined(const std::vector<std::string>& names) {
  const bool commas = std::any_of(names.begin(), names.end(), [](const std::string& name) {
    return name.find(',') != std::string::npos;
  });
  const std::string comma = commas ? "; " : ", ", last = commas ? "; and " : " and ";
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    text += i == 0 ? "" : (i + 1 == names.size() ? last : comma);
    text += names[i];
  }
  return text;
}

std::string head_of(const Ranking& ranking) {
  return leader_of(ranking.criterion) +
         (ranking.downstream_m ? " at " + format_number(*ranking.downstream_m, 3) + " m" : "") +
         (ranking.sound_level_db ? " at " + format_number(*ranking.sound_level_db, 3) + " dB(A)"
                                 : "");
}

/// "not different from teal at 3 and wren at 2 at 95 %", or how many when there are many.
std::string equal_words(const Ranking& ranking, const std::vector<FanAtSetting>& entries) {
  constexpr std::size_t most_named = 4;
  std::vector<std::string> others;
  for (std::size_t i = 1; i < ranking.rows.size() && ranking.rows[i].place == 1; ++i) {
    const Ranked& r = ranking.rows[i];
    others.push_back((r.where.empty() ? entries[r.entry].name() : r.where) +
                     (r.predicted ? " (predicted)" : ""));
  }
  if (others.empty()) {
    return {};
  }
  if (others.size() + 1 == ranking.rows.size() && others.size() > 1) {
    return ", not different from all others at 95 %";
  }
  return ", not different from " +
         (others.size() <= most_named ? joined(others) : std::to_string(others.size()) + " others") +
         " at 95 %";
}

/// "Highest thrust: heron at 9, 1.23 +- 0.02 N, not different from teal at 9 at 95 %."
std::string summary_of(const Ranking& ranking, const std::vector<FanAtSetting>& entries) {
  const Ranked& first = ranking.rows.front();
  std::string unit = unit_of(ranking.criterion);
  double scale = 1.0;
  if (ranking.criterion == Criterion::thrust_per_watt) {
    unit = "mN/W", scale = 1e3;
  } else if (ranking.criterion == Criterion::flow_per_watt) {
    unit = "l/s/W", scale = 1e3;
  }
  const std::string who = first.where.empty() ? entries[first.entry].name() : first.where;
  return head_of(ranking) + (first.predicted ? " (predicted): " : ": ") + who + ", " +
         format_with_uncertainty(
             first.value.value * scale, first.value.standard_uncertainty * scale, unit) +
         equal_words(ranking, entries) + ".";
}

/// One sentence for all fans of which no setting is slow enough, and one for each other.
void say_seats(Comparison& c) {
  std::vector<const SeatChoice*> none;
  for (const SeatChoice& choice : c.seat_choices) {
    if (!choice.entry && !choice.perhaps) {
      none.push_back(&choice);
    }
  }
  const bool all = none.size() == c.fans.size();
  for (const SeatChoice& choice : c.seat_choices) {
    const bool among = std::find(none.begin(), none.end(), &choice) != none.end();
    const bool one_limit = std::all_of(none.begin(), none.end(), [&](const SeatChoice* other) {
      return other->wished_m_s == choice.wished_m_s;
    });
    if (!among || none.size() < 2 || !one_limit) {
      c.summary.push_back(choice.words);
    } else if (&choice == none.front()) {
      std::vector<std::string> fans;
      for (const SeatChoice* other : none) {
        fans.push_back(other->series);
      }
      c.summary.push_back("At the seat no setting of " + (all ? "any fan" : joined(fans)) +
                          " stays below " + format_number(choice.wished_m_s, 3) + " m/s at 95 %.");
    }
  }
}

/// One sentence for the quantity that disagrees most, and one that names the others.
void say_disagreement(Comparison& c, const FanAtSetting& e) {
  std::vector<const Consistency*> apart;
  for (const Consistency& test : e.consistency) {
    if (!test.consistent) {
      apart.push_back(&test);
    }
  }
  if (apart.empty()) {
    return;
  }
  std::iter_swap(apart.begin(),
                 std::max_element(apart.begin(), apart.end(), [](const auto* a, const auto* b) {
                   return a->birge_ratio < b->birge_ratio;
                 }));
  std::vector<std::string> others;
  for (auto test = apart.begin() + 1; test != apart.end(); ++test) {
    others.push_back(
        (*test)->quantity +
        ((*test)->downstream_m ? " at " + metres_text(*(*test)->downstream_m) : "") +
        " (Birge ratio " + format_number((*test)->birge_ratio, 2) + ")");
  }
  c.warnings.push_back(apart.front()->words +
                       (others.empty() ? "" : " So do those of the " + joined(others) + "."));
}

}  // namespace

void say_summary(Comparison& c) {
  for (const Ranking& ranking : c.rankings) {
    if (c.entries.size() > 1) {
      c.summary.push_back(summary_of(ranking, c.entries));
      // What is measured is stated too where a prediction leads.
      const auto measured = std::find_if(ranking.rows.begin(), ranking.rows.end(), [](const Ranked& r) {
        return !r.predicted;
      });
      if (ranking.rows.front().predicted && measured != ranking.rows.end()) {
        Ranking only = ranking;
        only.rows.assign(measured, measured + 1);
        std::string words = summary_of(only, c.entries);
        words.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(words.front())));
        c.summary.push_back("Of those measured, " + words);
      }
    }
  }
  for (const VariantDifference& d : c.variants) {
    if (d.quantity == "thrust" || d.quantity == "volume flow") {
      c.summary.push_back(d.words + ".");
    }
  }
  if (c.probe_check) {
    const ProbeCheck& probe = c.probe_check->probe;
    c.summary.insert(c.summary.end(),
                     probe.words.begin(),
                     probe.words.begin() + std::min<std::ptrdiff_t>(3, std::ssize(probe.words)));
  }
  say_seats(c);
  // Of many fans there are more pairs than a summary has room for; the table has them all.
  constexpr std::size_t most_fans = 4;
  if (c.fans.size() > most_fans) {
    return;
  }
  std::map<std::pair<std::string, std::string>, bool> said;
  for (const EqualThrust& p : c.equal_thrust) {
    const std::pair<std::string, std::string> pair = std::minmax(p.fan, p.other);
    if (p.match == ThrustMatch::between && !said[pair]) {
      said[pair] = true;
      c.summary.push_back("Equal thrust: " + p.words + ".");
    }
  }
}

void say_warnings(Comparison& c) {
  for (const FanAtSetting& e : c.entries) {
    say_disagreement(c, e);
    for (const std::string& w : e.warnings) {
      c.warnings.push_back(e.name() + ": " + w);
    }
    for (const PlaneFacts& p : e.planes) {
      for (const std::string& w : p.warnings) {
        c.warnings.push_back(e.name() + ", " + format_number(p.distance_m, 3) + " m: " + w);
      }
    }
    for (const LoneSweep& s : e.lone_sweeps) {
      c.warnings.push_back(e.name() + ", " + format_number(s.distance_m, 3) +
                           " m: only its profile is used, because " + s.why_no_map);
    }
    if (e.left_out > 0) {
      c.warnings.push_back(e.name() + ": " + std::to_string(e.left_out) +
                           (e.left_out == 1 ? " reading gave no value and was left out"
                                            : " readings gave no value and were left out"));
    }
  }
  if (c.probe_check) {
    c.warnings.insert(
        c.warnings.end(), c.probe_check->left_out.begin(), c.probe_check->left_out.end());
  }
}

}  // namespace sweepflux
