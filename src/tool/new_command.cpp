#include "tool/new_command.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/capture/survey/survey_template.hpp"
#include "sweepflux/record/folder.hpp"
#include "sweepflux/record/new_survey.hpp"

namespace sweepflux::tool {
namespace {

struct NewArguments : CommonOptions {
  std::string folder;
};

void run(const NewArguments& options, Session& session) {
  session.apply(options);
  if (options.folder.empty() == options.out.empty()) {
    throw InputError(
        "`new` needs one folder: `sweepflux new DIR` or `sweepflux new --out DIR`, not both");
  }
  ResultFolder folder(
      options.folder.empty() ? options.out : options.folder, {}, ResultFolder::Owner::user);
  folder.add("survey.toml", survey_template());
  folder.add(std::string(example_sweep_file), example_sweep());
  folder.write(session.progress().stop_wanted);

  const std::string survey = (folder.target() / "survey.toml").string();
  if (options.json) {
    session.give(new_survey_json(survey, (folder.target() / example_sweep_file).string()));
  }
  session.say(survey + " is a survey to start from; its comments say what each line means.\n" +
              "Its one sweep is invented: put your own files beside it and name them there.\n" +
              "Then:\n  sweepflux map " + survey + "\n");
}

}  // namespace

Command make_new_command() {
  const auto options = std::make_shared<NewArguments>();
  Command command = {"new",
                     "Start a survey: a folder with a commented survey.toml",
                     "sweepflux new heron-3\n"
                     "  makes heron-3/survey.toml, which can be read as it stands, and an\n"
                     "  invented sweep in heron-3/sweeps; never touches what is there",
                     common_options(*options, "The same, for those who name it on every command"),
                     [options](Session& session) { run(*options, session); }};
  command.options.insert(
      command.options.end(),
      {{"folder", &options->folder, "Folder to make; it must not exist, or be empty", "DIR"}});
  return command;
}

}  // namespace sweepflux::tool
