#include "tool/read_inputs.hpp"

#include "sweepflux/base/error.hpp"
#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/capture/survey/read_campaign_file.hpp"
#include "sweepflux/derive/log/reduce_survey.hpp"
#include "sweepflux/derive/thrust/reduce_session.hpp"

#include <utility>

namespace sweepflux::tool {
namespace {

/// One setting of a campaign, or all.
std::vector<Survey> chosen(std::vector<Survey> surveys, const std::string& setting) {
  if (setting.empty()) {
    return surveys;
  }
  std::vector<std::string> names;
  for (Survey& survey : surveys) {
    const std::string spaced =
        survey.fan + " " + survey.setting + (survey.variant.empty() ? "" : ", " + survey.variant);
    if (survey.member == setting || spaced == setting) {
      std::vector<Survey> one;
      one.push_back(std::move(survey));
      return one;
    }
    names.push_back(survey.member);
  }
  throw InputError("--setting is `" + setting + "`, must be one of " + listed(names) +
                   did_you_mean(setting, names));
}

}  // namespace

std::vector<ReadInput> read_inputs(const std::filesystem::path& file,
                                   const std::string& setting,
                                   const ReadOptions& options,
                                   const Progress& progress,
                                   Logs logs) {
  std::vector<Survey> surveys;
  if (is_campaign_file(file)) {
    surveys = chosen(read_campaign_file(file, options), setting);
  } else if (!setting.empty()) {
    throw InputError("--setting goes with a campaign; " + file.string() + " is one survey");
  } else {
    surveys.push_back(read_survey(file, options));
  }
  std::vector<ReadInput> inputs;
  std::vector<Finding> faults;
  std::string no_answer;
  for (Survey& survey : surveys) {
    ReadInput input;
    input.survey = std::move(survey);
    try {
      if (logs == Logs::all) {
        input.logs = reduce_logs(input.survey, progress);
      }
      reduce_balance_log(input.survey);
    } catch (const SurveyError& error) {
      faults.insert(faults.end(), error.findings().begin(), error.findings().end());
    } catch (const NumericalError& error) {
      no_answer += (no_answer.empty() ? "" : "\n") + std::string(error.what());
    }
    inputs.push_back(std::move(input));
  }
  if (!faults.empty()) {
    throw SurveyError(std::move(faults));
  }
  if (!no_answer.empty()) {
    throw NumericalError(no_answer);
  }
  return inputs;
}

ReadInput read_input(const std::filesystem::path& file,
                     const std::string& setting,
                     const ReadOptions& options,
                     const Progress& progress) {
  std::vector<ReadInput> inputs = read_inputs(file, setting, options, progress);
  if (inputs.size() != 1) {
    throw InputError(file.string() + ": is a campaign of " + std::to_string(inputs.size()) +
                     " settings; name the one that is meant with --setting");
  }
  return std::move(inputs.front());
}

std::vector<std::filesystem::path> files_of(const Survey& survey) {
  std::vector<std::filesystem::path> files = {survey.file};
  for (const Sweep& sweep : survey.sweeps) {
    files.push_back(sweep.file);
  }
  return files;
}

CommonOptions options_for(CommonOptions options,
                          const Survey& survey,
                          const std::filesystem::path& usual) {
  if (!survey.member.empty() && (!options.out.empty() || !usual.empty())) {
    options.out =
        ((options.out.empty() ? usual : std::filesystem::path(options.out)) / survey.member)
            .string();
  }
  return options;
}

}  // namespace sweepflux::tool
