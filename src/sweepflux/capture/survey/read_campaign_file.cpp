#include "sweepflux/capture/survey/read_campaign_file.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/document/toml_view_private.hpp"
#include "sweepflux/capture/survey/survey_sections_private.hpp"

#include <algorithm>
#include <fstream>
#include <set>
#include <string>
#include <system_error>
#include <utility>

namespace sweepflux {
namespace {

/// "heron-3" or "heron-3-filter_out", fit for a folder.
std::string member_name(const Survey& survey) {
  std::string name = survey.fan;
  for (const std::string& part : {survey.setting, survey.variant}) {
    name += (part.empty() ? "" : "-") + part;
  }
  for (char& c : name) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                       (c >= '0' && c <= '9') || c == '-' || c == '_' || c == '.';
    c = plain ? c : '_';
  }
  return name.empty() || name.front() == '.' ? "_" + name : name;
}

/// What all settings share, and how it is read.
struct CampaignReader {
  TomlReport& report;
  SectionOptions options;
  std::filesystem::path folder;
  StepSizes steps;
  SweepDefaults sweeps;
  std::optional<Balance> balance;
  std::optional<double> sound_distance_m;
  bool sound_default_noted = false;
  std::set<std::string> members;

  void read_setting(TomlView& view, Survey survey, std::vector<Survey>& surveys) {
    view.require("setting");
    survey.setting = view.text("setting").value_or("");
    survey.variant = view.text("variant").value_or("");
    survey.title += (survey.title.empty() ? "" : ", ") + survey.fan + " " + survey.setting +
                    (survey.variant.empty() ? "" : ", " + survey.variant);
    survey.member = member_name(survey);
    if (!members.insert(survey.member).second) {
      view.fault("setting",
                 view.name() + ".setting is " + in_backticks(survey.setting) + ", and so is another of " +
                     in_backticks(survey.fan) +
                     "; put their sweeps together, or name them apart (`variant` where the fan was "
                     "changed)");
    }
    const auto power = view.quantity("power", Dimension::power, zero_or_more);
    const auto uncertainty = view.quantity("power_uncertainty", Dimension::power, zero_or_more);
    if (power) {
      // Of plug-in power meters; common practice, no published source.
      survey.outlet.power_w = Measured{*power, uncertainty.value_or(0.02 * *power)};
    }
    if (auto sound = read_sound(view, sound_distance_m, !sound_default_noted)) {
      survey.outlet.sound = sound;
      sound_default_noted = true;
    }
    if (view.has("air")) {
      survey.air = read_air(view, options, survey.probe);
    }
    if (view.has("room")) {
      survey.room = read_room(view, options);
    }
    if (view.has("plan")) {
      survey.plan = read_plan(view, options);
    }
    if (view.has("seat")) {
      survey.seat = read_seat(view, options);
    }
    survey.gusts = read_gust_log(view, options, folder);
    TomlView readings = view.section("balance");
    if (readings.is_there()) {
      survey.balance = balance.value_or(Balance{});
      read_balance_readings(readings, folder, *survey.balance);
      readings.finish(options.unknown_keys_are_errors);
    }
    const std::vector<SweepRequest> requests =
        read_sweep_requests(view, options, folder, survey.rig.motion, sweeps);
    view.finish(options.unknown_keys_are_errors);
    add_sweeps(requests, steps, report.findings, survey);
    surveys.push_back(std::move(survey));
  }
};

}  // namespace

bool is_campaign_file(const std::filesystem::path& file) {
  std::error_code none;
  if (!std::filesystem::is_regular_file(file, none)) {
    return false;  // a pipe can be read once, and may have no writer
  }
  std::ifstream in(file, std::ios::binary);
  for (std::string line; std::getline(in, line);) {
    const std::size_t first = line.find_first_not_of(" \t\xEF\xBB\xBF");
    if (first != std::string::npos && line.compare(first, 10, "[campaign]") == 0) {
      return true;
    }
  }
  return false;
}

std::vector<Survey> read_campaign_file(const std::filesystem::path& file,
                                       const ReadOptions& options) {
  Findings findings(static_cast<std::size_t>(std::max(1, options.most_findings)));
  Survey shared;
  shared.file = file;
  const TomlDocument document = load_toml(file, findings, shared.remarks);
  if (document.text.empty()) {
    findings.throw_if_any();
  }
  TomlReport report{document, findings, shared.defaults_used};
  TomlView root(report);
  CampaignReader reader{report, {options.unknown_keys_are_errors, !options.sweeps_required},
                        file.parent_path(), {}, {}, {}, {}, false, {}};
  TomlView head = root.section("campaign");
  shared.title = head.text("title").value_or("");
  reader.sound_distance_m = head.quantity("sound_distance", Dimension::length, above_zero);
  head.finish(options.unknown_keys_are_errors);
  shared.probe = read_probe(root, reader.options);
  shared.air = read_air(root, reader.options, shared.probe);
  shared.room = read_room(root, reader.options);
  shared.rig = read_rig(root, reader.options, reader.steps);
  shared.plan = read_plan(root, reader.options);
  shared.seat = read_seat(root, reader.options);
  reader.sweeps = read_sweep_defaults(root, reader.options, reader.folder, shared.rig.motion);
  TomlView balance = root.section("balance");
  if (balance.is_there()) {
    reader.balance.emplace();
    read_balance_rig(balance, *reader.balance);
    balance.finish(options.unknown_keys_are_errors);
  }
  std::vector<Survey> surveys;
  std::vector<TomlView> fans = root.sections("fan");
  for (TomlView& fan : fans) {
    Survey survey = shared;
    fan.require("name");
    survey.fan = fan.text("name").value_or("");
    survey.outlet = read_outlet(fan, reader.options, survey.rig.motion);
    std::vector<TomlView> settings = fan.sections("setting");
    if (settings.empty()) {
      fan.fault("setting", fan.name() + " has no [[fan.setting]]; add one for each setting");
    }
    for (TomlView& setting : settings) {
      reader.read_setting(setting, survey, surveys);
    }
    fan.finish(options.unknown_keys_are_errors);
  }
  if (fans.empty()) {
    findings.add({file, 0, 0}, "no [[fan]]; a campaign needs at least one, with its settings");
  }
  root.finish(options.unknown_keys_are_errors);
  findings.throw_if_any();
  for (Survey& survey : surveys) {
    survey.defaults_used = shared.defaults_used;
  }
  return surveys;
}

BalanceSession session_of(const std::vector<Survey>& campaign) {
  BalanceSession session;
  for (const Survey& survey : campaign) {
    if (!survey.balance) {
      continue;
    }
    const Balance& balance = *survey.balance;
    if (session.readings.empty()) {
      session.file = survey.file;
      session.title = survey.file.stem().string();
      session.air = survey.air;
      session.room = survey.room;
      session.seat = survey.seat;
      session.balance.lever_ratio = balance.lever_ratio;
      session.balance.lever_ratio_uncertainty = balance.lever_ratio_uncertainty;
      session.balance.resolution_n = balance.resolution_n;
      session.balance.gravity_m_s2 = balance.gravity_m_s2;
    }
    const bool known =
        std::any_of(session.fans.begin(), session.fans.end(), [&](const SessionFan& fan) {
          return fan.name == survey.fan;
        });
    if (!known) {
      session.fans.push_back({survey.fan, survey.outlet});
    }
    SessionReading block;
    block.fan = survey.fan;
    block.setting = survey.setting;
    block.variant = survey.variant;
    block.power_w = survey.outlet.power_w;
    block.sound = survey.outlet.sound;
    block.zero_before_n = balance.zero_before_n;
    block.zero_after_n = balance.zero_after_n;
    block.on_n = balance.readings_n;
    block.from_log_n = balance.from_log_n;
    block.spot = {survey.file, 0, 0};
    session.readings.push_back(std::move(block));
  }
  if (session.readings.empty()) {
    throw InputError((campaign.empty() ? "" : campaign.front().file.string() + ": ") +
                     "no [fan.setting.balance] in the campaign, so there is no thrust");
  }
  return session;
}

}  // namespace sweepflux
