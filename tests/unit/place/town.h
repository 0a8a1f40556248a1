#pragma once
/// A small invented town for placing tests: two streets that cross, a pair that differs in type alone, two places.
#include "analysis/place/address_index.h"

namespace leeward::test {

struct TownParts {
  analysis::AddressPoints points;
  analysis::StreetRanges ranges;
};

/// Elm St runs east along y = 0 from x = 0 (100 block, then 200 block), Oak Ave north along x = 200. Numbers rise by two
/// every 20 m, odd on the north side; 137 Elm St is missing from the points.
TownParts smallTown();
void addPoint(analysis::AddressPoints& points, const std::string& number, const std::string& street, const std::string& place, Point at);
void addRange(analysis::StreetRanges& ranges, const std::string& name, std::vector<std::string> left_right, std::vector<Point> line);

}  // namespace leeward::test
