#include "sweepflux/capture/survey/read_campaign_file.hpp"
#include "sweepflux/derive/thrust/reduce_session.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/rank/compare.hpp"
#include "sweepflux/record/comparison.hpp"
#include "tool/campaign_pictures.hpp"
#include "tool/commands.hpp"
#include "tool/comparison_text.hpp"
#include "tool/read_campaign.hpp"
#include "tool/read_inputs.hpp"
#include "tool/result_files.hpp"

#include <optional>
#include <utility>
#include <vector>

namespace sweepflux::tool {
namespace {

struct ThrustArguments : CommonOptions {
  std::string session;
  std::vector<std::string> distances;
  std::vector<std::string> speeds;
  bool no_pictures = false;
};

std::string line_of(const ThrustArguments& options) {
  return "sweepflux thrust " + shell_word(options.session) +
         shell_option("--distance", options.distances) + shell_option("--throw", options.speeds);
}

void add_files(const ThrustArguments& options,
               const BalanceSession& balance,
               const SessionThrust& thrust,
               const Comparison& comparison,
               ResultFolder& folder) {
  folder.add("thrust.json", session_json(balance, thrust, comparison));
  folder.add("thrust.csv", session_csv(thrust));
  folder.add("comparison.csv", comparison_csv(comparison));
  if (options.no_pictures) {
    return;
  }
  const CampaignDrawings drawings = draw_campaign(comparison, balance.title);
  for (const auto& [name, canvas] : drawings.files) {
    add_picture(folder, name, canvas);
  }
  folder.add("report.html",
             render::session_page(balance,
                                  thrust,
                                  comparison,
                                  drawings.for_page,
                                  page_options(line_of(options),
                                               {"thrust.csv: a row a setting",
                                                "comparison.csv: every number, one a row",
                                                "thrust.json: the same and more"})));
}

BalanceSession read_balance_session(const std::string& file, const Progress& progress) {
  if (!is_campaign_file(file)) {
    return read_session_and_logs(file);
  }
  std::vector<Survey> surveys;
  const ReadOptions options{.sweeps_required = false};
  for (ReadInput& input : read_inputs(file, {}, options, progress, Logs::of_balance)) {
    surveys.push_back(std::move(input.survey));
  }
  return session_of(surveys);
}

void run(const ThrustArguments& options, Session& session) {
  session.apply(options);
  CompareOptions compare_options;
  compare_options.distances_m = quantities_of("--distance", options.distances, Dimension::length);
  if (!options.speeds.empty()) {
    compare_options.wished_speeds_m_s = quantities_of("--throw", options.speeds, Dimension::speed);
  }
  compare_options.shared.same_balance = true;  // a session is one balance
  const BalanceSession balance = read_balance_session(options.session, session.progress());
  std::optional<ResultFolder> folder = result_folder_if_wanted(
      options, folder_beside(options.session, "-results"), {balance.file});
  const SessionThrust thrust = derive_session_thrust(balance);
  const Comparison comparison = compare(session_entries(balance, thrust), compare_options);
  if (folder) {
    add_files(options, balance, thrust, comparison, *folder);
    folder->write(session.progress().stop_wanted);
  }
  if (options.json) {
    session.give(session_json(balance, thrust, comparison));
  }
  session.say(session_text(balance, thrust, comparison));
  if (folder) {
    session.say_place("Results are", folder->target());
  }
}

}  // namespace

Command make_thrust_command() {
  const auto options = std::make_shared<ThrustArguments>();
  return {"thrust",
          "Turn a session at the balance into thrust per setting and per watt",
          "sweepflux thrust loft/session.toml\n"
          "  prints newtons and grams-force for every fan and setting, which settings give\n"
          "  equal thrust, and writes tables, charts and a page into loft/session-results",
          common_options(
              *options,
              "Folder for the results; else <session>-results beside the session",
              {{"session",
                &options->session,
                "The session's file, or that of a campaign with balance readings",
                "SESSION.toml",
                Need::required},
               {"--distance",
                &options->distances,
                "From the outlet, where the stream is predicted, such as \"2 m\"; may be given "
                "more than "
                "once",
                "LENGTH"},
               {"--throw",
                &options->speeds,
                "Speed whose throw is wanted, such as \"0.5 m/s\"; may be given more than once",
                "SPEED"},
               {"--no-pictures", &options->no_pictures, "Write tables only"}}),
          [options](Session& session) { run(*options, session); }};
}

}  // namespace sweepflux::tool
