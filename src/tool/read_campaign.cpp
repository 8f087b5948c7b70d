#include "tool/read_campaign.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/derive/log/gusts.hpp"
#include "sweepflux/derive/sample/air.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/derive/thrust/reduce_session.hpp"
#include "sweepflux/derive/thrust/thrust.hpp"
#include "sweepflux/judge/plausibility.hpp"
#include "sweepflux/record/summary.hpp"
#include "sweepflux/result/map_survey.hpp"
#include "tool/read_inputs.hpp"

#include <algorithm>
#include <fstream>
#include <utility>

namespace sweepflux::tool {
namespace {

namespace fs = std::filesystem;

/// Where an entry came from, as results name it: relative to the folder that the command ran in, so
/// that tables that are handed on do not depend on how a path was typed.
std::string relative_source(const fs::path& file) {
  std::error_code gone;
  const fs::path here = fs::current_path(gone);
  return gone ? file.filename().string() : file.lexically_proximate(here).string();
}

enum class Kind { survey, summary, session, nothing };

/// What a path leads to.
struct Find {
  Kind kind = Kind::nothing;
  fs::path file;  ///< to be read
};

/// What a TOML file speaks of: its header stands on a line of its own.
Kind kind_of_toml(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  for (std::string line; std::getline(in, line);) {
    const std::size_t first = line.find_first_not_of(" \t\xEF\xBB\xBF");
    if (first != std::string::npos && line.compare(first, 9, "[session]") == 0) {
      return Kind::session;
    }
    if (first != std::string::npos && (line.compare(first, 8, "[survey]") == 0 ||
                                       line.compare(first, 10, "[campaign]") == 0)) {
      return Kind::survey;
    }
  }
  return Kind::nothing;
}

/// A file that the user named.
Find look_at(const fs::path& path) {
  std::error_code ignored;
  if (fs::is_directory(path, ignored)) {
    return {};
  }
  if (path.extension() == ".json") {
    return {Kind::summary, path};
  }
  const bool regular = fs::is_regular_file(path, ignored);
  return {regular && kind_of_toml(path) == Kind::session ? Kind::session : Kind::survey, path};
}

/// What a folder holds under the usual names. Results that were put beside their survey are the
/// survey once more.
std::vector<Find> look_into(const fs::path& folder) {
  std::vector<Find> finds;
  std::error_code ignored;
  for (const auto& [name, kind] : {std::pair{"survey.toml", Kind::survey},
                                   {"campaign.toml", Kind::survey},
                                   {"summary.json", Kind::summary},
                                   {"session.toml", Kind::session}}) {
    const bool again = kind == Kind::summary && !finds.empty();
    if (!again && fs::is_regular_file(folder / name, ignored)) {
      finds.push_back({kind, folder / name});
    }
  }
  return finds;
}

bool is_among(const std::vector<Find>& finds, const fs::path& file) {
  return std::any_of(
      finds.begin(), finds.end(), [&](const Find& find) { return find.file == file; });
}

/// The entries of a folder by name, so that the order is the same everywhere. Hidden ones are
/// passed over: what a killed run left half-filled is no result.
std::vector<fs::path> children_of(const fs::path& folder) {
  std::vector<fs::path> children;
  std::error_code fault;
  for (fs::directory_iterator it(folder, fault), end; !fault && it != end; it.increment(fault)) {
    if (!it->path().filename().string().starts_with('.')) {
      children.push_back(it->path());
    }
  }
  if (fault) {
    throw SystemError(folder.string() + ": cannot be read: " + fault.message());
  }
  std::sort(children.begin(), children.end());
  return children;
}

/// What a survey says without a map: its balance, and what is implausible in it.
FanAtSetting unmapped(const Survey& survey) {
  SurveyResult result;
  result.warnings = warn_of_implausible(find_implausible(survey), survey.file.string());
  result.survey = survey;
  result.density_kg_m3 = air_density_kg_m3(survey.air);
  if (survey.balance) {
    result.thrust_n = derive_thrust(*survey.balance).thrust_n;
  }
  return summarise(result);
}

FanAtSetting with_gusts(FanAtSetting e, const Survey& survey) {
  e.gusts = read_gusts(survey);
  if (e.gusts) {
    e.turbulence = e.gusts->turbulence;
  }
  return e;
}

FanAtSetting map_entry(const Survey& survey, int threads, const Progress& progress) {
  if (survey.sweeps.empty()) {
    if (!survey.balance) {
      throw InputError(survey.file.string() +
                       ": has neither sweeps nor a [balance], so there is nothing to compare");
    }
    return unmapped(survey);
  }
  MapOptions options;
  options.threads = threads;
  options.hold_out = false;
  options.next_sweep = false;
  try {
    return summarise(map_survey(survey, options, progress));
  } catch (const NumericalError& no_map) {
    FanAtSetting e = unmapped(survey);
    e.lone_sweeps = lone_sweeps_of(derive_samples(survey), no_map.what());
    return e;
  }
}

/// Reads one thing after the other and keeps every fault.
class Reader {
 public:
  Reader(Campaign& campaign, int threads, const Progress& progress)
      : campaign_(campaign), threads_(threads), progress_(progress) {}

  void take(const std::string& path) {
    const fs::path place(path);
    std::error_code ignored;
    if (!fs::exists(place, ignored)) {
      throw InputError(path + ": there is no such file or folder");
    }
    if (const Find find = look_at(place); find.kind != Kind::nothing) {
      read(find);
    } else if (!take_folder(place)) {
      throw InputError(path +
                       ": holds no survey.toml, campaign.toml, summary.json or session.toml, nor "
                       "does any folder "
                       "in it; point at surveys, at results of `map`, or at a folder of them");
    }
  }

  void finish() {
    if (!faults_.empty()) {
      throw SurveyError(std::move(faults_));
    }
    // All surveys are read before the first is mapped, so that a slip in the last costs no time.
    for (const Survey& survey : surveys_) {
      campaign_.entries.push_back(with_gusts(map_entry(survey, threads_, progress_), survey));
    }
  }

 private:
  /// What lies in the folder itself, and in the folders of it. Below a survey or a result lie its
  /// sweeps and its results, so that of those only other surveys and sessions are taken.
  bool take_folder(const fs::path& folder) {
    const std::vector<Find> own = look_into(folder);
    bool is_campaign = true;
    for (const Find& find : own) {
      is_campaign = is_campaign && find.kind == Kind::session;
      read(find);
    }
    bool found = !own.empty();
    for (const fs::path& child : children_of(folder)) {
      std::error_code ignored;
      if (!fs::is_directory(child, ignored)) {
        const Kind kind = child.extension() == ".toml" && !is_among(own, child)
                              ? kind_of_toml(child)
                              : Kind::nothing;
        if (kind == Kind::survey && !is_campaign) {
          campaign_.remarks.push_back(terminal_line(child.string()) +
                                      ": passed over, the folder has a survey.toml; name the file "
                                      "to compare it too");
        } else if (kind != Kind::nothing) {
          found = true;
          read({kind, child});
        }
        continue;
      }
      bool holds = false;
      for (const Find& find : look_into(child)) {
        if (is_campaign || find.kind != Kind::summary) {
          holds = true;
          read(find);
        }
      }
      found = found || holds;
      if (!holds && is_campaign) {
        campaign_.remarks.push_back(terminal_line(child.string()) +
                                    ": passed over, it holds no survey, result or session");
      }
    }
    return found;
  }

  void read(const Find& find) {
    campaign_.inputs.push_back(find.file);
    try {
      if (find.kind == Kind::summary) {
        SurveyResult result = read_summary(find.file);
        result.survey.file = find.file;
        campaign_.entries.push_back(summarise(result));
      } else if (find.kind == Kind::session) {
        const BalanceSession session = read_session_and_logs(find.file);
        for (FanAtSetting& e : session_entries(session, derive_session_thrust(session))) {
          campaign_.entries.push_back(std::move(e));
        }
      } else {
        ReadOptions options;
        options.sweeps_required = false;
        for (ReadInput& input : read_inputs(find.file, {}, options, progress_)) {
          for (const Sweep& sweep : input.survey.sweeps) {
            campaign_.inputs.push_back(sweep.file);
          }
          if (!input.survey.member.empty() && input.survey.sweeps.empty() &&
              !input.survey.balance) {
            campaign_.remarks.push_back(terminal_line(find.file.string()) + ": " +
                                        input.survey.member +
                                        " has neither sweeps nor balance readings yet");
            continue;
          }
          surveys_.push_back(std::move(input.survey));
        }
      }
    } catch (const SurveyError& error) {
      faults_.insert(faults_.end(), error.findings().begin(), error.findings().end());
    }
  }

  Campaign& campaign_;
  int threads_;
  const Progress& progress_;
  std::vector<Survey> surveys_;
  std::vector<Finding> faults_;
};

}  // namespace

Campaign read_campaign(std::span<const std::string> paths, int threads, const Progress& progress) {
  Campaign campaign;
  Reader reader(campaign, threads, progress);
  for (const std::string& path : paths) {
    reader.take(path);
  }
  reader.finish();
  for (FanAtSetting& entry : campaign.entries) {
    entry.source = relative_source(entry.source);
  }
  return campaign;
}

std::vector<FanAtSetting> session_entries(const BalanceSession& session,
                                          const SessionThrust& thrust) {
  std::vector<FanAtSetting> entries;
  for (const SettingThrust& s : thrust.settings) {
    FanAtSetting e;
    e.title = session.title;
    e.fan = s.fan;
    e.setting = s.setting;
    e.variant = s.variant;
    e.source = relative_source(session.file);
    e.density_kg_m3 = thrust.density_kg_m3;
    e.room = session.room;
    e.power_w = s.power_w;
    e.sound = s.sound;
    e.seat = session.seat;
    if (session.air) {
      e.air_temperature_k = session.air->temperature_k;
    }
    e.thrust_n = s.thrust_n;
    e.balance = e.source;  // a session is one balance
    e.lever_share = thrust.lever.ratio.standard_uncertainty / thrust.lever.ratio.value;
    for (const SessionFan& fan : session.fans) {
      if (fan.name == s.fan) {
        e.outlet = fan.outlet;
      }
    }
    e.warnings = warn_of_implausible(find_implausible(session, s),
                                     session.file.string() + ": " + s.fan + " at " + s.setting);
    entries.push_back(std::move(e));
  }
  return entries;
}

}  // namespace sweepflux::tool
