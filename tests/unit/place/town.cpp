#include "tests/unit/place/town.h"

namespace leeward::test {

void addPoint(analysis::AddressPoints& points, const std::string& number, const std::string& street, const std::string& place, Point at) {
  points.id.push_back("p" + std::to_string(points.id.size()));
  points.number.push_back(number);
  points.street.push_back(street);
  points.unit.push_back("");
  points.place.push_back(place);
  points.postcode.push_back(place == "Farside" ? "00002" : "00001");
  points.position.push_back(at);
}

void addRange(analysis::StreetRanges& ranges, const std::string& name, std::vector<std::string> left_right, std::vector<Point> line) {
  ranges.id.push_back("r" + std::to_string(ranges.id.size()));
  ranges.name.push_back(name);
  ranges.l_from.push_back(left_right[0]);
  ranges.l_to.push_back(left_right[1]);
  ranges.r_from.push_back(left_right[2]);
  ranges.r_to.push_back(left_right[3]);
  ranges.l_place.push_back("Nearside");
  ranges.r_place.push_back("Nearside");
  ranges.lines.addLine(line);
}

TownParts smallTown() {
  TownParts town;
  for (int number = 101; number <= 140; ++number) {
    if (number == 137) continue;
    const double side = number % 2 == 1 ? 12 : -12;
    addPoint(town.points, std::to_string(number), "Elm St", "Nearside", {(number - 100) * 5.0, side});
  }
  for (int number = 301; number <= 330; ++number) addPoint(town.points, std::to_string(number), "Oak Ave", "Nearside", {190, (number - 300) * 6.0});
  for (int number = 10; number <= 20; number += 2) {
    addPoint(town.points, std::to_string(number), "Birch Rd", "Nearside", {-500.0 + number, 400});
    addPoint(town.points, std::to_string(number), "Birch Ln", "Nearside", {900.0 + number, 400});
    addPoint(town.points, std::to_string(number), "Maple St", "Nearside", {-500.0 + number, 800});
    addPoint(town.points, std::to_string(number), "Maple St", "Farside", {5000.0 + number, 800});
    addPoint(town.points, std::to_string(number), "North St", "Nearside", {-500.0 + number, 1200});
    addPoint(town.points, std::to_string(number), "Stone Glen St", "Nearside", {-500.0 + number, 1600});
    addPoint(town.points, std::to_string(number), "Avenue B", "Nearside", {-500.0 + number, 2000});
  }
  addPoint(town.points, "41-A", "Sixth St", "Nearside", {0, 2400});
  addPoint(town.points, "41-B", "Sixth St", "Nearside", {80, 2400});
  addRange(town.ranges, "Elm St", {"101", "199", "100", "198"}, {{0, 0}, {200, 0}});
  addRange(town.ranges, "Elm St", {"201", "299", "200", "298"}, {{200, 0}, {400, 0}});
  addRange(town.ranges, "Oak Ave", {"301", "399", "300", "398"}, {{200, 0}, {200, 300}});
  return town;
}

}  // namespace leeward::test
