#pragma once
/// What is on record of premises, look by look: what stands behind every number of a door or a block.
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/table/table.h"

namespace leeward::study {

struct HistoryRequest {
  std::filesystem::path folder;
  std::vector<std::string> premises;  ///< ids of the premises layer or of the ledger
  std::vector<std::string> looks;     ///< the ledger's ids: these looks alone, wherever they were, without a word on premises
};

struct AnimalCard {
  std::string name, kind, sex, altered, first_met, last_seen;  ///< days as ISO; "" = unknown, or never met
};

struct History {
  /// One row a look, the latest first: date, address (private), crew, what (knock, welcomed: what happened), detail (animals, checks, what was done, promised,
  /// outcome; a line each, private), premises_id.
  Table looks;
  std::vector<AnimalCard> animals;
  std::string permission;  ///< the latest, in words; "" = none on record
  std::string hazard;      ///< private; "" = none
  std::string asked_not_to_return;  ///< ISO day; "" = nobody did
};

/// Reads the ledger alone. Premises that nobody looked at have no rows.
Result<History> historyOf(const HistoryRequest& request, Progress& progress);

}  // namespace leeward::study
