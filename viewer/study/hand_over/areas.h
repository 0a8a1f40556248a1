#pragma once
/// The areas by which figures leave the team: never smaller than a census tract.
#include <string>
#include <vector>

#include "viewer/study/run/context.h"

namespace leeward::study {

struct ToldAreas {
  std::string kind;   ///< layer of the study file: "areas"
  std::string words;  ///< "Census tracts"
  Layer layer;        ///< id, name; areas in the frame
  std::vector<std::int32_t> of_door;  ///< one a door, -1 = in none
  std::vector<std::string> remarks;
};

/// `by`: a kind of area layer; "" = census areas, else the study's changed_by, else the whole. Census block groups and blocks (ids of 12 and 15
/// digits) are gathered into their tracts (the first 11). Areas of under kFewDoors doors are gathered into one row. NotFound if the study has no
/// such layer; InvalidArgument for blocks whose ids tell no tract.
inline constexpr std::size_t kFewDoors = 100;  ///< common practice, no published source
Result<ToldAreas> toldAreas(const RunContext& context, const std::vector<Point>& doors, const std::string& by, Progress& progress);

}  // namespace leeward::study
