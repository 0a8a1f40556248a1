#pragma once
/// Looks into a folder of files with whatever names and proposes what each is: how a first study begins.
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/base/result.h"

namespace leeward::study {

inline constexpr double kLikelyProposal = 0.5;  ///< below, Enter leaves the file aside where a person is asked
inline constexpr double kSureProposal = 0.75;  ///< from here on a proposal is taken without a question where nobody can be asked

struct Proposal {
  std::filesystem::path file;
  std::string layer;                  ///< in a file of several; "" else
  std::string kind;                   ///< as take-in names it; "" = nothing to propose
  double confidence = 0;
  std::string why;                    ///< "it has look, door_result, house"; of a file without kind: why there is none
  std::vector<std::string> shown;     ///< "address: 12 Oak St | 9 Elm Ave | 77 Birch Ct"
  std::vector<std::string> also;      ///< other kinds that it could be, surest first
  bool isSure() const { return !kind.empty() && confidence >= kSureProposal; }
  /// FILE or FILE#LAYER.
  std::string source() const { return layer.empty() ? file.string() : file.string() + "#" + layer; }
};

/// A proposal for every file in the folder (not in folders below it; side files of others left out), in the order in which they should be
/// taken in: public layers before the crew's files. A study has one file of each public kind: of several that are surely of it the newest
/// stands (by a year in its name, or headings such as GEOID20), then the largest; the others get their next likely kind, or none. NotFound
/// for the folder.
Result<std::vector<Proposal>> lookInto(const std::filesystem::path& folder, Progress& progress);

/// The same for files that a person picked; folders among them stand for the files in them.
Result<std::vector<Proposal>> lookAtFiles(const std::vector<std::filesystem::path>& picked, Progress& progress);

/// What a person should do next with this study: what is missing for a first map, else how to see it.
Result<std::vector<std::string>> nextSteps(const std::filesystem::path& study_folder);

}  // namespace leeward::study
