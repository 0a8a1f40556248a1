#include "sample-data/generator/text.h"

#include <fmt/format.h>

#include "shared/table/csv.h"

namespace leeward::town {

namespace {

std::string position(Point p) {
  const Point at = lonLat(p);
  return "[" + degrees(at.x) + "," + degrees(at.y) + "]";
}

std::string positions(const Line& line, bool closed) {
  std::string out = "[";
  for (std::size_t i = 0; i < line.size(); ++i) out += (i == 0 ? "" : ",") + position(line[i]);
  if (closed) out += "," + position(line.front());
  return out + "]";
}

}  // namespace

void Csv::row(const std::vector<std::string>& fields) {
  for (std::size_t i = 0; i < fields.size(); ++i) text_ += (i == 0 ? "" : ",") + csvField(fields[i]);
  text_ += '\n';
}

std::string jsonText(std::string_view text) {
  std::string out = "\"";
  for (char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + "\"";
}

std::string degrees(double value) { return fmt::format("{:.6f}", value); }

Features::Features(std::string_view name)
    : text_("{\"type\":\"FeatureCollection\",\"name\":" + jsonText(name) + ",\"features\":[") {}

void Features::begin(const Properties& properties) {
  text_ += first_ ? "\n" : ",\n";
  first_ = false;
  text_ += "{\"type\":\"Feature\",\"properties\":{";
  for (std::size_t i = 0; i < properties.size(); ++i) {
    text_ += (i == 0 ? "" : ",") + jsonText(properties[i].first) + ":" + properties[i].second;
  }
  text_ += "},\"geometry\":";
}

void Features::line(const Line& line, const Properties& properties) {
  begin(properties);
  text_ += "{\"type\":\"LineString\",\"coordinates\":" + positions(line, false) + "}}";
}

void Features::area(const std::vector<Line>& rings, const Properties& properties) {
  begin(properties);
  std::vector<std::string> polygons;
  std::vector<Line> outers;
  for (const Line& ring : rings) {
    if (signedArea(ring) <= 0) continue;
    outers.push_back(ring);
    polygons.push_back(positions(ring, true));
  }
  for (const Line& ring : rings) {
    if (signedArea(ring) > 0) continue;
    Line turned_round(ring.rbegin(), ring.rend());
    const Point within = innerPoint(turned_round);
    for (std::size_t k = 0; k < outers.size(); ++k) {
      if (inside(outers[k], within)) polygons[k] += "," + positions(ring, true);
    }
  }
  if (polygons.size() == 1) {
    text_ += "{\"type\":\"Polygon\",\"coordinates\":[" + polygons[0] + "]}}";
    return;
  }
  text_ += "{\"type\":\"MultiPolygon\",\"coordinates\":[";
  for (std::size_t k = 0; k < polygons.size(); ++k) text_ += (k == 0 ? "[" : ",[") + polygons[k] + "]";
  text_ += "]}}";
}

}  // namespace leeward::town
