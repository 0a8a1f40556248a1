#include "tests/support/command.h"

#include <chrono>
#include <cstdlib>
#include <fstream>

#include <fcntl.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "shared/base/files.h"

extern char** environ;

namespace leeward::test {

std::filesystem::path builtProgram(const std::string& name) {
  // Tests lie in BUILD/tests, programs in BUILD/bin.
  return std::filesystem::read_symlink("/proc/self/exe").parent_path().parent_path() / "bin" / name;
}

Ran leeward(const std::vector<std::string>& arguments, const std::map<std::string, std::string>& environment) {
  return runProgram(builtProgram("leeward"), arguments, environment);
}

Ran runProgram(const std::filesystem::path& program, const std::vector<std::string>& arguments, const std::map<std::string, std::string>& environment) {
  const TemporaryFolder folder;
  const auto out = folder.path() / "out", err = folder.path() / "err";
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&actions, 1, out.c_str(), O_WRONLY | O_CREAT, 0600);
  posix_spawn_file_actions_addopen(&actions, 2, err.c_str(), O_WRONLY | O_CREAT, 0600);
  std::vector<std::string> words{program.string()}, settings;
  words.insert(words.end(), arguments.begin(), arguments.end());
  for (char** entry = environ; *entry != nullptr; ++entry) {
    const std::string one = *entry;
    if (!environment.contains(one.substr(0, one.find('=')))) settings.push_back(one);
  }
  for (const auto& [name, value] : environment) settings.push_back(name + "=" + value);
  const auto pointers = [](std::vector<std::string>& texts) {
    std::vector<char*> list;
    for (auto& text : texts) list.push_back(text.data());
    list.push_back(nullptr);
    return list;
  };
  auto argv = pointers(words), envp = pointers(settings);
  const auto start = std::chrono::steady_clock::now();
  pid_t child = 0;
  Ran ran;
  if (posix_spawn(&child, program.c_str(), &actions, nullptr, argv.data(), envp.data()) == 0) {
    int status = 0;
    rusage usage{};
    wait4(child, &status, 0, &usage);
    ran.peak_bytes = 1024.0 * static_cast<double>(usage.ru_maxrss);
    ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }
  posix_spawn_file_actions_destroy(&actions);
  ran.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  ran.out = readFile(out).ok() ? *readFile(out) : "";
  ran.err = readFile(err).ok() ? *readFile(err) : "";
  return ran;
}

std::string put(const std::filesystem::path& file, std::string_view text) {
  std::ofstream(file, std::ios::binary) << text;
  return file.string();
}

}  // namespace leeward::test
