#pragma once
/// Three years of looking: who went where, why, what was seen, done and written down.
#include <string>
#include <vector>

#include "sample-data/generator/dogs.h"
#include "sample-data/generator/public_files.h"
#include "sample-data/generator/typing.h"

namespace leeward::town {

/// One row of visits.csv before it is written, with what only the truth knows.
struct VisitRow {
  std::string visit_id;
  int door = -1;
  std::vector<std::string> slips;
  std::vector<std::string> fields;  ///< in the order of visitHeadings()
};
std::vector<std::string> visitHeadings();

struct Record {
  std::vector<VisitRow> visits;
  std::vector<char> looked;  ///< by door
};

/// Runs the three years day by day; `population` ends as it is on kLastDay.
Record keepRecord(const Town& town, Population& population, const std::vector<Day>& days, Random& random);

/// sightings.csv rows (drive-bys, callers, posts), in order of date.
struct SightingRow {
  int door = -1;  ///< -1: a dog that belongs nowhere in town
  std::vector<std::string> fields;
};
std::vector<std::string> sightingHeadings();
std::vector<SightingRow> sightings(const Town& town, const Population& population, const std::vector<char>& looked, Random& random);

}  // namespace leeward::town
