#pragma once
/// The chance that a knock leads to the dogs of a door: somebody answers, the dogs are seen, and permission is given.
///
/// Households differ, and the same ones are out, or decline, time and again: a dog behind a door that has declined three times is worth less of an
/// hour than one behind a door that nobody has asked. Two beta-binomials (Skellam 1948, J. R. Stat. Soc. B 10:257), each a door's own record shrunk
/// to the town's: answers among knocks of which it is said whether somebody came; permissions among answered knocks at which dogs were seen. What an
/// answered knock sees of dogs that are there is the team's parameter for the season of the day after as_of. The chances serve the choice of doors alone;
/// no rate and no number of dogs rests on them.
#include <vector>

#include "analysis/coverage/record.h"

namespace leeward::analysis {

struct Meeting {
  std::vector<double> chance;   ///< one entry a door, 0..1: that a knock meets the dogs there, were there any
  double answers = 0.5;         ///< the town's: share of knocks that somebody answers
  double permits = 0.5;         ///< the town's: share of answered knocks with dogs seen that end in permission
  int knocks = 0, asked = 0;    ///< that the two rest on
};

/// Linear in the looks. The record must have passed checkRecord. Without a record each share starts at an assumed half.
Meeting meetingOf(const Record& record);

}  // namespace leeward::analysis
