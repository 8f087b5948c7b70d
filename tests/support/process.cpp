#include "tests/support/process.hpp"

#include "tests/support/shared_folder.hpp"

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <sys/resource.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace sweepflux::test {
namespace {

namespace fs = std::filesystem;

/// In the child: from here to the program.
[[noreturn]] void become(const fs::path& program,
                         const std::vector<std::string>& arguments,
                         const ProcessOptions& options,
                         const fs::path& out,
                         const fs::path& err) {
  if (!options.folder.empty() && ::chdir(options.folder.c_str()) != 0) {
    ::_exit(127);
  }
  for (const auto& [name, value] : options.environment) {
    ::setenv(name.c_str(), value.c_str(), 1);
  }
  const int out_file = ::open(out.c_str(), O_WRONLY | O_CREAT, 0666);
  const int err_file = ::open(err.c_str(), O_WRONLY | O_CREAT, 0666);
  if (out_file < 0 || err_file < 0) {
    ::_exit(127);
  }
  ::dup2(out_file, STDOUT_FILENO);
  ::dup2(err_file, STDERR_FILENO);
  if (options.most_file_bytes >= 0) {
    const rlimit limit{static_cast<rlim_t>(options.most_file_bytes),
                       static_cast<rlim_t>(options.most_file_bytes)};
    ::setrlimit(RLIMIT_FSIZE, &limit);
  }
  // A shell without job control lets what it starts in the background ignore Ctrl-C.
  ::signal(SIGINT, SIG_DFL);
  std::vector<char*> argv;
  std::string name = program.string();
  argv.push_back(name.data());
  for (const std::string& argument : arguments) {
    argv.push_back(const_cast<char*>(argument.c_str()));
  }
  argv.push_back(nullptr);
  ::execv(program.c_str(), argv.data());
  ::_exit(127);
}

/// Whether a process has a handler of its own for Ctrl-C [proc(5), SigCgt].
bool listens_for_interrupt(pid_t process) {
  std::ifstream status("/proc/" + std::to_string(process) + "/status");
  for (std::string line; std::getline(status, line);) {
    if (line.rfind("SigCgt:", 0) == 0) {
      return ((std::stoull(line.substr(7), nullptr, 16) >> (SIGINT - 1)) & 1U) != 0;
    }
  }
  return false;
}

}  // namespace

ProcessResult run_process(const fs::path& program,
                          const std::vector<std::string>& arguments,
                          const ProcessOptions& options) {
  const fs::path scratch = scratch_folder();
  const fs::path out = options.out_to.empty() ? scratch / "out" : options.out_to;
  const fs::path err = scratch / "err";
  const pid_t child = ::fork();
  if (child < 0) {
    throw std::runtime_error("no process can be started");
  }
  if (child == 0) {
    become(program, arguments, options, out, err);
  }
  int status = 0;
  if (options.interrupt_when_listening) {
    while (::waitpid(child, &status, WNOHANG) == 0) {
      if (listens_for_interrupt(child)) {
        ::kill(child, SIGINT);
        break;
      }
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
  }
  ::waitpid(child, &status, 0);
  ProcessResult result;
  result.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  result.signal = WIFSIGNALED(status) ? WTERMSIG(status) : 0;
  result.out = options.out_to.empty() ? file_content(out) : "";
  result.err = file_content(err);
  return result;
}

std::map<std::string, std::string> files_below(const fs::path& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) {
      files[entry.path().lexically_relative(folder).string()] = file_content(entry.path());
    }
  }
  return files;
}

std::string file_content(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

}  // namespace sweepflux::test
