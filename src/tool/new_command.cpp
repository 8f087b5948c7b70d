#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/survey/survey_template.hpp"
#include "sweepflux/record/folder.hpp"
#include "sweepflux/record/new_survey.hpp"
#include "tool/commands.hpp"

namespace sweepflux::tool {
namespace {

struct NewArguments : CommonOptions {
  std::string folder;
  bool session = false;
  bool campaign = false;
};

/// What is started.
struct Start {
  std::string kind;
  std::string text;
  const char* is_a;
  const char* then;
  bool has_sweep = true;
};

Start start_of(const NewArguments& options) {
  if (options.session) {
    return {"session", session_template(), "a session at the balance", "thrust", false};
  }
  if (options.campaign) {
    return {"campaign", campaign_template(), "a campaign", "map"};
  }
  return {"survey", survey_template(), "a survey", "map"};
}

void run(const NewArguments& options, Session& session) {
  session.apply(options);
  if (options.folder.empty() == options.out.empty()) {
    throw InputError(
        "`new` needs one folder: `sweepflux new DIR` or `sweepflux new --out DIR`, not both");
  }
  if (options.session && options.campaign) {
    throw InputError("`new` makes a session or a campaign, not both; leave one option out");
  }
  const Start start = start_of(options);
  ResultFolder folder(
      options.folder.empty() ? options.out : options.folder, {}, ResultFolder::Owner::user);
  const std::string name = start.kind + ".toml";
  folder.add(name, start.text);
  if (start.has_sweep) {
    folder.add(std::string(example_sweep_file), example_sweep());
  }
  folder.write(session.progress().stop_wanted);

  const std::string file = (folder.target() / name).string();
  const std::string sweep =
      start.has_sweep ? (folder.target() / example_sweep_file).string() : std::string();
  if (options.json) {
    session.give(new_start_json(start.kind, file, sweep));
  }
  session.say(file + " is " + start.is_a +
              " to start from; its comments say what each line means.\n" +
              (start.has_sweep
                   ? "Its one sweep is invented: put your own files beside it and name them there.\n"
                   : "Its readings are invented: put your own there.\n") +
              "Then:\n  sweepflux " + start.then + " " + file + "\n");
}

}  // namespace

Command make_new_command() {
  const auto options = std::make_shared<NewArguments>();
  return {
      "new",
      "Start a survey, a session at the balance, or a campaign: a folder with a commented file",
      "sweepflux new heron-3\n"
      "  makes heron-3/survey.toml, which can be read as it stands, and an\n"
      "  invented sweep in heron-3/sweeps; never touches what is there",
      common_options(
          *options,
          "The same as DIR",
          {{"folder", &options->folder, "Folder to make; it must not exist, or be empty", "DIR"},
           {"--session", &options->session, "A session at the balance instead: session.toml"},
           {"--campaign",
            &options->campaign,
            "Many fans and settings in one file: campaign.toml"}}),
      [options](Session& session) { run(*options, session); }};
}

}  // namespace sweepflux::tool
