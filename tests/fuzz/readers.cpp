#include "tests/fuzz/readers.hpp"

#include "sweepflux/capture/log/read_log.hpp"
#include "sweepflux/capture/survey/read_session.hpp"
#include "sweepflux/capture/log/read_steps.hpp"
#include "sweepflux/capture/survey/read_campaign_file.hpp"
#include "sweepflux/capture/survey/read_survey.hpp"
#include "sweepflux/capture/survey/sweep_file_private.hpp"
#include "sweepflux/record/summary.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fcntl.h>
#include <filesystem>
#include <fstream>
#include <set>
#include <stdexcept>
#include <sys/stat.h>
#include <unistd.h>

namespace sweepflux::test {
namespace {

namespace fs = std::filesystem;

void promise(bool kept, const char* what) {
  if (!kept) {
    throw std::logic_error(std::string("broken promise: ") + what);
  }
}

void finite(double value, const char* what) {
  if (!std::isfinite(value)) {
    promise(false, (std::string(what) + " is not finite").c_str());
  }
}

/// A message must be one line that a terminal can show.
void one_line(const std::string& message) {
  promise(!message.empty(), "a fault has words");
  const bool plain = std::none_of(message.begin(), message.end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
  });
  bool control = false;
  for (std::size_t i = message.find('\xC2'); i != std::string::npos;
       i = message.find('\xC2', i + 1)) {
    const auto next = static_cast<unsigned char>(i + 1 < message.size() ? message[i + 1] : '\0');
    control |= next >= 0x80 && next <= 0x9f;
  }
  if (!plain || control) {
    promise(false, ("message is one line without control characters: " + message).c_str());
  }
}

/// A folder in memory with one file that is written anew for each try.
class MemoryFile {
 public:
  explicit MemoryFile(const char* name) {
    std::string pattern = fs::is_directory("/dev/shm") ? "/dev/shm" : "/tmp";
    pattern += "/sweepflux-fuzz-XXXXXX";
    promise(::mkdtemp(pattern.data()) != nullptr, "a folder can be made");
    folder_ = pattern;
    path_ = folder_ / name;
    handle_ = ::open(path_.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    promise(handle_ >= 0, "a file can be made");
  }
  ~MemoryFile() {
    ::close(handle_);
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
  }
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;

  const fs::path& fill(std::string_view bytes) {
    const auto count = static_cast<ssize_t>(bytes.size());
    promise(::pwrite(handle_, bytes.data(), bytes.size(), 0) == count, "the file can be written");
    promise(::ftruncate(handle_, count) == 0, "the file can be cut");
    return path_;
  }

  bool put_beside(const char* name, std::string_view bytes) {
    std::ofstream(folder_ / name, std::ios::binary) << bytes;
    return true;
  }

 private:
  fs::path folder_;
  fs::path path_;
  int handle_ = -1;
};

void check_sweep(const Sweep& sweep) {
  promise(!sweep.readings.empty() || !sweep.left_out.empty(), "a sweep holds something");
  finite(sweep.distance_m, "distance");
  finite(sweep.height_m, "height");
  std::set<std::size_t> lines;
  for (const Reading& reading : sweep.readings) {
    finite(reading.position, "position");
    finite(reading.speed_m_s, "speed");
    finite(reading.spread_m_s.value_or(0.0), "spread");
    finite(reading.standard_error_m_s.value_or(0.0), "standard error");
    finite(reading.samples.value_or(0.0), "samples");
    finite(reading.dwell_s.value_or(0.0), "dwell");
    finite(reading.time_s.value_or(0.0), "time");
    promise(lines.insert(reading.line).second, "no line is read twice");
  }
  for (const LeftOut& row : sweep.left_out) {
    one_line(row.reason);
    promise(lines.insert(row.line).second, "a line is read or left out, not both");
  }
}

constexpr char small_sweep[] = "angle [deg],speed [m/s]\n-10,0.5\n0,2.1\n10,---\n12,0.4\n";

void check_survey(const Survey& survey) {
  finite(survey.air.temperature_k.value, "temperature");
  finite(survey.probe.head_diameter_m, "head");
  for (const Sweep& sweep : survey.sweeps) {
    check_sweep(sweep);
  }
  for (const Finding& remark : survey.remarks) {
    one_line(remark.message());
  }
}

void try_survey(std::string_view bytes) {
  static MemoryFile file("survey.toml");
  [[maybe_unused]] static const bool has_sweep = file.put_beside("s.csv", small_sweep);
  check_survey(read_survey(file.fill(bytes), {.sweeps_required = false}));
}

void try_campaign(std::string_view bytes) {
  static MemoryFile file("campaign.toml");
  [[maybe_unused]] static const bool has_sweep = file.put_beside("s.csv", small_sweep);
  static_cast<void>(is_campaign_file(file.fill(bytes)));
  const std::vector<Survey> campaign = read_campaign_file(file.fill(bytes), {.sweeps_required = false});
  promise(!campaign.empty(), "a campaign has a setting");
  for (const Survey& survey : campaign) {
    check_survey(survey);
  }
  const BalanceSession session = session_of(campaign);
  promise(!session.readings.empty(), "a session has readings");
}

/// The first byte chooses how the survey asks for the file.
void try_sweep(std::string_view bytes) {
  static MemoryFile file("sweep.csv");
  const unsigned choice = bytes.empty() ? 0U : static_cast<unsigned char>(bytes.front());
  SweepRequest request;
  request.file = file.fill(bytes.substr(bytes.empty() ? 0 : 1));
  request.file_text = "sweep.csv";
  if ((choice & 1U) == 0) {
    request.distance_m = 1.6;
    request.height_m = 0.92;
  }
  if ((choice & 2U) != 0) {
    request.label = "1";
  }
  if ((choice & 4U) != 0) {
    request.columns.headings["speed"] = "V [ft/min]";
    request.columns.missing_words = {"-999"};
  }
  Rig rig;
  rig.motion = (choice & 8U) != 0 ? Motion::traverse : Motion::swivel;
  StepSizes steps;
  if ((choice & 16U) != 0) {
    steps.angle_rad = 0.03;
    steps.length_m = 0.01;
  }
  Findings findings(50);
  std::vector<Finding> remarks;
  const SweepFileResult result = read_sweep_file(request, rig, steps, findings, remarks);
  for (const Finding& remark : remarks) {
    one_line(remark.message());
  }
  findings.throw_if_any();
  for (const NamedSweep& named : result.sweeps) {
    check_sweep(named.sweep);
  }
}

/// The first byte chooses what the log holds.
void try_log(std::string_view bytes) {
  static MemoryFile file("log.csv");
  const unsigned choice = bytes.empty() ? 0U : static_cast<unsigned char>(bytes.front());
  LogFormat format;
  format.kind = (choice & 1U) != 0 ? LogKind::force : LogKind::speed;
  format.motion = (choice & 2U) != 0 ? Motion::traverse : Motion::swivel;
  format.dates = (choice & 4U) != 0   ? DateOrder::day_first
                 : (choice & 8U) != 0 ? DateOrder::month_first
                                      : DateOrder::found;
  if ((choice & 16U) != 0) {
    format.rate_hz = 10.0;
  }
  LogReader log(file.fill(bytes.substr(bytes.empty() ? 0 : 1)), format);
  std::size_t given = 0;
  std::size_t good = 0;
  while (const LogSample* const sample = log.next()) {
    ++given;
    good += sample->fault == SampleFault::none ? 1U : 0U;
    promise(!std::isinf(sample->time_s), "a time is a number");
    promise(!std::isinf(sample->position), "a position is a number");
    promise(std::isfinite(sample->value) == (sample->fault == SampleFault::none),
            "a value stands where no fault is reported");
  }
  const LogCounts& counts = log.counts();
  promise(counts.rows == given + counts.undated, "every row is handed on or counted as undated");
  promise(
      counts.missing + counts.over_range + counts.under_range + counts.unreadable + good == given,
      "every row has a value or a counted fault");
}

void try_steps(std::string_view bytes) {
  static MemoryFile file("steps.csv");
  const bool across = !bytes.empty() && bytes.front() == 'a';
  for (const StepList& list :
       read_steps(file.fill(bytes), across ? Motion::traverse : Motion::swivel)) {
    promise(!list.stops.empty(), "a sweep of a list has stops");
    for (const StepRow& step : list.stops) {
      finite(step.position, "position");
      finite(step.start_s, "start");
      finite(step.settle_s, "settle");
      finite(step.dwell_s, "dwell");
    }
  }
}

void try_session(std::string_view bytes) {
  static MemoryFile file("session.toml");
  const BalanceSession session = read_session(file.fill(bytes));
  promise(!session.readings.empty(), "a session has readings");
  for (const SessionReading& block : session.readings) {
    promise(block.log || !block.on_n.empty(), "a block has readings or a log");
    for (const double value : block.on_n) {
      finite(value, "reading");
    }
    finite(block.zero_before_n, "zero");
    finite(block.zero_after_n, "zero");
  }
}

/// What was understood must come back the same from what we write of it.
void try_summary(std::string_view bytes) {
  const std::string first = summary_json(parse_summary(bytes, "summary.json"));
  const std::string second = summary_json(parse_summary(first, "written"));
  promise(first == second, "a summary read and written again stays as it is");
}

struct Reader {
  const char* name;
  void (*run)(std::string_view);
};

constexpr Reader readers[] = {{"survey", try_survey},
                              {"campaign", try_campaign},
                              {"sweep", try_sweep},
                              {"log", try_log},
                              {"steps", try_steps},
                              {"session", try_session},
                              {"summary", try_summary}};

}  // namespace

const std::vector<std::string>& reader_names() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> all;
    for (const Reader& reader : readers) {
      all.emplace_back(reader.name);
    }
    return all;
  }();
  return names;
}

void try_reader(std::string_view reader, std::string_view bytes) {
  for (const Reader& known : readers) {
    if (reader == known.name) {
      try {
        known.run(bytes);
      } catch (const SurveyError& error) {
        promise(!error.findings().empty(), "a refusal has a reason");
        for (const Finding& finding : error.findings()) {
          one_line(finding.message());
        }
      } catch (const Error& error) {
        one_line(error.what());
      }
      return;
    }
  }
  throw std::logic_error("no reader is called " + std::string(reader));
}

}  // namespace sweepflux::test
