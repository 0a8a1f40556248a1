#include <fmt/format.h>

#include "sample-data/generator/public_files.h"
#include "sample-data/generator/text.h"

namespace leeward::town {

namespace {

std::string number(int n) { return n == 0 ? std::string("null") : jsonText(std::to_string(n)); }

std::vector<Line> ringsOf(const Town& town, const std::vector<int>& marks, int mark) {
  std::vector<std::vector<int>> faces;
  for (const Face& face : town.plan.faces) faces.push_back(face.ring);
  std::vector<Line> out;
  for (const auto& ring : Network::outline(faces, marks, mark, town.plan.network.nodes)) out.push_back(town.plan.network.points(ring));
  return out;
}

template <class Mark>
std::vector<int> marksOf(const Town& town, Mark&& mark) {
  std::vector<int> out;
  for (std::size_t f = 0; f < town.plan.faces.size(); ++f) out.push_back(mark(f));
  return out;
}

void addStreets(const Town& town, Files& files) {
  Features streets("streets");
  for (const Segment& s : town.segments) {
    const char* mtfcc = s.way == Way::Main ? "S1200" : "S1400";
    streets.line(s.line, {{"TLID", std::to_string(s.id)},
                          {"LINEARID", jsonText(fmt::format("1109{:07}", s.street))},
                          {"FULLNAME", jsonText(s.name)},
                          {"LFROMADD", number(s.left.from)},
                          {"LTOADD", number(s.left.to)},
                          {"RFROMADD", number(s.right.from)},
                          {"RTOADD", number(s.right.to)},
                          {"ZIPL", jsonText(s.postcode_left)},
                          {"ZIPR", jsonText(s.postcode_right)},
                          {"MTFCC", jsonText(mtfcc)}});
  }
  for (const Chain& chain : town.plan.network.chains()) {  // private lanes have neither name nor numbers
    if (chain.way != Way::Lane) continue;
    streets.line(town.plan.network.points(chain.nodes),
                 {{"TLID", std::to_string(6190000 + chain.edges.front())}, {"LINEARID", "null"}, {"FULLNAME", "null"}, {"LFROMADD", "null"},
                  {"LTOADD", "null"}, {"RFROMADD", "null"}, {"RTOADD", "null"}, {"ZIPL", "null"}, {"ZIPR", "null"}, {"MTFCC", jsonText("S1780")}});
  }
  for (const Line& piece : clipped(town.plan.rail, town.plan.limits)) {
    streets.line(piece, {{"TLID", "6199999"}, {"LINEARID", "null"}, {"FULLNAME", jsonText("Vale Line")}, {"LFROMADD", "null"}, {"LTOADD", "null"},
                         {"RFROMADD", "null"}, {"RTOADD", "null"}, {"ZIPL", "null"}, {"ZIPR", "null"}, {"MTFCC", jsonText("R1011")}});
  }
  files["streets.geojson"] = streets.text();
}

void addBlocks(const Town& town, Files& files) {
  Features blocks("blocks");
  for (std::size_t b = 0; b < town.blocks.size(); ++b) {
    const Block& block = town.blocks[b];
    const bool water = town.plan.faces[b].zone == Zone::Water;
    const auto area = static_cast<long>(town.plan.faces[b].area_m2);
    blocks.area({town.plan.faces[b].outline},
                {{"GEOID20", jsonText(block.geoid)}, {"POP20", std::to_string(block.people)}, {"HOUSING20", std::to_string(block.housing)},
                 {"ALAND20", std::to_string(water ? 0 : area)}, {"AWATER20", std::to_string(water ? area : 0)}});
  }
  files["blocks.geojson"] = blocks.text();
  Features groups("block_groups");
  const auto marks = marksOf(town, [&](std::size_t b) { return town.blocks[b].group; });
  for (std::size_t g = 0; g < town.groups.size(); ++g) {
    const std::string& geoid = town.groups[g].geoid;
    groups.area(ringsOf(town, marks, static_cast<int>(g)),
                {{"GEOID", jsonText(geoid)}, {"NAMELSAD", jsonText("Block Group " + geoid.substr(11))}, {"TRACTCE", jsonText(geoid.substr(5, 6))}});
  }
  files["block_groups.geojson"] = groups.text();
}

void addContext(const Town& town, Files& files) {
  Features water("water");
  water.area(ringsOf(town, marksOf(town, [&](std::size_t f) { return town.plan.faces[f].zone == Zone::Water ? 1 : 0; }), 1),
             {{"name", jsonText("Tolver River")}});
  files["water.geojson"] = water.text();
  Features parks("parks");
  constexpr const char* kParkNames[] = {"Landing Green", "Market Square", "Bandstand Park", "Mill Race Park", "Long Meadow", "Ropewalk Park",
                                        "Ferry Common",  "Kiln Wood",     "Cotter Park",    "Low Bank",       "Swallow Green", "Old Fairground"};
  std::size_t park = 0;
  for (const Face& face : town.plan.faces) {
    if (face.zone == Zone::Park) parks.area({face.outline}, {{"name", jsonText(kParkNames[park++ % std::size(kParkNames)])}});
  }
  files["parks.geojson"] = parks.text();
  const auto city = marksOf(town, [&](std::size_t b) { return town.blocks[b].in_city ? 1 : 0; });
  Features boundary("city_boundary");
  boundary.area(ringsOf(town, city, 1), {{"name", jsonText(kCity)}});
  files["city_boundary.geojson"] = boundary.text();
  Features jurisdictions("jurisdictions");
  jurisdictions.area(ringsOf(town, city, 1), {{"id", jsonText("city")}, {"name", jsonText(fmt::format("City of {}", kCity))}});
  jurisdictions.area(ringsOf(town, city, 0), {{"id", jsonText("county")}, {"name", jsonText(fmt::format("{} outside the city", kCounty))}});
  files["jurisdictions.geojson"] = jurisdictions.text();
}

void addRules(Files& files) {
  Csv rules({"jurisdiction", "rule", "value", "unit", "words", "read_on", "source"});
  const std::string source = "invented for this sample; no real code";
  const auto rule = [&](const char* where, const char* name, const char* value, const char* measure, const char* words) {
    rules.row({where, name, value, measure, words, "2025-01-15", source});
  };
  rule("city", "tether_hours_longest", "9", "hours a day", "No dog is tied out for more than nine hours in any day.");
  rule("city", "tether_length_least", "3.6", "m", "A tie-out is at least twelve feet long and runs free.");
  rule("city", "tether_kind_barred", "logging or tow chain", "", "Heavy chain may not be used.");
  rule("city", "indoors_above", "32", "°C", "Dogs are brought in, or given shade and water, above ninety Fahrenheit.");
  rule("city", "indoors_below", "0", "°C", "Dogs are brought in, or given a house with bedding, at freezing.");
  rule("city", "house", "required", "", "A house has a roof, four walls and a floor off the ground.");
  rule("city", "pen_area_least", "9", "m2", "A pen is at least a hundred square feet for each dog.");
  rule("county", "tether_hours_longest", "14", "hours a day", "No dog is tied out for more than fourteen hours in any day.");
  rule("county", "tether_length_least", "3", "m", "A tie-out is at least ten feet long.");
  rule("county", "house", "required", "", "Dogs outdoors have shelter from rain and wind.");
  rule("county", "water", "required", "", "Clean water is there at all times.");
  files["rules.csv"] = rules.text();
}

}  // namespace

void addMaps(const Town& town, Files& files) {
  Csv points({"id", "number", "street", "unit", "place", "postcode", "lon", "lat"});
  for (const Door& d : town.doors) {
    const Point at = lonLat(d.at);
    points.row({d.id, std::to_string(d.number) + d.suffix, d.street, d.unit, d.place, d.postcode, degrees(at.x), degrees(at.y)});
  }
  files["address_points.csv"] = points.text();
  addStreets(town, files);
  addBlocks(town, files);
  addContext(town, files);
  addRules(files);
}

}  // namespace leeward::town
