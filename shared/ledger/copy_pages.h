#pragma once
/// Copies one database into another by SQLite's backup API. For shared/ledger/*.cpp only.
#include "shared/base/progress.h"
#include "shared/ledger/sqlite.h"

namespace leeward::ledger {

Result<void> copyPages(const Database& from, const Database& to, Progress& progress);

}  // namespace leeward::ledger
