#include "sweepflux/capture/survey/read_survey.hpp"

#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/survey/sweep_file_private.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <utility>

namespace sweepflux {
namespace {

bool same_readings(const SweepRequest& a, const SweepRequest& b) {
  return a.file.lexically_normal() == b.file.lexically_normal() && a.label == b.label &&
         a.columns == b.columns && a.log == b.log;
}

/// The same readings under two blocks: mostly a copied block whose file was not changed.
void refuse_twins(const std::vector<SweepRequest>& requests,
                  const std::vector<SweepRequest>& elsewhere,
                  Findings& findings) {
  for (std::size_t i = 0; i < requests.size(); ++i) {
    const SweepRequest& request = requests[i];
    const auto is_same = [&](const SweepRequest& other) { return same_readings(request, other); };
    const auto here = requests.begin() + static_cast<std::ptrdiff_t>(i);
    const auto twin = std::find_if(requests.begin(), here, is_same);
    const auto other = std::find_if(elsewhere.begin(), elsewhere.end(), is_same);
    if (twin == here && other == elsewhere.end()) {
      continue;
    }
    findings.add(
        request.file_spot,
        in_backticks(request.file_text) + " was named before (line " +
            std::to_string((twin != here ? *twin : *other).file_spot.line) +
            (twin != here ? "), its readings would count twice"
                          : "), its readings would count for another setting too") +
            "; name another file, or set the two apart by " +
            (request.log ? "begin or other keys of the log" : "sweep = or [sweep.columns]"));
  }
}

/// Rows that no block asks for are named, never passed over.
void remark_unasked_labels(const std::vector<SweepRequest>& requests,
                           const std::map<std::filesystem::path, std::set<std::string>>& seen,
                           Survey& survey) {
  for (const auto& [name, labels] : seen) {
    const std::filesystem::path& file = name;  // Clang 14 captures no structured binding
    std::vector<std::string> unasked;
    for (const std::string& label : labels) {
      const bool asked = std::any_of(requests.begin(), requests.end(), [&](const auto& request) {
        return request.file == file && request.label.value_or(label) == label;
      });
      if (!asked) {
        unasked.push_back(label);
      }
    }
    if (!unasked.empty()) {
      survey.remarks.push_back(
          {{file, 0, 0}, "no [[sweep]] asks for the rows of sweep " + listed(unasked)});
    }
  }
}

/// File names where they tell the sweeps apart, else the paths as written.
void set_names(std::vector<std::pair<std::string, NamedSweep>>& sweeps) {
  std::map<std::string, std::size_t> uses;
  for (auto& [path, named] : sweeps) {
    named.sweep.name = named.sweep.file.filename().string() + named.tail;
    ++uses[named.sweep.name];
  }
  for (auto& [path, named] : sweeps) {
    if (uses[named.sweep.name] > 1) {
      named.sweep.name = path + named.tail;
    }
  }
}

void read_sweeps(const std::vector<SweepRequest>& requests,
                 const StepSizes& steps,
                 Findings& findings,
                 Survey& survey) {
  std::vector<std::pair<std::string, NamedSweep>> sweeps;
  std::vector<const SweepRequest*> asked;
  std::map<std::filesystem::path, std::set<std::string>> labels;
  for (const SweepRequest& request : requests) {
    SweepFileResult result;
    if (request.log) {
      check_log(request, survey.rig, findings);
      // Only looked at here; it takes part in the naming.
      Sweep& log = result.sweeps.emplace_back().sweep;
      log.file = request.file;
      log.distance_m = request.distance_m.value_or(0.0);
      log.height_m = request.height_m.value_or(0.0);
    } else {
      result = read_sweep_file(request, survey.rig, steps, findings, survey.remarks);
      labels[request.file].insert(result.other_labels.begin(), result.other_labels.end());
    }
    for (NamedSweep& named : result.sweeps) {
      sweeps.emplace_back(request.file_text, std::move(named));
      asked.push_back(&request);
    }
  }
  set_names(sweeps);
  for (std::size_t i = 0; i < sweeps.size(); ++i) {
    Sweep& sweep = sweeps[i].second.sweep;
    if (asked[i]->log) {
      survey.logs.push_back({asked[i]->file_spot,
                             sweep.file,
                             sweep.name,
                             sweep.distance_m,
                             sweep.height_m,
                             *asked[i]->log,
                             survey.sweeps.size()});
    } else {
      survey.sweeps.push_back(std::move(sweep));
    }
  }
  remark_unasked_labels(requests, labels, survey);
}

}  // namespace

void add_sweeps(const std::vector<SweepRequest>& requests,
                const std::vector<SweepRequest>& elsewhere,
                const StepSizes& steps,
                Findings& findings,
                Survey& survey) {
  refuse_twins(requests, elsewhere, findings);
  read_sweeps(requests, steps, findings, survey);
}

Survey read_survey(const std::filesystem::path& survey_file, const ReadOptions& options) {
  if (options.most_findings < 1) {
    throw InputError("ReadOptions.most_findings is " + std::to_string(options.most_findings) +
                     ", must be >= 1");
  }
  Findings findings(static_cast<std::size_t>(options.most_findings));
  Survey survey;
  survey.file = survey_file;
  const TomlDocument document = load_toml(survey_file, findings, survey.remarks);
  refuse_other_kind(document,
                    "survey",
                    "session",
                    "this is a session at the balance, no survey; sweepflux thrust reads it");
  TomlReport report{document, findings, survey.defaults_used};
  const bool for_plan = !options.sweeps_required;
  StepSizes steps;
  TomlView root(report);
  read_title(root, survey);
  survey.probe = read_probe(root);
  survey.air = read_air(root, for_plan, survey.probe);
  survey.room = read_room(root);
  survey.rig = read_rig(root, for_plan, steps);
  survey.outlet = read_outlet(root, survey.rig.motion);
  survey.balance = read_balance(root);
  survey.plan = read_plan(root);
  survey.seat = read_seat(root);
  const SweepDefaults common = read_sweep_defaults(root, survey.rig.motion);
  survey.gusts = read_gust_log(root);
  const std::vector<SweepRequest> requests = read_sweep_requests(root, survey.rig.motion, common);
  const bool has_sweeps = root.has("sweep") || document.damaged.count("sweep.") > 0;
  if (options.sweeps_required && !has_sweeps) {
    findings.add({survey_file, 0, 0},
                 "no [[sweep]]; add one for each pass, with file (or log), distance and height");
  }
  root.finish();
  add_sweeps(requests, {}, steps, findings, survey);
  findings.throw_if_any();
  return survey;
}

}  // namespace sweepflux
