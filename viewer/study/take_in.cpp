#include "viewer/study/take_in.h"

#include <algorithm>
#include <cstdint>
#include <memory>
#include <utility>

#include <fmt/format.h>

#include "importers/crew_pieces.h"
#include "importers/photos.h"
#include "importers/sightings.h"
#include "importers/source.h"
#include "importers/stock.h"
#include "importers/visits.h"
#include "shared/base/files.h"
#include "shared/base/seal.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"
#include "viewer/study/judge.h"
#include "viewer/study/made_files.h"
#include "viewer/study/refused_list.h"
#include "viewer/study/run/public_layers.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace fs = std::filesystem;
namespace {

/// The folder for lists of rows, made private; none for a sealed study unless it was named.
fs::path privateOut(const StudyFile& study, const fs::path& named) {
  if (named.empty() && isSealed(study.ledger())) return {};
  const fs::path out = named.empty() ? study.out() : named;
  std::error_code error;
  const bool made = fs::create_directories(out, error);
  if (named.empty() || made) fs::permissions(out, fs::perms::owner_all, error);
  return out;
}

/// refused-KIND.csv, for the crew alone; moves the rows into the report.
Result<std::string> writeRefused(const StudyFile& study, const TakeInRequest& request, RefusedList refused, RowReport& report) {
  if (refused.empty()) return std::string{};
  const fs::path folder = privateOut(study, request.lists);
  const fs::path file = folder.empty() ? folder : folder / ("refused-" + request.kind + ".csv");
  LEEWARD_TRY(refused.write(file, report));
  return file.string();
}

Result<std::string> writeRefused(const StudyFile& study, const TakeInRequest& request, RowReport& report) {
  RefusedList refused;
  LEEWARD_TRY(refused.add(std::move(report.refused)));
  report.refused.clear();
  return writeRefused(study, request, std::move(refused), report);
}

/// alike-KIND.csv, for the crew alone: rows that a person should look at.
Result<std::string> writeAlike(const StudyFile& study, const TakeInRequest& request, const TakenIn& taken) {
  const fs::path folder = privateOut(study, request.lists);
  if (folder.empty()) return std::string{};
  if (taken.alike.empty() && taken.gone.empty()) return std::string{};
  std::vector<std::string> row, why;
  for (const auto& one : taken.alike) row.push_back(one), why.emplace_back("came in now, but is like a row that was taken in before");
  for (const auto& one : taken.gone) row.push_back(one), why.emplace_back("is in the ledger, but no longer in this file");
  const fs::path file = folder / ("alike-" + request.kind + ".csv");
  LEEWARD_TRY(writeFile(file, toCsv(TableMaker{}.texts("row", row).texts("why", why).done()), true));
  return file.string();
}

/// [visits] columns of study.toml: what this file's columns were taken for.
Result<void> rememberColumns(const StudyFile& study, const std::string& kind, const importers::ColumnMap& map) {
  SourceTable table;
  if (const auto before = study.crew_columns.find(kind); before != study.crew_columns.end()) table.columns = before->second;
  const auto known = table.columns;
  for (const auto& pick : map.picks) table.columns[pick.field] = pick.heading;
  for (const auto& [name, value] : map.settings) table.columns[name] = value;
  if (table.columns == known) return {};
  LEEWARD_ASSIGN(text, readFile(study.file()));
  return writeFile(study.file(), withSource(text, kind, table));
}

using importers::CrewPieces;

/// A long text is read in stretches while what was read is written; but rows without ids can be held against earlier ones only as a whole.
constexpr std::size_t kStretchBytes = 2'000'000;

Result<std::unique_ptr<CrewPieces>> openPieces(const TakeInRequest& request, const StudyFile& study, const Ledger& ledger, const Bbox& extent, Progress& progress) {
  LEEWARD_ASSIGN(overrides, importers::parseOverrides(request.map));
  importers::StudyFrame frame{extent, today()};
  frame.anyway = request.anyway;
  frame.is_local = study.crs == "local";
  if (const auto columns = study.crew_columns.find(request.kind); columns != study.crew_columns.end()) frame.remembered = {columns->second.begin(), columns->second.end()};
  LEEWARD_ASSIGN(looks, ledger.count(Entity::Looks));
  const std::size_t stretch = looks == 0 || request.kind != "visits" ? kStretchBytes : 0;
  if (request.kind == "stock") return importers::openStock(request.file, overrides, frame, progress);
  return request.kind == "visits" ? importers::openVisits(request.file, overrides, frame, stretch, progress) : importers::openSightings(request.file, overrides, frame, stretch, progress);
}

/// Reads the pieces, keeps their refused rows for the list and judges the file: by its first piece, and by whether anything was of use.
class Intake {
 public:
  Intake(RunContext& context, const TakeInRequest& request, CrewPieces& pieces) : context_(context), request_(request), pieces_(pieces) {}

  Result<void> readFirst(Progress& progress) {
    LEEWARD_ASSIGN(any, pieces_.next(first_, progress));
    has_first_ = any;
    if (any && !request_.anyway) LEEWARD_TRY(checkStreets(context_, request_.file, first_, progress));
    return {};
  }

  Result<bool> next(ImportBatch& piece, Progress& progress) {
    bool any = std::exchange(has_first_, false);
    if (any) {
      piece = std::move(first_);
    } else {
      LEEWARD_ASSIGN(more, pieces_.next(piece, progress));
      any = more;
    }
    RowReport& whole = pieces_.head().report;
    if (any) {
      LEEWARD_TRY(refused_.add(piece.report.refused));
    } else if (whole.kept == 0) {
      whole.refused = refused_.held(), whole.refused_beyond = refused_.beyond();
      return noneUsable(whole);
    }
    return any;
  }

  RefusedList takeRefused() { return std::move(refused_); }

 private:
  RunContext& context_;
  const TakeInRequest& request_;
  CrewPieces& pieces_;
  ImportBatch first_;
  bool has_first_ = false;
  RefusedList refused_;
};

/// All of the file or nothing.
Result<TakenIn> takePieces(Ledger& ledger, CrewPieces& pieces, Intake& intake, Progress& progress) {
  if (pieces.isWhole()) {
    ImportBatch batch, none;
    LEEWARD_ASSIGN(any, intake.next(batch, progress));
    if (any) LEEWARD_TRY(intake.next(none, progress));
    auto rows = std::move(batch.rows);
    auto refused = std::move(batch.report.refused);
    batch = pieces.head();
    batch.rows = std::move(rows), batch.report.refused = std::move(refused);
    return ledger.take(batch, progress);
  }
  auto taken = ledger.take(pieces.head(), [&](ImportBatch& piece) { return intake.next(piece, progress); }, progress);
  if (!taken || !taken->same_file_before) return taken;
  while (true) {  // for the counts that are said of it
    ImportBatch piece;
    LEEWARD_ASSIGN(any, intake.next(piece, progress));
    if (!any) return taken;
  }
}

Result<TakeInOutcome> takeCrewFile(const TakeInRequest& request, const StudyFile& study, Progress& progress) {
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  Steps steps(study.cache());
  RunContext context{.study = study, .ledger = ledger, .steps = steps, .frame = {}, .as_of = today(), .layers = {}, .remarks = {}, .inputs = {}};
  LEEWARD_ASSIGN(extent, studyExtent(context, progress.part(0, 0.1)));
  if (study.crs == "local") LEEWARD_TRY(ledger.setSetting("positions", "local"));
  auto opening = progress.part(0.1, 0.3);
  LEEWARD_ASSIGN(known, ledger.count(Entity::Looks));
  LEEWARD_ASSIGN(pieces, openPieces(request, study, ledger, extent, opening));
  Intake intake(context, request, *pieces);
  auto reading = pieces->isWhole() ? progress.part(0.3, 0.5) : progress.part(0.3, 0.35);
  LEEWARD_TRY(intake.readFirst(reading));
  auto writing = pieces->isWhole() ? progress.part(0.5, 1) : progress.part(0.3, 1);
  LEEWARD_ASSIGN(taken, takePieces(ledger, *pieces, intake, writing));
  TakeInOutcome outcome;
  outcome.is_crew_file = true;
  outcome.taken = pieces->map().describe();
  outcome.ledger = taken;
  outcome.report = std::move(pieces->head().report);
  if (!pieces->isWhole() && known > 0 && request.kind == "visits" && !taken.same_file_before) {
    outcome.report.remarks.emplace_back("The file is too long to be held against earlier files row by row: a corrected row without visit_id stands beside the one that it corrects");
  }
  LEEWARD_TRY(ledger.close());
  LEEWARD_TRY(rememberColumns(study, request.kind, pieces->map()));
  LEEWARD_ASSIGN(refused, writeRefused(study, request, intake.takeRefused(), outcome.report));
  outcome.refused_file = refused;
  LEEWARD_ASSIGN(alike, writeAlike(study, request, outcome.ledger));
  outcome.alike_file = alike;
  return outcome;
}

/// Pictures: what and where they are goes into the ledger; the pictures stay as and where they are.
Result<TakeInOutcome> takePhotos(const TakeInRequest& request, const StudyFile& study, Progress& progress) {
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  Steps steps(study.cache());
  RunContext context{.study = study, .ledger = ledger, .steps = steps, .frame = {}, .as_of = today(), .layers = {}, .remarks = {}, .inputs = {}};
  LEEWARD_ASSIGN(extent, studyExtent(context, progress.part(0, 0.1)));
  importers::StudyFrame frame{extent, today()};
  frame.is_local = study.crs == "local";
  auto reading = progress.part(0.1, 0.8);
  auto read = importers::importPhotos(request.file, frame, reading);
  if (!read) return std::move(read).problem();
  TakeInOutcome outcome;
  outcome.is_crew_file = true;
  auto writing = progress.part(0.8, 1);
  LEEWARD_ASSIGN(taken, ledger.take(read->batch, writing));
  outcome.ledger = taken;
  outcome.report = std::move(read->batch.report);
  LEEWARD_TRY(ledger.close());
  LEEWARD_ASSIGN(refused, writeRefused(study, request, outcome.report));
  outcome.refused_file = refused;
  return outcome;
}

bool hasUnit(const std::string& kind) { return kind == "weather" || kind == "heat"; }

/// What the study file must say so that the next reading need not guess: columns, settings, system, unit, year. A heat layer has to say
/// what it measures: by --measures or by its name, else it is asked for.
Result<void> keepWhatWasFound(const TakeInRequest& request, importers::PublicLayer& read, SourceTable& source) {
  for (const auto& pick : read.map.picks) source.columns[pick.field] = pick.heading;
  for (const auto& [name, value] : read.map.settings) {
    if (name == "unit" && hasUnit(request.kind)) source.unit = value;
    else source.columns[name] = value;
  }
  source.meanings = read.meanings;
  if (source.crs.empty()) source.crs = read.crs;
  if (source.year.empty() && !read.year.empty()) {
    source.year = read.year;
    read.report.remarks.push_back(fmt::format("The figures and areas are taken to be of {}, as names in the file say; --year says otherwise", read.year));
  }
  if (request.kind != "heat") return {};
  if (source.unit.empty()) source.unit = read.unit;
  if (!source.kind.empty() && !isHeatKind(source.kind)) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is nothing that a heat layer measures", source.kind), "--measures", "Say land surface, air, index or proxy"};
  }
  if (!source.kind.empty()) return {};
  source.kind = read.heat_kind;
  if (source.kind.empty() && request.is_guided) {
    read.report.remarks.emplace_back("The layer does not say what it measures: set kind in study.toml (land surface, air, index or proxy)");
    return {};
  }
  if (source.kind.empty()) {
    return Problem{ProblemCode::BadData, "The layer does not say what it measures", request.file,
                   "Say it: --measures \"land surface\" (temperature of the ground, as satellites see it), air, index (heat index and the like) or proxy (paved share, tree canopy)"};
  }
  read.report.remarks.push_back(fmt::format("The layer is taken to measure: {}, as its name says; --measures says otherwise", source.kind));
  return {};
}

Result<TakeInOutcome> takeLayer(const TakeInRequest& request, const StudyFile& study, Progress& progress) {
  const std::string file = importers::fileOf(request.file);  // a # may belong to the name
  SourceTable source;
  const fs::path absolute = fs::absolute(file).lexically_normal();
  const fs::path relative = absolute.lexically_relative(fs::absolute(study.folder).lexically_normal());
  source.file = relative.empty() || relative.string().starts_with("..") ? absolute.string() : relative.string();
  if (file.size() < request.file.size()) source.layer = request.file.substr(file.size() + 1);
  source.crs = request.crs, source.kind = request.heat_kind, source.unit = request.unit;
  source.year = request.year, source.source = request.source, source.licence = request.licence;
  LEEWARD_ASSIGN(overrides, importers::parseOverrides(request.map));
  if (!request.unit.empty() && hasUnit(request.kind)) overrides["unit"] = request.unit;

  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  Steps steps(study.cache());
  RunContext context{.study = study, .ledger = ledger, .steps = steps, .frame = {}, .as_of = today(), .layers = {}, .remarks = {}, .inputs = {}};
  // A source that can't be read any more must not keep another from coming in.
  const auto extent = studyExtent(context, progress.part(0, 0.1), request.kind);
  auto reading = progress.part(0.1, 0.9);
  auto around = surroundingsOf(study, request.kind, extent ? *extent : Bbox{});
  around.anyway = request.anyway || !request.map.empty();
  auto read = importers::importPublic(*importerKind(request.kind), requestFor(study, source), overrides, around, reading);
  if (!read) return std::move(read).problem();
  if (!request.anyway) LEEWARD_TRY(checkLies(context, request.kind, request.file, read->layer, progress));
  LEEWARD_TRY(keepWhatWasFound(request, *read, source));
  TakeInOutcome outcome;
  outcome.taken = read->map.describe();
  outcome.report = std::move(read->report);
  if (!isRasterSource(study, request.kind, source)) {
    LEEWARD_ASSIGN(key, sourceKey(study, request.kind, source));
    LEEWARD_TRY(steps.product("source-" + request.kind, "Keeping " + request.kind, key, progress,
                              [&](Progress&) -> Result<Layer> { return std::move(read->layer); }));
  }
  LEEWARD_ASSIGN(text, readFile(study.file()));
  LEEWARD_TRY(writeFile(study.file(), withSource(text, request.kind, source)));
  LEEWARD_ASSIGN(refused, writeRefused(study, request, outcome.report));
  outcome.refused_file = refused;
  return outcome;
}

}  // namespace

Result<TakeInOutcome> takeIn(const TakeInRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(request.folder));
  LEEWARD_ASSIGN(lock, FolderLock::wait(request.folder, progress));
  if (!request.lists.empty()) LEEWARD_TRY(mayHoldPrivate(request.lists / "list.csv"));
  if (request.kind == "visits" || request.kind == "sightings" || request.kind == "stock") return takeCrewFile(request, study, progress);
  if (request.kind == "photos") return takePhotos(request, study, progress);
  if (request.kind == "tracks") {
    return Problem{ProblemCode::Unsupported, "tracks are not kept in the ledger yet; nothing was taken in", request.file,
                   "Marked points of a GPX go in as sightings (take-in DIR sightings FILE); bare verbs read a track as FILE#track_points"};
  }
  if (!importerKind(request.kind) || std::ranges::find(layerKinds(), request.kind) == layerKinds().end()) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is no kind of file that a study takes", request.kind), "KIND",
                   "Kinds are visits, sightings, stock, photos, " + join(layerKinds(), ", ")};
  }
  return takeLayer(request, study, progress);
}

std::vector<std::string> describe(const TakeInRequest& request, const TakeInOutcome& outcome) {
  std::vector<std::string> lines;
  for (const auto line : split(outcome.taken, '\n')) {
    if (!line.empty()) lines.push_back("  " + std::string(line));
  }
  const auto& report = outcome.report;
  if (outcome.is_crew_file && outcome.ledger.same_file_before) {
    lines.push_back("This file was taken in before; nothing was added.");
  } else if (outcome.is_crew_file) {
    const bool are_photos = request.kind == "photos";
    lines.push_back(fmt::format("{} of {} {} went in: {} new {}, {} changed, {} known before.", formatCount(static_cast<std::int64_t>(report.kept)),
                                formatCount(static_cast<std::int64_t>(report.read)), are_photos ? "files" : "rows", outcome.ledger.added, request.kind == "visits" ? "looks" : request.kind == "stock" ? "stock rows" : request.kind,
                                outcome.ledger.changed, outcome.ledger.known));
    const auto& taken = outcome.ledger;
    const std::string listed = outcome.alike_file.empty() ? "--lists FOLDER" : outcome.alike_file;
    if (taken.recognised > 0) {
      lines.push_back(fmt::format("{} of the changed ones were recognised as corrected rows of this file (no ids of their own; all but day, address or crew agree).", taken.recognised));
    }
    if (!taken.gone.empty()) {
      lines.push_back(fmt::format("Note: {} {} that came with this file before {} no longer in it. What stands in the ledger stays; see the list in {}. To take out all of an earlier file: leeward take-back {}",
                                  taken.gone.size(), taken.gone.size() == 1 ? "row" : "rows", taken.gone.size() == 1 ? "is" : "are", listed,
                                  request.folder.string()));
    }
    if (!taken.alike.empty()) {
      lines.push_back(fmt::format("Note: {} new {} like one taken in before (same day and address, same crew or dog). They are listed in {}; if they are the same visits, take one of the "
                                  "files back (leeward take-back {}) and give such rows the same visit_id.",
                                  taken.alike.size(), taken.alike.size() == 1 ? "row is" : "rows are", listed, request.folder.string()));
    }
  } else if (request.kind == "heat" && report.read == 0) {
    lines.push_back(fmt::format("{}: the raster is used.", layerLabel(request.kind)));
  } else {
    lines.push_back(fmt::format("{}: {} of {} rows are used.", layerLabel(request.kind), formatCount(static_cast<std::int64_t>(report.kept)), formatCount(static_cast<std::int64_t>(report.read))));
  }
  for (const auto& remark : report.remarks) lines.push_back("Note: " + remark);
  return lines;
}

}  // namespace leeward::study
