#include "sweepflux/derive/thrust/scale_log.hpp"

#include "sweepflux/base/statistics.hpp"
#include "sweepflux/base/text_encoding.hpp"
#include "sweepflux/base/unit_text.hpp"
#include "sweepflux/derive/thrust/scale_plateaus_private.hpp"
#include "sweepflux/derive/thrust/thrust.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

namespace sweepflux {
namespace {

PlateauKind kind_of_label(const std::string& label) {
  constexpr std::string_view offs =
      "|off|zero|0|aus|null|arrêt|arret|zéro|apagado|cero|spento|uit|nul|";
  const std::string word = lower_ascii(trimmed(label));
  if (!word.empty() && word.find('|') == word.npos && offs.find("|" + word + "|") != offs.npos) {
    return PlateauKind::off;
  }
  return word.starts_with("check") ? PlateauKind::check_mass : PlateauKind::on;
}

std::string grams(double force_n) {
  return format_number(1000.0 * force_n / standard_gravity_m_s2, 3) + " g";
}

void check(const ScaleOptions& options) {
  if (!(options.check_mass_n >= 0.0) || !(options.resolution_n >= 0.0) ||
      !(options.stated_ratio.value_or(1.0) > 0.0) || !(options.settle_s.value_or(0.0) >= 0.0)) {
    throw InputError(
        "a balance log needs check mass, settling and resolution >= 0, and a lever ratio > 0");
  }
}

/// Zero at a moment, from the off plateaus before and after.
struct Zero {
  Measured force_n;
  double drift_n = 0.0;
  bool bracketed = true;
};

double middle_s(const Plateau& plateau) {
  return 0.5 * (plateau.force_n.first_time_s + plateau.force_n.last_time_s);
}

double uncertainty_n(const Plateau& plateau) {
  const double scatter =
      std::isfinite(plateau.force_n.standard_error) ? plateau.force_n.standard_error : 0.0;
  // A plateau that still creeps is wrong by up to its creep: rectangular, [JCGM 100, 4.3.7].
  return plateau.steady ? scatter : std::hypot(scatter, plateau.creep_n / std::sqrt(3.0));
}

Zero zero_at(const std::vector<Plateau>& plateaus, std::size_t at) {
  const Plateau* before = nullptr;
  const Plateau* after = nullptr;
  for (std::size_t i = 0; i < plateaus.size(); ++i) {
    if (plateaus[i].kind == PlateauKind::off) {
      if (i < at) {
        before = &plateaus[i];
      } else if (after == nullptr && i > at) {
        after = &plateaus[i];
      }
    }
  }
  Zero zero;
  if (before == nullptr && after == nullptr) {
    return zero;  // the scale was tared
  }
  if (before == nullptr || after == nullptr) {
    const Plateau& only = before != nullptr ? *before : *after;
    zero.force_n = {only.force_n.mean, uncertainty_n(only)};
    zero.bracketed = false;
    return zero;
  }
  const double span_s = middle_s(*after) - middle_s(*before);
  const double share = span_s > 0.0 ? (middle_s(plateaus[at]) - middle_s(*before)) / span_s : 0.5;
  zero.drift_n = after->force_n.mean - before->force_n.mean;
  zero.force_n.value = before->force_n.mean + share * zero.drift_n;
  const double scatter =
      std::hypot((1.0 - share) * uncertainty_n(*before), share * uncertainty_n(*after));
  // Between the two the zero may have gone any way: the drift as a rectangle's width.
  zero.force_n.standard_uncertainty = std::hypot(scatter, zero.drift_n / std::sqrt(12.0));
  return zero;
}

void find_ratio(const ScaleOptions& options, ScaleLog& log) {
  log.lever_ratio = {options.stated_ratio.value_or(1.0), 0.0};
  RunningMoments ratios;
  double uncertainty = 0.0;
  for (std::size_t i = 0; i < log.plateaus.size(); ++i) {
    const Plateau& plateau = log.plateaus[i];
    if (plateau.kind != PlateauKind::check_mass) {
      continue;
    }
    if (options.check_mass_n == 0.0) {
      log.warnings.push_back("a check mass was on the balance, but its mass is not stated");
      return;
    }
    const Zero zero = zero_at(log.plateaus, i);
    ratios.add((plateau.force_n.mean - zero.force_n.value) / options.check_mass_n);
    uncertainty += std::pow(std::hypot(uncertainty_n(plateau),
                                       zero.force_n.standard_uncertainty,
                                       options.resolution_n / std::sqrt(12.0)) /
                                options.check_mass_n,
                            2);
  }
  if (ratios.count() == 0) {
    return;
  }
  const double n = static_cast<double>(ratios.count());
  const double relative = std::abs(std::sqrt(uncertainty) / n / ratios.mean());
  log.lever_ratio = {ratios.mean(), std::abs(ratios.mean()) * relative};
  log.ratio_from_check_mass = true;
  const double stated = options.stated_ratio.value_or(ratios.mean());
  const double apart = std::abs(stated - ratios.mean());
  // Arms are measured to a per cent or so; common practice, no published source.
  if (apart > 0.02 * stated && apart > 3.0 * log.lever_ratio.standard_uncertainty) {
    throw InputError(
        "the stated ratio of the lever is " + format_number(stated, 4) + ", the check mass says " +
        format_number(ratios.mean(), 4) +
        (std::abs(ratios.mean() - 1.0) < 0.02 ? "; it seems to have lain on the scale's pan" : "") +
        ": hang the mass where the thrust acts, or state only one of the two");
  }
  log.remarks.push_back(
      "ratio of the lever from the check mass: " +
      format_with_uncertainty(log.lever_ratio.value, log.lever_ratio.standard_uncertainty, ""));
}

void find_thrusts(const ScaleOptions& options, ScaleLog& log) {
  for (std::size_t i = 0; i < log.plateaus.size(); ++i) {
    const Plateau& plateau = log.plateaus[i];
    if (plateau.kind != PlateauKind::on) {
      continue;
    }
    const Zero zero = zero_at(log.plateaus, i);
    PlateauThrust setting;
    setting.label = plateau.label;
    setting.zero_n = zero.force_n.value;
    setting.zero_drift_n = zero.drift_n;
    setting.bracketed = zero.bracketed;
    setting.steady = plateau.steady;
    setting.at_scale_n = plateau.force_n.mean - zero.force_n.value;
    setting.first_line = plateau.force_n.first_line;
    setting.last_line = plateau.force_n.last_line;
    const double ratio = log.lever_ratio.value;
    const double thrust = setting.at_scale_n / ratio;
    const double scatter =
        plateau.force_n.samples > 1
            ? uncertainty_n(plateau)
            : std::max(options.resolution_n, lone_scatter * std::abs(setting.at_scale_n));
    // The last digit of reading and of zero, each a rectangle [JCGM 100, F.2.2.1].
    const double at_scale = std::hypot(
        scatter, zero.force_n.standard_uncertainty, options.resolution_n * std::sqrt(2.0 / 12.0));
    setting.at_scale_uncertainty_n = at_scale;
    setting.thrust_n = {
        thrust,
        std::hypot(at_scale / ratio, thrust * log.lever_ratio.standard_uncertainty / ratio)};
    if (!zero.bracketed) {
      log.warnings.push_back("setting " + plateau.label +
                             " has an off plateau on one side only: drift of the zero is unseen");
    }
    if (!plateau.steady) {
      log.warnings.push_back("setting " + plateau.label +
                             " was not yet steady: it still crept by " + grams(plateau.creep_n));
    }
    if (std::abs(zero.drift_n) > 0.1 * std::abs(setting.at_scale_n)) {
      log.warnings.push_back("setting " + plateau.label + ": the zero drifted by " +
                             grams(zero.drift_n) + ", more than a tenth of the thrust");
    }
    log.settings.push_back(std::move(setting));
  }
}

/// Names and kinds where the log has no labels.
void name_plateaus(const ScaleOptions& options, std::vector<Plateau>& plateaus) {
  if (!options.sequence.empty()) {
    if (options.sequence.size() != plateaus.size()) {
      std::string found;
      for (const Plateau& plateau : plateaus) {
        found += (found.empty() ? "" : ", ") + grams(plateau.force_n.mean);
      }
      throw InputError("the sequence names " + std::to_string(options.sequence.size()) +
                       " plateaus, but " + std::to_string(plateaus.size()) +
                       " were found: " + found);
    }
    for (std::size_t i = 0; i < plateaus.size(); ++i) {
      plateaus[i].label = options.sequence[i];
      plateaus[i].kind = kind_of_label(options.sequence[i]);
    }
    return;
  }
  // The fan is off at first; whatever comes back to near there is off again.
  const double first = plateaus.front().force_n.mean;
  double range = 0.0;
  for (const Plateau& plateau : plateaus) {
    range = std::max(range, std::abs(plateau.force_n.mean - first));
  }
  std::size_t on = 0;
  for (Plateau& plateau : plateaus) {
    const bool off = std::abs(plateau.force_n.mean - first) <= 0.12 * range;
    plateau.kind = off ? PlateauKind::off : PlateauKind::on;
    plateau.label = off ? "off" : std::to_string(++on);
  }
}

}  // namespace

ScaleReducer::ScaleReducer(ScaleOptions options) : options_(std::move(options)) { check(options_); }

void ScaleReducer::add(const LogSample& sample) {
  if (sample.fault != SampleFault::none) {
    return;
  }
  table_ = table_ || std::isnan(sample.time_s);
  const std::string_view label =
      options_.sequence.empty() ? trimmed(sample.label) : std::string_view{};
  labelled_ = labelled_ || !label.empty();
  // Where a table has a sequence, each of its rows is one of that.
  const bool same_section =
      !sections_.empty() && sections_.back().label == label && (labelled_ || !table_);
  if (!same_section) {
    sections_.emplace_back();
    sections_.back().label = std::string(label);
  }
  const double time_s = table_ ? static_cast<double>(rows_) : sample.time_s;
  sections_.back().series.add(sample.value, time_s, sample.line);
  ++rows_;
}

std::vector<Plateau> ScaleReducer::find_plateaus() const {
  if (table_ && options_.settle_s) {
    throw InputError(
        "the log has no times: it is a table of readings, in which nothing settles; leave --settle "
        "(settle) away, or name its column of times");
  }
  const bool sections_are_plateaus = labelled_ || table_;
  const std::optional<double> settle_s = table_ ? 0.0 : options_.settle_s;
  std::vector<Plateau> plateaus;
  for (const Section& section : sections_) {
    const ScaleBlocks blocks = section.series.blocks();
    const double resolution_n = options_.resolution_n;
    std::vector<Plateau> found;
    if (!sections_are_plateaus || !settle_s) {
      found = split_into_plateaus(blocks, resolution_n, settle_s);
    }
    if (sections_are_plateaus) {
      // What the label tells of is where the section ends; before, the scale was on its way there.
      found = {found.empty() ? settle_plateau(blocks, resolution_n, settle_s)
                             : std::move(found.back())};
      found.back().start_s = blocks.front().first_time_s;
      found.back().settle_s = found.back().force_n.first_time_s - found.back().start_s;
      StretchMean& reading = found.back().force_n;
      if (table_) {  // its rows are readings apart, which share no eddies
        reading.standard_error =
            reading.standard_deviation / std::sqrt(static_cast<double>(reading.samples));
      }
    }
    for (Plateau& plateau : found) {
      plateau.label = section.label;
      plateau.kind = kind_of_label(section.label);
      plateaus.push_back(std::move(plateau));
    }
  }
  return plateaus;
}

ScaleLog ScaleReducer::finish() const {
  ScaleLog log;
  log.plateaus = find_plateaus();
  log.labelled = labelled_;
  if (log.plateaus.empty()) {
    throw NumericalError("the balance never stood still long enough for a plateau");
  }
  if (!labelled_) {
    name_plateaus(options_, log.plateaus);
  }
  std::vector<const Plateau*> offs;
  for (const Plateau& plateau : log.plateaus) {
    if (plateau.kind == PlateauKind::off) {
      offs.push_back(&plateau);
    }
  }
  if (offs.empty() && !table_) {
    throw NumericalError("no plateau with the fan off: without a zero there is no thrust");
  }
  if (table_) {
    log.remarks.emplace_back("the log has no times: it was read as a table of readings");
  }
  if (offs.empty()) {
    log.remarks.emplace_back("no zero was read; taken as tared, so a drift could not be seen");
  } else {
    log.zero_drift_n = offs.back()->force_n.mean - offs.front()->force_n.mean;
  }
  if (offs.size() > 1) {
    log.remarks.push_back("the zero drifted by " + grams(log.zero_drift_n) +
                          " from the first to the last off plateau; it was taken off linearly "
                          "between neighbours");
  }
  find_ratio(options_, log);
  find_thrusts(options_, log);
  if (std::any_of(log.plateaus.begin(), log.plateaus.end(), [](const Plateau& plateau) {
        return plateau.kind == PlateauKind::on && plateau.force_n.samples == 1;
      })) {
    log.remarks.emplace_back("of a single reading the scatter is not known and was taken as 1 %");
  }
  if (log.settings.empty()) {
    throw NumericalError("the log has " + std::to_string(log.plateaus.size()) +
                         (log.plateaus.size() == 1 ? " plateau" : " plateaus") +
                         ", none of them with the fan on; if a column says what the fan was doing, "
                         "name it with --label-column");
  }
  return log;
}

ScaleLog reduce_scale_log(const std::filesystem::path& file,
                          const LogFormat& format,
                          const ScaleOptions& options) {
  LogFormat scale_format = format;
  scale_format.kind = LogKind::force;
  LogReader reader(file, scale_format);
  ScaleReducer reducer(options);
  while (const LogSample* sample = reader.next()) {
    reducer.add(*sample);
  }
  if (!reducer.any()) {
    std::vector<Finding> findings = reader.counts().first_faults;
    findings.push_back({{file, 0, 0}, "no row of the log holds a value"});
    throw SurveyError(std::move(findings));
  }
  ScaleLog log = reducer.finish();
  log.file = file;
  log.counts = reader.counts();
  return log;
}

}  // namespace sweepflux
