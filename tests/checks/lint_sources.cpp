#include <algorithm>
#include <array>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include "tests/checks/lint.h"

namespace leeward::checks {
namespace fs = std::filesystem;

std::vector<Source> readSources(const fs::path& root) {
  static constexpr std::array kTop = {"analysis", "importers", "viewer", "shared", "tests", "sample-data"};
  std::vector<Source> sources;
  for (const char* top : kTop) {
    if (!fs::is_directory(root / top)) continue;
    for (const auto& entry : fs::recursive_directory_iterator(root / top)) {
      const auto extension = entry.path().extension();
      if (!entry.is_regular_file() || (extension != ".h" && extension != ".cpp")) continue;
      std::ifstream in(entry.path(), std::ios::binary);
      std::ostringstream text;
      text << in.rdbuf();
      sources.push_back({fs::relative(entry.path(), root).generic_string(), std::move(text).str()});
    }
  }
  if (sources.empty()) throw std::runtime_error("no source files under " + root.string());
  std::ranges::sort(sources, {}, &Source::path);
  return sources;
}

std::vector<Fault> lengthFaults(const std::vector<Source>& sources) {
  std::vector<Fault> faults;
  for (const Source& source : sources) {
    const auto lines = static_cast<std::size_t>(std::ranges::count(source.text, '\n'));
    if (lines > kLongestFile) {
      faults.push_back({source.path, lines, "a file has at most " + std::to_string(kLongestFile) + " lines"});
    }
  }
  return faults;
}

}  // namespace leeward::checks
