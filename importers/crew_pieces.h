#pragma once
/// A crew's file on its way into the ledger, whole or piece by piece.
#include <cstdint>
#include <string>

#include "importers/column_map.h"
#include "shared/base/dates.h"
#include "shared/base/progress.h"
#include "shared/geo/geometry.h"
#include "shared/ledger/ledger.h"

namespace leeward::importers {

/// What rows are held against.
struct StudyFrame {
  Bbox lon_lat;  ///< of the study, EPSG:4326; empty = unknown, then positions are only checked against the globe
  Date today;    ///< later dates are refused
  /// Columns as they were taken the last time, field -> heading: used where this file has that heading and the call doesn't say otherwise.
  Overrides remembered = {};
  bool anyway = false;  ///< take the file even if it looks like another kind, or like another place's
  bool is_local = false;  ///< a study in plane metres without a place: lon and lat columns hold x and y
};

struct CrewImport {
  ImportBatch batch;  ///< ready for Ledger::take; batch.report holds refused rows and remarks
  ColumnMap map;
};

/// Files of plain text up to so many bytes are held whole if nothing speaks against it; larger ones are always read in stretches.
/// Other formats have no stretches and are refused above it (ResourceExhausted): importers/FORMATS.md says what memory that takes.
constexpr std::uintmax_t kMostBytesWhole = 150'000'000;

/// The pieces of one file, in its order. What the file decides as a whole (columns by its first stretch; day or month first, zones, plus and
/// minus by all of it) is decided before the first piece, and rows of one look are never parted, so the pieces hold together what importVisits
/// and importSightings give at once. Errors of reading come from open functions and next() alike; what was given before is then to be thrown away.
class CrewPieces {
 public:
  virtual ~CrewPieces() = default;

  /// Kind, name, hash and columns. Its report is complete once next() has given false: rows read and kept, remarks (refused rows are in the
  /// pieces' reports, not here).
  virtual ImportBatch& head() = 0;
  virtual const ColumnMap& map() const = 0;
  /// Whether the file is given in one piece.
  virtual bool isWhole() const = 0;
  /// Fills piece.rows and piece.report.refused. false: there are no more rows.
  virtual Result<bool> next(ImportBatch& piece, Progress& progress) = 0;
};

/// The whole file at once.
Result<CrewImport> importAll(CrewPieces& pieces, Progress& progress);

}  // namespace leeward::importers
