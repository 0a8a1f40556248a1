#pragma once
/// The doors to knock today: for so many hours and crews, in order of worth within near blocks.
///
/// Greedy: each crew, one after the other, drives to the block whose best doors are worth most per minute from where it
/// stands, walks them (nearest neighbour and 2-opt), and goes on while time is left to drive back to the start. A door's
/// worth is its expected unmet dogs in need by the chance that a knock meets them (UnmetEstimate::door_meeting). Doors asked not to return, vacant doors and doors that expect nothing are
/// left out; no door is given to two crews; the minutes said never exceed the hours. From door to door a crew goes on foot or
/// by van, whichever is quicker; fetching a van left some steps behind is not counted.
#include <optional>
#include <string>
#include <vector>

#include "analysis/coverage/states.h"
#include "analysis/need/outing.h"
#include "analysis/need/unmet.h"

namespace leeward::analysis {

struct DoorRequest {
  Outing outing;  ///< hours: of each crew
  int crews = 1;
};

/// One row a door, in order: crew after crew, each in walking order.
struct DoorRounds {
  std::vector<int> crew;   ///< 1-based
  std::vector<int> order;  ///< 1-based within the crew
  std::vector<std::int32_t> door, block;
  std::vector<double> chance_unmet;      ///< chance of at least one unmet dog
  std::vector<double> unmet_in_need;     ///< expected to be there
  std::vector<double> minutes;           ///< getting there from the door before (or the start), the door, expected visit
  std::vector<std::optional<Date>> due;  ///< earliest day on which a dog known there is due
  std::vector<std::string> because;
  // One entry a crew.
  std::vector<double> crew_minutes;  ///< the way back to the start included; at most hours x 60
  std::vector<double> crew_unmet_in_need;
  std::size_t size() const { return door.size(); }
};

/// Zero hours or crews with nothing to do give no rows. InvalidArgument for negative hours, crews below 1, or times and
/// speeds that aren't positive.
Result<DoorRounds> doorsToKnock(const Record& record, const Coverage& coverage, const UnmetEstimate& estimate,
                                const DoorRequest& request, Progress& progress);

}  // namespace leeward::analysis
