#pragma once
/// A small invented town as findings: some 230 blocks with a river, parks, streets, doors, sightings and two years of
/// quarters, for tests of what is painted. Seeded; the numbers are believable and consistent, not computed by the analysis.
#include "viewer/study/findings.h"

namespace leeward::test {

study::Findings paperTown();

}  // namespace leeward::test
