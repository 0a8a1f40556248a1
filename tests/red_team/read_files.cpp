#include "tests/red_team/read_files.h"

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include <nlohmann/json.hpp>

namespace red_team {
namespace {

std::string textOf(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) {
    std::fprintf(stderr, "red_team: %s can't be read\n", file.c_str());
    std::exit(3);
  }
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

std::vector<std::string> cellsOf(const std::string& line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    else if (c == ',' && !quoted) cells.emplace_back();
    else if (c != '\r') cells.back() += c;
  }
  return cells;
}

}  // namespace

std::vector<Row> readCsv(const std::string& file) {
  std::istringstream lines(textOf(file));
  std::string line;
  std::getline(lines, line);
  const auto headings = cellsOf(line);
  std::vector<Row> rows;
  while (std::getline(lines, line)) {
    const auto cells = cellsOf(line);
    Row& row = rows.emplace_back();
    for (std::size_t i = 0; i < headings.size() && i < cells.size(); ++i) row[headings[i]] = cells[i];
  }
  return rows;
}

std::vector<Place> readPoints(const std::string& geojson) {
  std::vector<Place> places;
  const auto root = nlohmann::json::parse(textOf(geojson));
  for (const auto& feature : root["features"]) places.push_back({feature["geometry"]["coordinates"][0], feature["geometry"]["coordinates"][1]});
  return places;
}

}  // namespace red_team
