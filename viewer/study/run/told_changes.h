#pragma once
/// What changed, by area layer and period, kept in the cache.
#include <string>

#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/session.h"

namespace leeward::study {

/// changedTables() from the cache, or made and kept; of a session that only began: notKept() unless they are there.
Result<ChangedTables> toldChanges(Session& session, const std::string& by, Every every, Progress progress);

}  // namespace leeward::study
