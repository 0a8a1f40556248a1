#include "sample-data/generator/picture.h"

#include <fmt/format.h>

namespace leeward::town {

namespace {
std::string path(const Line& line, bool closed) {
  std::string d;
  for (std::size_t i = 0; i < line.size(); ++i) d += fmt::format("{}{:.0f} {:.0f}", i == 0 ? "M" : "L", line[i].x + 3150, 2600 - line[i].y);
  return d + (closed ? "Z" : "");
}
const char* colour(Zone zone) {
  switch (zone) {
    case Zone::Centre: return "#f0d8c0";
    case Zone::Inner: return "#f5ecd0";
    case Zone::Suburb: return "#eef2dc";
    case Zone::Trailer: return "#e8c8e0";
    case Zone::Industry: return "#d8d8e4";
    case Zone::Park: return "#c4e0b4";
    case Zone::Field: return "#f6f6ee";
    case Zone::Water: return "#b0d0ec";
  }
  return "#ffffff";
}
}  // namespace

std::string picture(const Plan& plan, const std::vector<Point>& dots) {
  std::string svg = "<svg xmlns='http://www.w3.org/2000/svg' width='1560' height='1300' viewBox='0 0 6300 5200'><rect width='6300' height='5200' fill='#fff'/>";
  for (const Face& face : plan.faces) {
    svg += fmt::format("<path d='{}' fill='{}' stroke='#c0b0a0' stroke-width='3'/>", path(face.outline, true), colour(face.zone));
  }
  for (const Edge& edge : plan.network.edges) {
    if (edge.gone) continue;
    const Line line{plan.network.nodes[static_cast<std::size_t>(edge.a)], plan.network.nodes[static_cast<std::size_t>(edge.b)]};
    const char* stroke = edge.way == Way::Rail ? "#333" : edge.way == Way::Main ? "#c06020" : edge.way == Way::Bank ? "#4080c0" : "#777";
    svg += fmt::format("<path d='{}' stroke='{}' stroke-width='{}' fill='none'/>", path(line, false), stroke,
                       edge.way == Way::Main ? 16 : edge.way == Way::Local || edge.way == Way::Lane ? 9 : 7);
  }
  for (Point p : dots) svg += fmt::format("<circle cx='{:.0f}' cy='{:.0f}' r='5' fill='#202080'/>", p.x + 3150, 2600 - p.y);
  return svg + "</svg>\n";
}

}  // namespace leeward::town
