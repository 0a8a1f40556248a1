#pragma once
/// A typed line taken apart for placing: number, ways to read its street, town, postcode, unit.
#include <optional>
#include <string>
#include <vector>

#include "analysis/place/index_data.h"
#include "analysis/place/parse.h"
#include "analysis/place/place.h"

namespace leeward::analysis {

/// One way to read a street name out of the line.
struct StreetReading {
  StreetParts parts;
  int left_over = 0;        ///< words behind it that this reading does not explain
  std::string place;        ///< town that the words behind it name, comparable form; "" none
};

struct QueryPieces {
  AddressKind kind = AddressKind::Other;
  std::optional<HouseNumber> number;
  std::vector<StreetReading> plain;    ///< as the parser cut the line
  std::vector<StreetReading> further;  ///< cut elsewhere: towns without a comma, types that are slips, names that are types
  std::vector<StreetReading> second;   ///< of a crossing
  std::string place;                   ///< comparable form
  std::string postcode;                ///< first five
  std::string unit;                    ///< identifier only, upper case
};

QueryPieces takeApart(const IndexData& index, const PlaceQuery& query);
/// "Apt 4-B" -> "4B": the identifier alone, comparable.
std::string comparableUnit(std::string_view unit);

}  // namespace leeward::analysis
