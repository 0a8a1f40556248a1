#pragma once
/// Map sheets: one page that answers one question, for the crew.
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "shared/base/progress.h"
#include "viewer/draw/map_view.h"
#include "viewer/draw/themes.h"
#include "viewer/sheets/paper.h"
#include "viewer/study/findings.h"

namespace leeward::sheets {

struct SheetKind {
  const char* name;   ///< as typed: "coverage"
  const char* words;  ///< one line of help
  draw::Question question;
};
/// coverage, next, need, sightings, changed.
const std::vector<SheetKind>& sheetKinds();

struct SheetRequest {
  std::string kind = "coverage";
  std::filesystem::path file;       ///< .pdf, .svg or .png
  PaperSize paper = PaperSize::A4;  ///< landscape
  int dpi = 300;                    ///< .png only; 72 to 600
  bool heat_beneath = false;        ///< need only
  bool looks_over = false;          ///< need only, without heat
};

struct SheetDone {
  std::string title, finding;
  std::size_t labels_left_out = 0;  ///< ranks and notes that found no room
  draw::MapView view;               ///< where the map lies on the page (points), in the findings' frame
};

/// Writes the page: title, finding, map, legend with classes, units and counts, n, scale bar, north, CRS, day of the figures,
/// sources with years, method, stamp. Errors: InvalidArgument (kind, dpi, ending), those of writePages.
Result<SheetDone> writeSheet(const study::Findings& findings, const SheetRequest& request, Progress& progress);

/// A page of a theme that leaves the team: the same parts, no stamp. What it shows must be fit for that. Errors: those of writePages.
Result<SheetDone> writeOutsideSheet(const study::Findings& findings, const draw::MapTheme& theme, const SheetRequest& request, Progress& progress);

/// "Address points 2025; Streets 2024 (public domain)": the sources with years and licences in one line.
QString sourceLine(const study::Findings& findings);

}  // namespace leeward::sheets
