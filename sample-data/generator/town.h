#pragma once
/// The town as its public files describe it: street segments with ranges, doors, blocks in groups.
#include <string>
#include <vector>

#include "sample-data/generator/plan.h"

namespace leeward::town {

inline constexpr const char* kCity = "Tolverwick";
inline constexpr const char* kCounty = "Ardenquill County";
inline constexpr const char* kCountyPlace = "Ardenquill";  ///< postal place outside the city

/// House numbers on one side of a segment; 0, 0 = none.
struct Range {
  int from = 0;
  int to = 0;
};

/// A street between two corners, in the direction in which it was digitised.
struct Segment {
  int id = 0;
  int street = -1;
  Way way = Way::Local;
  Line line;
  std::string name;  ///< full, "N 3rd St"; "" for lanes
  Range left, right;
  std::string postcode_left, postcode_right;
};

/// An address point.
struct Door {
  std::string id;
  int number = 0;
  std::string suffix;  ///< "", " 1/2", "-A"
  std::string street;  ///< full
  std::string unit;    ///< "", "Apt 3", "Lot 12"
  std::string place, postcode;
  Point at;
  int block = -1;
  int segment = -1;
  bool home = true;  ///< somebody lives there
};

struct Block {
  std::string geoid;
  int group = -1;
  bool in_city = true;
  int people = 0;
  int housing = 0;
  double poverty = 0;  ///< share, known to the generator only
  double heat = 0;     ///< °C above the open country, known to the generator only
};

struct Group {
  std::string geoid;  ///< 12 digits
  double poverty = 0;
  double renters = 0;
};

struct Town {
  Plan plan;
  std::vector<Segment> segments;
  std::vector<Door> doors;
  std::vector<Block> blocks;  ///< one a face of the plan, same order
  std::vector<Group> groups;
};

/// Names every street of the plan.
void nameStreets(Plan& plan, Random& random);
/// "N 3rd St": the direction depends on where along the street p is.
std::string fullName(const Street& street, Point p, bool east_west);

void numberStreets(Town& town, Random& random);
void parkAndCity(Town& town);
void groupBlocks(Town& town, Random& random);
/// The face that holds p, -1 outside.
int blockAt(const Town& town, Point p);
const char* postcodeAt(Point p);

Town buildTown(std::uint64_t seed);

}  // namespace leeward::town
