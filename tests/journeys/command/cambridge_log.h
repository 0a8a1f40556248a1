#pragma once
/// A log of visits that nobody made: real addresses of a city's open list, typed as crews type them in a van.
#include <map>
#include <string>

#include "shared/geo/geometry.h"
#include "shared/table/table.h"

namespace leeward::test {

struct InventedLog {
  std::string csv;                     ///< visits, one row an animal or look
  std::map<std::string, Point> where;  ///< visit_id -> longitude and latitude of the address that was meant
  std::size_t slips = 0;               ///< addresses that are typed otherwise than the list has them
};

/// `looks` looks over two years from July 2023, drawn from the addresses (full_address, lon, lat, parcel_area_m2) that stand in
/// the list only once. The same seed gives the same log.
InventedLog inventedLog(const Table& addresses, std::size_t looks, std::uint64_t seed);

}  // namespace leeward::test
