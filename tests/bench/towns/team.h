#pragma once
/// A team in an invented town: what it knows, and what an outing brings. One honest model of time and movement for every policy.
///
/// The crew walks or drives from door to door, whichever is quicker, along ways 1.3 times the straight line (4 and 30 km/h, 3 minutes to park and get
/// under way). A door takes 4 minutes, a visit 25 more. It sets out from its base and goes on down its list as long as it could still be back in time;
/// a visit that was begun is finished, and those minutes count. Whoever is at home, welcomes and can be seen into is drawn by household and day alone,
/// so that two policies which knock at a door on the same day find the same there.
#include <vector>

#include "analysis/coverage/record.h"
#include "tests/bench/towns/town.h"

namespace leeward::bench {

struct Team {
  analysis::Record record;         ///< as_of is moved along by the caller
  std::vector<int> animal_of;      ///< per dog of the town: its animal, or -1
  std::vector<std::uint8_t> met;   ///< per dog
  std::size_t tips_heard = 0;
  // Counted since the year began.
  double crew_hours = 0;
  int doors_knocked = 0, newly_met = 0, newly_met_in_need = 0;
};

Team newTeam(const Town& town);

/// Tips up to and including that day become sightings; with `heard` false they pass unheard.
void hearTips(const Town& town, Team& team, Date until, bool heard = true);

/// The crew's day. Doors in order; what was found goes into the record.
void goOut(const Town& town, Team& team, Date day, const std::vector<int>& doors, double hours);

/// A year and a half of 4 crew-hours a week, half where dogs were found or told of, half near the base.
void liveHistory(const Town& town, Team& team);

double minutesBetween(Point from, Point to);

/// Per door, what simple policies go by.
struct DoorNews {
  std::vector<std::int32_t> last_look, last_answer;  ///< days since 1970; a very early day: none
  std::vector<int> leads;                            ///< animals seen there, never met, not known to be gone
  std::vector<std::uint8_t> closed;
};
DoorNews newsOf(const Team& team);
/// Dogs that looks have seen, per block.
std::vector<double> findsOf(const Team& team, Date since);

}  // namespace leeward::bench
