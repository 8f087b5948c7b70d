#include "sweepflux/capture/survey/read_campaign_file.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/text_encoding.hpp"
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
  constexpr std::string_view plain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.";
  std::string name = survey.fan;
  for (const std::string& part : {survey.setting, survey.variant}) {
    name += (part.empty() ? "" : "-") + part;
  }
  std::replace_if(
      name.begin(), name.end(), [&](char c) { return plain.find(c) == plain.npos; }, '_');
  return name.empty() || name.front() == '.' ? "_" + name : name;
}

/// What all settings share, and how it is read.
struct CampaignReader {
  TomlReport& report;
  bool for_plan = false;
  TomlView balance_view;
  StepSizes steps{};
  SweepDefaults sweeps{};
  std::optional<Balance> balance{};
  std::optional<double> sound_distance_m{};
  std::set<std::string> members{};
  std::vector<SweepRequest> requests{};      ///< of the settings so far
  std::vector<ScaleLogRecipe> scale_logs{};  ///< likewise

  /// Gives a survey the defaults that were noted from one on.
  void add_noted(std::size_t first, Survey& survey) const {
    const auto begin = report.defaults.begin() + static_cast<std::ptrdiff_t>(first);
    survey.defaults_used.insert(survey.defaults_used.end(), begin, report.defaults.end());
  }

  /// The [balance] that all share; without one its defaults, noted where they are used.
  Balance usual_balance() {
    if (balance) {
      return *balance;
    }
    Balance usual;
    read_balance_rig(balance_view, usual);
    return usual;
  }

  void read_setting(TomlView& view, Survey survey, std::vector<Survey>& surveys) {
    const std::size_t noted = report.defaults.size();
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
    if (auto power = read_power(view, zero_or_more, "2 % of the power")) {
      survey.outlet.power_w = power;
    }
    if (auto sound = read_sound(view, sound_distance_m)) {
      survey.outlet.sound = sound;
    }
    if (view.has("air")) {
      survey.air = read_air(view, for_plan, survey.probe);
    }
    if (view.has("room")) {
      survey.room = read_room(view);
    }
    if (view.has("plan")) {
      survey.plan = read_plan(view);
    }
    if (view.has("seat")) {
      survey.seat = read_seat(view);
    }
    survey.gusts = read_gust_log(view);
    TomlView readings = view.section("balance");
    if (readings.is_there()) {
      survey.balance = usual_balance();
      read_balance_readings(readings, *survey.balance);
      if (survey.balance->log) {
        refuse_other_sequence(*survey.balance->log, scale_logs, report.findings);
      }
      readings.finish();
    }
    const std::vector<SweepRequest> own = read_sweep_requests(view, survey.rig.motion, sweeps);
    view.finish();
    add_sweeps(own, requests, steps, report.findings, survey);
    requests.insert(requests.end(), own.begin(), own.end());
    add_noted(noted, survey);
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
  TomlReport report{document, findings, shared.defaults_used};
  TomlView root(report);
  CampaignReader reader{.report = report,
                        .for_plan = !options.sweeps_required,
                        .balance_view = root.section("balance")};
  TomlView head = root.section("campaign");
  shared.campaign = shared.title = head.text("title").value_or("");
  reader.sound_distance_m = head.quantity("sound_distance", Dimension::length, above_zero);
  head.finish();
  shared.probe = read_probe(root);
  shared.air = read_air(root, reader.for_plan, shared.probe);
  shared.room = read_room(root);
  shared.rig = read_rig(root, reader.for_plan, reader.steps);
  shared.plan = read_plan(root);
  shared.seat = read_seat(root);
  reader.sweeps = read_sweep_defaults(root, shared.rig.motion);
  if (reader.balance_view.is_there()) {
    reader.balance = reader.usual_balance();
    reader.balance_view.finish();
  }
  std::vector<Survey> surveys;
  std::vector<TomlView> fans = root.sections("fan");
  std::set<std::string> names;
  const std::vector<std::string> for_all = shared.defaults_used;
  for (TomlView& fan : fans) {
    Survey survey = shared;
    fan.require("name");
    survey.fan = fan.text("name").value_or("");
    if (!names.insert(survey.fan).second) {
      fan.fault("name",
                fan.name() + ".name is " + in_backticks(survey.fan) +
                    ", and so is that of another; put all its settings under one [[fan]]");
    }
    survey.defaults_used = for_all;
    const std::size_t noted = report.defaults.size();
    survey.outlet = read_outlet(fan, survey.rig.motion);
    reader.add_noted(noted, survey);
    std::vector<TomlView> settings = fan.sections("setting");
    if (settings.empty()) {
      fan.fault("setting", fan.name() + " has no [[fan.setting]]; add one for each setting");
    }
    for (TomlView& setting : settings) {
      reader.read_setting(setting, survey, surveys);
    }
    fan.finish();
  }
  if (fans.empty()) {
    findings.add({file, 0, 0}, "no [[fan]]; a campaign needs at least one, with its settings");
  }
  root.finish();
  findings.throw_if_any();
  return surveys;
}

BalanceSession session_of(const std::vector<Survey>& campaign) {
  BalanceSession session;
  for (const Survey& survey : campaign) {
    if (!survey.balance) {
      session.remarks.push_back(
          {{survey.file, 0, 0}, survey.member + " has no balance readings, and is left out"});
      continue;
    }
    const Balance& balance = *survey.balance;
    if (session.readings.empty()) {
      session.file = survey.file;
      session.title = survey.campaign.empty() ? survey.file.stem().string() : survey.campaign;
      session.air = survey.air;
      session.room = survey.room;
      session.seat = survey.seat;
      session.balance = {.lever_ratio = balance.lever_ratio,
                         .lever_ratio_uncertainty = balance.lever_ratio_uncertainty,
                         .from_arms = balance.from_arms,
                         .check_mass = {},
                         .resolution_n = balance.resolution_n,
                         .gravity_m_s2 = balance.gravity_m_s2};
    }
    const bool known =
        std::any_of(session.fans.begin(), session.fans.end(), [&](const SessionFan& fan) {
          return fan.name == survey.fan;
        });
    if (!known) {
      session.fans.push_back({survey.fan, survey.outlet});
    }
    for (const Finding& remark : survey.remarks) {
      if (balance.log && remark.spot.file == balance.log->file) {
        session.remarks.push_back(remark);
      }
    }
    session.readings.push_back({.fan = survey.fan,
                                .setting = survey.setting,
                                .variant = survey.variant,
                                .power_w = survey.outlet.power_w,
                                .sound = survey.outlet.sound,
                                .zero_before_n = balance.zero_before_n,
                                .zero_after_n = balance.zero_after_n,
                                .on_n = balance.readings_n,
                                .log = {},
                                .from_log_n = balance.from_log_n,
                                .spot = {survey.file, 0, 0}});
  }
  if (session.readings.empty()) {
    throw InputError((campaign.empty() ? "" : campaign.front().file.string() + ": ") +
                     "no [fan.setting.balance] in the campaign, so there is no thrust");
  }
  return session;
}

}  // namespace sweepflux
