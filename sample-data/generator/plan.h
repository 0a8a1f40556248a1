#pragma once
/// The town's plan: river, rail, main roads drawn by hand; each quarter between them filled with streets of its own age.
#include <string>
#include <vector>

#include "sample-data/generator/network.h"
#include "shared/base/random.h"

namespace leeward::town {

enum class Zone : std::uint8_t { Centre, Inner, Suburb, Trailer, Industry, Park, Field, Water };

struct Street {
  std::string name;          ///< without direction and type: "Alder", "3rd"
  std::string type;          ///< as TIGER abbreviates it: "St"
  bool directional = false;  ///< N/S or E/W of the zero point stands before the name
  Zone zone = Zone::Field;
};

struct Face {
  std::vector<int> ring;  ///< nodes, counter-clockwise
  Line outline;
  Point inner;
  double area_m2 = 0;
  Zone zone = Zone::Field;
};

struct Plan {
  Network network;
  std::vector<Street> streets;
  std::vector<Face> faces;
  Line river;  ///< its middle line, from west to east
  Line rail;
  Line limits;
};

Plan drawPlan(Random& random);

inline constexpr double kRiverHalfWidth = 38;

}  // namespace leeward::town
