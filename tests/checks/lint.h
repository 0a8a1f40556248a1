#pragma once
/// Checks that read the project's own source: who may include what, types of one name, length of files.
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace leeward::checks {

struct Fault {
  std::string file;      ///< relative to the root
  std::size_t line = 0;  ///< 1-based
  std::string rule;      ///< what is broken, in words
};

/// One source file, read whole.
struct Source {
  std::string path;  ///< relative to the root, '/' between folders
  std::string text;
};

/// All .h and .cpp under the house's top folders, by path. Throws std::runtime_error where there is none.
std::vector<Source> readSources(const std::filesystem::path& root);

/// Directions between rooms, where each library may be met, third-party headers in public headers, paths from the root.
std::vector<Fault> includeFaults(const std::vector<Source>& sources);
/// Types defined twice in one namespace: the linker takes one of two inline functions of the same name without a word.
/// A text scan: it knows namespaces, comments and strings, not macros. Unnamed namespaces are free, and so are different
/// test programs (folders under tests/), which are never linked together.
std::vector<Fault> typeFaults(const std::vector<Source>& sources);
/// Files of more than kLongestFile lines.
std::vector<Fault> lengthFaults(const std::vector<Source>& sources);
inline constexpr std::size_t kLongestFile = 400;

}  // namespace leeward::checks
