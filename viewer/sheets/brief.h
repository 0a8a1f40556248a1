#pragma once
/// Briefs: reports of several pages in plain words, for the crew and the board that it reports to; stamped.
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "viewer/sheets/paper.h"
#include "viewer/study/findings.h"

namespace leeward::sheets {

struct BriefKind {
  const char* name;
  const char* words;
};
const std::vector<BriefKind>& briefKinds();  ///< board

struct BriefRequest {
  std::string kind = "board";
  std::filesystem::path file;       ///< .pdf
  PaperSize paper = PaperSize::A4;  ///< portrait
};

struct BriefDone {
  std::size_t pages = 0;
};

/// board: what was found and a small map; where next, with intervals and reasons; what changed, by area and quarter; how sure,
/// method, sources, cautions. Errors: InvalidArgument (kind, ending), those of writePages.
Result<BriefDone> writeBrief(const study::Findings& findings, const BriefRequest& request, Progress& progress);

}  // namespace leeward::sheets
