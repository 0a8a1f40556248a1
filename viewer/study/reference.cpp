#include "viewer/study/reference.h"
#include "shared/base/missing.h"

#include <limits>
#include <string>
#include <vector>

namespace leeward::study {

std::vector<std::string> textsOf(const Table& table, const std::string& name) {
  const Column* column = table.find(name);
  std::vector<std::string> texts;
  if (column == nullptr) return texts;
  texts.reserve(column->size());
  for (std::size_t row = 0; row < column->size(); ++row) texts.push_back(column->asText(row));
  return texts;
}

analysis::AddressPoints addressPoints(const Layer& premises) {
  const Table& table = premises.table;
  analysis::AddressPoints points{.id = textsOf(table, "id"),
                                 .number = textsOf(table, "number"),
                                 .street = textsOf(table, "street"),
                                 .unit = textsOf(table, "unit"),
                                 .place = textsOf(table, "place"),
                                 .postcode = textsOf(table, "postcode"),
                                 .position = {}};
  points.position.reserve(premises.rows());
  for (std::size_t row = 0; row < premises.rows(); ++row) {
    const bool there = premises.hasGeometry() && premises.geometry.hasVertex(row);
    points.position.push_back(there ? premises.geometry.point(row) : Point{kNan, kNan});
  }
  return points;
}

analysis::StreetRanges streetRanges(const Layer& streets) {
  const Table& table = streets.table;
  return {.id = textsOf(table, "id"),
          .name = textsOf(table, "name"),
          .l_from = textsOf(table, "l_from"),
          .l_to = textsOf(table, "l_to"),
          .r_from = textsOf(table, "r_from"),
          .r_to = textsOf(table, "r_to"),
          .l_place = textsOf(table, "l_place"),
          .r_place = textsOf(table, "r_place"),
          .l_postcode = textsOf(table, "l_postcode"),
          .r_postcode = textsOf(table, "r_postcode"),
          .lines = streets.geometry,
          .from_node = textsOf(table, "from_node"),
          .to_node = textsOf(table, "to_node")};
}

}  // namespace leeward::study
