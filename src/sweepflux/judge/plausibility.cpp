#include "sweepflux/judge/plausibility.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/judge/plausibility_private.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace sweepflux {
namespace {

// From surveys that were made for that (tests/bench/plausibility --set train); see its results.
constexpr double strange_alone = 4.0;  // standard deviations of one clue
constexpr double worth_a_try = 3.0;    // strangeness below which no slip can gain enough
constexpr double enough_gain = 0.0;    // by a slip, its cost taken off
constexpr double as_good = 1.5;        // so much behind the best a slip is named too
constexpr double gone = 3.0;           // strangeness of a clue that a slip takes away
constexpr double worth_telling = 1.8;  // standard deviations
constexpr std::size_t most_named = 3;
constexpr std::size_t readings_enough = 20000;

/// So many readings that trying every unit takes no time; every sweep keeps its ends.
Survey thinned(const Survey& survey) {
  std::size_t count = 0;
  for (const Sweep& sweep : survey.sweeps) {
    count += sweep.readings.size();
  }
  const std::size_t every = count / readings_enough + 1;
  if (every == 1) {
    return survey;
  }
  Survey thin = survey;
  for (Sweep& sweep : thin.sweeps) {
    const std::vector<Reading> all = std::move(sweep.readings);
    sweep.readings.clear();
    for (std::size_t i = 0; i < all.size(); ++i) {
      if (i % every == 0 || i + 1 == all.size()) {
        sweep.readings.push_back(all[i]);
      }
    }
  }
  return thin;
}

bool any_impossible(const std::vector<Clue>& clues) {
  return std::any_of(clues.begin(), clues.end(), [](const Clue& c) { return c.impossible; });
}

/// How far from usual the clues are in one kind; nothing where they hold none of it.
std::optional<double> z_of(const std::vector<Clue>& clues, const std::string& kind) {
  const auto found =
      std::find_if(clues.begin(), clues.end(), [&](const Clue& c) { return c.kind == kind; });
  return found == clues.end() ? std::nullopt : std::optional(std::abs(found->z));
}

struct Tried {
  const UnitSlip* slip = nullptr;
  std::vector<Clue> clues;
  double total = 0.0;
};

/// The slips that make the survey usual, best first; those that fall behind the best are dropped.
std::vector<Tried> slips_that_fit(const Survey& survey,
                                  const std::vector<UnitSlip>& slips,
                                  const std::vector<Clue>& clues,
                                  double before) {
  std::vector<Tried> tried;
  for (const UnitSlip& slip : slips) {
    Survey mended = survey;
    slip.mend(mended);
    Tried one{&slip, clues_of(mended), slip.cost};
    one.total += strangeness(one.clues);
    // What has gone out of sight is not mended.
    for (const Clue& clue : clues) {
      if (!clue.only_if_strange && !z_of(one.clues, clue.kind)) {
        one.total += std::max(gone, strangeness(clue));
      }
    }
    if (before - one.total > enough_gain && !any_impossible(one.clues)) {
      tried.push_back(std::move(one));
    }
  }
  std::stable_sort(
      tried.begin(), tried.end(), [](const Tried& a, const Tried& b) { return a.total < b.total; });
  std::erase_if(tried, [&](const Tried& t) { return t.total > tried.front().total + as_good; });
  return tried;
}

std::string joined(std::vector<const Clue*> named) {
  std::sort(named.begin(), named.end(), [](const Clue* a, const Clue* b) {
    return std::pair(a->impossible, std::abs(a->z)) > std::pair(b->impossible, std::abs(b->z));
  });
  std::string text;
  for (std::size_t i = 0; i < std::min(named.size(), most_named); ++i) {
    text += (i == 0 ? "" : "; ") + named[i]->text;
  }
  return text;
}

std::vector<Implausible> judge(const Survey& survey, const std::vector<UnitSlip>& slips) {
  const std::vector<Clue> clues = clues_of(survey);
  const double before = strangeness(clues);
  const bool impossible = any_impossible(clues);
  std::vector<Tried> fits;
  if (before > worth_a_try || impossible) {
    fits = slips_that_fit(survey, slips, clues, before + (impossible ? 10.0 : 0.0));
  }
  std::vector<const Clue*> named;
  for (const Clue& clue : clues) {
    const double z = std::abs(clue.z);
    const bool mended =
        !fits.empty() && z - z_of(fits.front().clues, clue.kind).value_or(0.0) > 0.5;
    if (clue.impossible || z > strange_alone || (mended && z > worth_telling)) {
      named.push_back(&clue);
    }
  }
  if (fits.empty() && named.empty()) {
    return {};
  }
  if (named.empty()) {  // nothing stands out alone: the strangest
    for (const Clue& clue : clues) {
      if (named.empty() || std::abs(clue.z) > std::abs(named.front()->z)) {
        named.assign(1, &clue);
      }
    }
  }
  Implausible out;
  // Where nothing can be made of the readings, they are refused in any case.
  out.impossible =
      impossible || (!fits.empty() && std::any_of(named.begin(), named.end(), [](auto* c) {
        return c->kind == "silence" || c->kind == "turn" || c->kind == "behind the outlet";
      }));
  out.text = std::string(out.impossible ? "not possible: " : "hardly likely: ") + joined(named);
  if (fits.empty()) {
    out.text +=
        "; no single unit explains it: check these values and what they were worked out from";
  } else {
    out.text += "; it would fit if " + fits.front().slip->what;
    for (std::size_t i = 1; i < std::min<std::size_t>(fits.size(), 2); ++i) {
      out.text += ", or if " + fits[i].slip->what;
    }
    out.text += ": then " + fits.front().slip->remedy;
  }
  return {out};
}

}  // namespace

std::vector<Implausible> find_implausible(const Survey& survey) {
  const Survey thin = thinned(survey);
  return judge(thin, possible_slips(thin, Place::survey));
}

std::vector<Implausible> find_implausible(const BalanceSession& session,
                                          const SettingThrust& setting) {
  Survey survey;
  const auto fan = std::find_if(session.fans.begin(), session.fans.end(), [&](const SessionFan& f) {
    return f.name == setting.fan;
  });
  if (fan != session.fans.end() && fan->outlet) {
    survey.outlet = *fan->outlet;
  }
  survey.outlet.power_w = setting.power_w;
  survey.balance.emplace();
  survey.balance->zero_given = true;
  survey.balance->readings_n = {setting.thrust_n.value};
  return judge(survey, possible_slips(survey, Place::session));
}

std::vector<std::string> warn_of_implausible(const std::vector<Implausible>& found,
                                             const std::string& source) {
  std::vector<std::string> warnings;
  for (const Implausible& one : found) {
    if (one.impossible) {
      throw InputError(source + ": " + one.text);
    }
    warnings.push_back(one.text);
  }
  return warnings;
}

}  // namespace sweepflux
