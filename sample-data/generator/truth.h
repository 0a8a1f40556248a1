#pragma once
/// What only tests read, and the crew's files with their few bad rows.
#include "sample-data/generator/crews.h"
#include "sample-data/generator/public_files.h"

namespace leeward::town {

/// visits.csv and sightings.csv with bad rows at their end; truth/bad_rows.csv lists those.
void addCrewFiles(const Record& record, const std::vector<SightingRow>& sightings, Files& files);
/// truth/animals.csv, truth/visits_truth.csv, truth/sightings_truth.csv, truth/blocks.csv.
void addTruth(const Town& town, const Population& population, const Record& record, const std::vector<SightingRow>& sightings, Files& files);

}  // namespace leeward::town
