#include "viewer/sheets/hand_over.h"

#include <algorithm>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/hash.h"
#include "shared/base/seal.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"
#include "viewer/draw/theme_handed_over.h"
#include "viewer/draw/type.h"
#include "viewer/sheets/hand_over_words.h"
#include "viewer/sheets/pdf_pieces.h"
#include "viewer/sheets/sheet.h"
#include "viewer/sheets/workbook.h"
#include "viewer/study/hand_over/leak_check.h"
#include "viewer/study/made_files.h"
#include "viewer/study/run/rows.h"

namespace leeward::sheets {
namespace fs = std::filesystem;
namespace {

/// Files are made in a folder beside the target, which appears whole or not at all.
class FolderBeside {
 public:
  static Result<FolderBeside> make(const fs::path& target) {
    const auto is_free = [&] {
      std::error_code error;
      return !fs::exists(target, error) || (fs::is_directory(target, error) && fs::is_empty(target, error));
    };
    if (!is_free()) return Problem{ProblemCode::AlreadyExists, "there is something in this folder already", target.string(), "Name a new folder, so that nothing else leaves with the hand-over"};
    fs::path clean = target.lexically_normal();
    if (clean.filename().empty()) clean = clean.parent_path();
    const fs::path beside = clean.parent_path() / ("." + clean.filename().string() + "-" + newUuid());
    std::error_code error;
    fs::create_directory(beside, error);
    if (error) return Problem{ProblemCode::Io, "the folder can't be made (" + error.message() + ")", target.string(), "Check the folder that it is to lie in"};
    fs::permissions(beside, fs::perms::owner_all, error);
    return FolderBeside(clean, beside);
  }
  FolderBeside(FolderBeside&& other) noexcept : target_(std::move(other.target_)), beside_(std::exchange(other.beside_, {})) {}
  FolderBeside& operator=(FolderBeside&&) = delete;
  ~FolderBeside() {
    std::error_code error;
    if (!beside_.empty()) fs::remove_all(beside_, error);
  }
  const fs::path& path() const { return beside_; }
  Result<void> putInPlace(bool for_all) {
    std::error_code error;
    constexpr auto kFile = fs::perms::owner_read | fs::perms::owner_write, kOthers = fs::perms::group_read | fs::perms::others_read;
    for (const auto& file : fs::directory_iterator(beside_)) fs::permissions(file.path(), for_all ? kFile | kOthers : kFile, error);
    if (for_all) fs::permissions(beside_, fs::perms::owner_all | kOthers | fs::perms::group_exec | fs::perms::others_exec, error);
    fs::remove(target_, error);  // an empty one
    fs::rename(beside_, target_, error);
    if (error) return Problem{ProblemCode::Io, "the folder can't be put in its place (" + error.message() + ")", target_.string(), ""};
    beside_.clear();
    return {};
  }

 private:
  FolderBeside(fs::path target, fs::path beside) : target_(std::move(target)), beside_(std::move(beside)) {}
  fs::path target_, beside_;
};

/// What the map stands on: nothing of it is the team's.
study::Findings groundOf(const study::Findings& findings) {
  study::Findings ground;
  ground.name = findings.name, ground.crs = findings.crs, ground.as_of = findings.as_of, ground.improved_rule = findings.improved_rule;
  ground.blocks.geometry = findings.blocks.geometry;
  ground.streets = findings.streets;
  for (const auto& context : findings.context) {
    if (context.kind == "water" || context.kind == "park") ground.context.push_back(context);
  }
  ground.sources = findings.sources;
  return ground;
}

/// Where the map lies on its page.
Result<MapOnPage> writeFigures(const study::PreparedHandOver& prepared, const fs::path& folder, Progress& progress) {
  const auto& draft = prepared.draft;
  LEEWARD_TRY(writeFile(folder / "areas.csv", toCsv(draft.figures)));
  LEEWARD_TRY(writeTableWorkbook(draft.figures, "areas", folder / "areas.xlsx", false, progress));
  const study::Findings ground = groundOf(*prepared.run.findings);
  MapOnPage map{.view = {}, .frame = ground.crs};
  {
    const draw::PaintingApplication application;
    const auto theme = draw::handedOver(ground, draft.areas, draft.counts);
    LEEWARD_ASSIGN(sheet, writeOutsideSheet(ground, theme, {.kind = "", .file = folder / "area-map.pdf"}, progress));
    map.view = sheet.view;
  }
  if (draft.places.points.hasGeometry()) {
    LEEWARD_TRY(writeLayer(draft.places.points, folder / "places.geojson", progress));
    LEEWARD_TRY(writeLayer(draft.places.points, folder / "places.gpkg", progress));
  }
  LEEWARD_TRY(writeFile(folder / "read-me.txt", readMe(draft)));
  return map;
}

/// One sheet: looks, then checks, then referrals, each row saying what it is.
Result<void> writeCase(const study::HandOverDraft& draft, const fs::path& folder, Progress& progress) {
  const Table rows = caseTable(draft);
  LEEWARD_TRY(writeTableWorkbook(rows, "case", folder / "case.xlsx", true, progress));
  return writeFile(folder / "read-me.txt", readMe(draft), true);
}

std::vector<fs::path> filesIn(const fs::path& folder) {
  std::vector<fs::path> files;
  for (const auto& file : fs::directory_iterator(folder)) files.push_back(file.path());
  std::ranges::sort(files);
  return files;
}

/// The last gate; there is no switch to open it.
Result<std::vector<std::string>> gate(const study::HandOverDraft& draft, const fs::path& folder, const MapOnPage& map, Progress& progress) {
  const auto read_pdf = [&map](const fs::path& file) { return pdfPiecesOfMap(file, map); };
  LEEWARD_ASSIGN(report, study::checkForLeaks(filesIn(folder), draft.facts, read_pdf, progress));
  if (report.leaks.empty()) return report.warnings;
  std::vector<std::string> lines;
  constexpr std::size_t kShown = 10;
  for (std::size_t i = 0; i < std::min(kShown, report.leaks.size()); ++i) lines.push_back(report.leaks[i].text());
  if (report.leaks.size() > kShown) lines.push_back(fmt::format("{} more", report.leaks.size() - kShown));
  return Problem{ProblemCode::BadData, "the files would give a client away, so nothing was handed over: " + join(lines, "; "), "", "Take out what says it (a label, an area's name, a study's name) and hand over again"};
}

Result<std::string> writeReport(const study::PreparedHandOver& prepared, const fs::path& folder, const std::vector<std::string>& warnings, const fs::path& asked) {
  if (isSealed(prepared.run.study.ledger()) && asked.empty()) return std::string{};
  if (!asked.empty()) {
    LEEWARD_TRY(writeFile(asked, leadsReport(prepared.draft, folder.filename().string(), warnings), true));
    return asked.string();
  }
  const fs::path out = prepared.run.study.out();
  std::error_code error;
  fs::create_directories(out, error);
  fs::permissions(out, fs::perms::owner_all, error);
  const fs::path file = out / fmt::format("withheld-{}-{}.txt", prepared.draft.audience, toIso(prepared.draft.as_of));
  LEEWARD_TRY(writeFile(file, leadsReport(prepared.draft, folder.filename().string(), warnings), true));
  return file.string();
}

}  // namespace

Result<HandOverDone> handOver(const study::HandOverRequest& request, const fs::path& folder, Progress& progress) {
  if (!request.report.empty()) LEEWARD_TRY(study::mayHoldPrivate(request.report));
  if (request.audience == "authority") LEEWARD_TRY(study::mayHoldPrivate(folder));
  LEEWARD_ASSIGN(beside, FolderBeside::make(folder));
  auto preparing = progress.part(0, 0.6), writing = progress.part(0.6, 0.85), checking = progress.part(0.85, 0.98), keeping = progress.part(0.98, 1);
  LEEWARD_ASSIGN(prepared, study::prepareHandOver(request, preparing));
  const auto& draft = prepared.draft;
  const bool is_case = draft.audience == "authority";
  writing.report(0, "Writing the hand-over");
  MapOnPage map;
  if (is_case) {
    LEEWARD_TRY(writeCase(draft, beside.path(), writing));
  } else {
    LEEWARD_ASSIGN(drawn, writeFigures(prepared, beside.path(), writing));
    map = drawn;
  }
  LEEWARD_ASSIGN(warnings, gate(draft, beside.path(), map, checking));
  HandOverDone done;
  std::vector<std::pair<std::string, std::string>> hashes;
  for (const auto& file : filesIn(beside.path())) {
    LEEWARD_ASSIGN(hash, sha256OfFile(file));
    hashes.emplace_back(file.filename().string(), hash);
    done.files.push_back((folder / file.filename()).string());
  }
  LEEWARD_ASSIGN(report, writeReport(prepared, folder, warnings, request.report));
  // Logged before it is put in place: a figure that is out but not on the list could be worked against later ones.
  LEEWARD_TRY(study::keepHandOver(prepared, hashes, keeping));
  LEEWARD_TRY(beside.putInPlace(!is_case));
  done.report = report, done.warnings = warnings;
  if (!is_case) {
    done.counts = draft.counts.area_id.size() * draft.counts.column.size() * study::kToldKinds.size();
    done.counts_withheld = study::withheldLines(draft.counts).size();
    done.places = draft.places.points.rows(), done.places_withheld = draft.places.withheld.size();
  }
  return done;
}

}  // namespace leeward::sheets
