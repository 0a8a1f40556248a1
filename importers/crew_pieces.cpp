#include "importers/crew_pieces.h"

#include <algorithm>
#include <utility>

namespace leeward::importers {

Result<CrewImport> importAll(CrewPieces& pieces, Progress& progress) {
  CrewImport import;
  ImportBatch piece;
  LEEWARD_ASSIGN(any, pieces.next(piece, progress));
  while (any) {
    if (!import.batch.rows.empty()) return Problem{ProblemCode::ResourceExhausted, "the file is too large to be held whole", pieces.head().file_name, "Take it in piece by piece"};
    import.batch = std::move(piece);
    piece = {};
    LEEWARD_ASSIGN(more, pieces.next(piece, progress));
    any = more;
  }
  auto refused = std::move(import.batch.report.refused);
  auto rows = std::move(import.batch.rows);
  import.batch = std::move(pieces.head());
  import.batch.rows = std::move(rows);
  import.batch.report.refused = std::move(refused);
  import.map = pieces.map();
  progress.report(1);
  return import;
}

}  // namespace leeward::importers
