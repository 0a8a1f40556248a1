#pragma once
/// Door sheets: what a crew carries, one card a door.
#include <filesystem>
#include <string>

#include "shared/base/dates.h"
#include "shared/base/progress.h"
#include "shared/table/table.h"
#include "viewer/sheets/paper.h"

namespace leeward::sheets {

struct DoorSheetRequest {
  std::filesystem::path file;  ///< .pdf
  std::string study;           ///< its name
  std::string crew;            ///< "Crew 1"; "" unknown
  Date as_of;
  double hours = 0;  ///< of the outing; 0 = not said
  PaperSize paper = PaperSize::A4;
};

struct DoorSheetDone {
  std::size_t pages = 0;
};

/// `doors`: one row a door in walking order: order, address, minutes, due, because, chance_unmet (0..1), premises_id, block_id;
/// and, where known, who, permission, hazard, bring (Text). Missing columns leave their line out; a missing hazard is written
/// as "none on record", which is not "none". Errors: InvalidArgument (ending), BadData (no address column), those of writePages.
Result<DoorSheetDone> writeDoorSheet(const Table& doors, const DoorSheetRequest& request, Progress& progress);

}  // namespace leeward::sheets
