#pragma once
/// What a Ledger holds. For shared/ledger/*.cpp only.
#include <memory>

#include "shared/ledger/ledger.h"
#include "shared/ledger/sqlite.h"

namespace leeward {

namespace ledger {
inline constexpr std::size_t kRowsBetweenReports = 1000;  // how often long writes say how far they are, and look for a stop
}

struct Ledger::Store {
  ledger::Database database;

  /// The open database, or a Problem once the ledger was closed or moved from.
  static Result<const ledger::Database*> of(const std::unique_ptr<Store>& store) {
    if (!store) return Problem{ProblemCode::Internal, "the ledger is closed", "", ""};
    return &store->database;
  }
};

}  // namespace leeward
