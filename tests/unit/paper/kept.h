#pragma once
/// Where a test's papers go: a private temporary folder, or the folder that LEEWARD_KEEP names, to be looked at.
#include <cstdlib>
#include <filesystem>
#include <string>

#include "shared/base/files.h"

namespace leeward::test {

inline std::filesystem::path paperFile(const std::string& name) {
  static const TemporaryFolder temporary;
  const char* kept = std::getenv("LEEWARD_KEEP");
  return (kept != nullptr ? std::filesystem::path(kept) : temporary.path()) / name;
}

/// What a command prints; "" if it can't run.
inline std::string outputOf(const std::string& command) {
  std::string text;
  if (FILE* pipe = popen(command.c_str(), "r")) {
    char piece[4096];
    for (std::size_t n = 0; (n = fread(piece, 1, sizeof piece, pipe)) > 0;) text.append(piece, n);
    pclose(pipe);
  }
  return text;
}

}  // namespace leeward::test
