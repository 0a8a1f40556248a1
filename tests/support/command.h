#pragma once
/// Runs the built command as a person would, and catches what it says.
#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace leeward::test {

struct Ran {
  int status = -1;   ///< exit status; -signal if it was killed
  std::string out;   ///< standard output
  std::string err;   ///< standard error
  double seconds = 0;
  double peak_bytes = 0;  ///< the most memory that it held (resident)
};

/// The `leeward` that was built beside these tests, with TZ=UTC and the given further environment.
Ran leeward(const std::vector<std::string>& arguments, const std::map<std::string, std::string>& environment = {});
Ran runProgram(const std::filesystem::path& program, const std::vector<std::string>& arguments, const std::map<std::string, std::string>& environment = {});
std::filesystem::path builtProgram(const std::string& name);

/// Writes text to a file and gives its path.
std::string put(const std::filesystem::path& file, std::string_view text);

}  // namespace leeward::test
