#pragma once
/// The looks behind a count of what changed.
#include <vector>

#include "viewer/study/run/outcomes.h"

namespace leeward::study {

/// A row a thing, by day: thingsBehind() in outcomes.h says the columns.
Table behindTable(const Book& book, const BookEvents& events, std::vector<analysis::CountedThing> things);

}  // namespace leeward::study
