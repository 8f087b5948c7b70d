#include "sweepflux/derive/thrust/reduce_session.hpp"

#include "sweepflux/base/nearest_name.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/capture/delimited/csv_rows.hpp"
#include "sweepflux/capture/delimited/text_cell.hpp"
#include "sweepflux/capture/survey/read_session.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

namespace sweepflux {
namespace {

/// One plateau with the fan on, at the scale.
struct ScaleReading {
  std::string label;
  Measured force_n;  ///< zero taken off
  double zero_drift_n = 0.0;
};

struct ScaleReadings {
  std::vector<ScaleReading> readings;
  std::vector<std::string> remarks;
  bool named = true;  ///< the labels are somebody's words, not counted
};

LogFormat format_of(const ScaleLogRecipe& recipe, double gravity_m_s2) {
  LogFormat format{recipe};
  format.kind = LogKind::force;
  format.gravity_m_s2 = gravity_m_s2;
  return format;
}

ScaleReadings reduce_raw(const ScaleLogRecipe& recipe, double gravity_m_s2, double resolution_n) {
  ScaleOptions options;
  options.sequence = recipe.sequence;
  options.settle_s = recipe.settle_s;
  options.resolution_n = resolution_n;
  const ScaleLog log = reduce_scale_log(recipe.file, format_of(recipe, gravity_m_s2), options);
  ScaleReadings all;
  for (const PlateauThrust& s : log.settings) {
    all.readings.push_back({s.label, {s.at_scale_n, s.at_scale_uncertainty_n}, s.zero_drift_n});
  }
  all.named = log.labelled || !recipe.sequence.empty();
  all.remarks = log.remarks;
  for (const std::string& warning : log.warnings) {
    all.remarks.push_back("warning: " + warning);
  }
  return all;
}

/// A table that `reduce --scale` wrote.
ScaleReadings read_reduced(const std::filesystem::path& file) {
  constexpr std::array<const char*, 4> names = {
      "label", "at_scale [N]", "at_scale_uncertainty [N]", "zero_drift [N]"};
  CsvRows rows(file, CsvOptions{.separator = ','});
  std::array<std::size_t, names.size()> at{};
  ScaleReadings all;
  bool has_heading = false;
  while (const CsvRow* row = rows.next()) {
    const auto text = [&](std::size_t i) {
      return at[i] < row->cells.size() ? row->cells[at[i]].text : std::string_view{};
    };
    if (!has_heading) {
      for (std::size_t i = 0; i < names.size(); ++i) {
        const auto found =
            std::find_if(row->cells.begin(), row->cells.end(), [&](const CsvCell& cell) {
              return cell.text == names[i];
            });
        if (found == row->cells.end()) {
          throw SurveyError({{{file, row->line, 1},
                              std::string("no column `") + names[i] +
                                  "`: this is no table of `reduce --scale`; a raw log is named by "
                                  "`log`"}});
        }
        at[i] = static_cast<std::size_t>(found - row->cells.begin());
      }
      has_heading = true;
      continue;
    }
    std::array<double, names.size()> values{};
    for (std::size_t i = 1; i < names.size(); ++i) {
      const std::optional<double> number = parse_number(text(i));
      if (!number) {
        throw SurveyError({{{file, row->line, 1},
                            in_backticks(text(i)) + " is no number for `" + names[i] + "`"}});
      }
      values[i] = *number;
    }
    all.readings.push_back(
        {std::string(read_text_cell(text(0))), {values[1], values[2]}, values[3]});
  }
  return all;
}

ScaleReadings readings_of(const ScaleLogRecipe& recipe, double gravity_m_s2, double resolution_n) {
  ScaleReadings all =
      recipe.reduced ? read_reduced(recipe.file) : reduce_raw(recipe, gravity_m_s2, resolution_n);
  if (all.readings.empty()) {
    throw InputError(recipe.file.string() + ": holds no setting with the fan on");
  }
  return all;
}

std::vector<std::string> labels_of(const ScaleReadings& all) {
  std::vector<std::string> labels;
  for (const ScaleReading& one : all.readings) {
    if (std::find(labels.begin(), labels.end(), one.label) == labels.end()) {
      labels.push_back(one.label);
    }
  }
  return labels;
}

/// Those of one setting; where nobody named them, the only ones.
std::vector<ScaleReading> of_setting(const ScaleLogRecipe& recipe,
                                     const ScaleReadings& all,
                                     const std::string& setting) {
  const std::vector<std::string> labels = labels_of(all);
  if (labels.size() == 1 && !all.named) {
    return all.readings;
  }
  std::vector<ScaleReading> found;
  for (const ScaleReading& one : all.readings) {
    if (all.named && one.label == setting) {
      found.push_back(one);
    }
  }
  if (found.empty()) {
    throw InputError(recipe.file.string() + ": " +
                     (all.named ? "holds no setting " + in_backticks(setting) + "; its settings are " +
                                      listed(labels)
                                : "holds " + std::to_string(labels.size()) +
                                      " settings without a name; say what happened, in order, as "
                                      "sequence = [\"off\", \"1\", \"off\"], or name the column "
                                      "that does (label_column)"));
  }
  return found;
}

/// Calls `reduce`, and keeps what it says is wrong.
template <typename Reduce>
void keep_faults(const Spot& spot, std::vector<Finding>& faults, Reduce reduce) {
  try {
    reduce();
  } catch (const SurveyError& error) {
    faults.insert(faults.end(), error.findings().begin(), error.findings().end());
  } catch (const InputError& error) {
    faults.push_back({spot, error.what()});
  } catch (const NumericalError& error) {
    faults.push_back({spot, error.what()});
  }
}

void add_remarks(const ScaleLogRecipe& recipe,
                 const std::vector<std::string>& words,
                 std::vector<Finding>& remarks) {
  for (const std::string& word : words) {
    remarks.push_back({{recipe.file, 0, 0}, word});
  }
}

}  // namespace

void reduce_session_logs(BalanceSession& session) {
  std::vector<SessionReading> blocks;
  std::vector<Finding> faults;
  for (const SessionReading& block : session.readings) {
    if (!block.log) {
      blocks.push_back(block);
      continue;
    }
    keep_faults(block.log->spot, faults, [&] {
      const ScaleReadings all = readings_of(
          *block.log, session.balance.gravity_m_s2, session.balance.resolution_n);
      if (block.setting.empty() && !all.named) {
        throw InputError(block.log->file.string() +
                         ": no column names its settings; state setting, or sequence");
      }
      add_remarks(*block.log, all.remarks, session.remarks);
      for (const ScaleReading& one : block.setting.empty()
                                         ? all.readings
                                         : of_setting(*block.log, all, block.setting)) {
        SessionReading made = block;
        made.setting = block.setting.empty() ? one.label : block.setting;
        made.from_log_n = one.force_n;
        made.zero_after_n = one.zero_drift_n;
        blocks.push_back(std::move(made));
      }
    });
  }
  if (!faults.empty()) {
    throw SurveyError(std::move(faults));
  }
  session.readings = std::move(blocks);
}

void reduce_balance_log(Survey& survey) {
  if (!survey.balance || !survey.balance->log || survey.balance->from_log_n) {
    return;
  }
  Balance& balance = *survey.balance;
  std::vector<Finding> faults;
  keep_faults(balance.log->spot, faults, [&] {
    const ScaleReadings all = readings_of(*balance.log, balance.gravity_m_s2, balance.resolution_n);
    const std::vector<ScaleReading> own = of_setting(*balance.log, all, survey.setting);
    add_remarks(*balance.log, all.remarks, survey.remarks);
    // Repeats as those of a session: the larger of what each states and what their scatter shows.
    const double n = static_cast<double>(own.size());
    double mean = 0.0;
    double stated = 0.0;
    double squares = 0.0;
    double drift = 0.0;
    for (const ScaleReading& one : own) {
      mean += one.force_n.value / n;
      stated = std::hypot(stated, one.force_n.standard_uncertainty / n);
      drift = std::abs(one.zero_drift_n) > std::abs(drift) ? one.zero_drift_n : drift;
    }
    for (const ScaleReading& one : own) {
      squares += (one.force_n.value - mean) * (one.force_n.value - mean);
    }
    const double shown = n > 1.0 ? std::sqrt(squares / (n - 1.0) / n) : 0.0;
    balance.from_log_n = Measured{mean, std::max(stated, shown)};
    balance.zero_given = true;
    balance.zero_before_n = 0.0;
    balance.zero_after_n = drift;
  });
  if (!faults.empty()) {
    throw SurveyError(std::move(faults));
  }
}

BalanceSession read_session_and_logs(const std::filesystem::path& session_file) {
  BalanceSession session = read_session(session_file);
  reduce_session_logs(session);
  return session;
}

}  // namespace sweepflux
