#pragma once
/// Files whose first line holds no headings: a title above them, or values at once.
#include "importers/source.h"

namespace leeward::importers {

/// A problem about a column that was not found, with what the first rows say of it: headings that stand further down (their line), or a
/// first line of values. Else as it was.
Problem withHeadingHint(Problem problem, Kind kind, const Table& table);

}  // namespace leeward::importers
