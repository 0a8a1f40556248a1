#pragma once
/// Finished files as anybody reads them.
#include <map>
#include <string>
#include <vector>

namespace red_team {

using Row = std::map<std::string, std::string>;
/// Rows by heading; quotes as in RFC 4180. Ends the program if the file can't be read.
std::vector<Row> readCsv(const std::string& file);

struct Place {
  double lon = 0, lat = 0;
};
std::vector<Place> readPoints(const std::string& geojson);

}  // namespace red_team
