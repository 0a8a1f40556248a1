#pragma once
/// From the importers' canonical layers to the reference that addresses are placed on.
#include <string>
#include <vector>

#include "analysis/place/address_index.h"
#include "shared/layer/layer.h"

namespace leeward::study {

/// premises: id, number, street, unit, place, postcode + points, in a plane frame in metres.
analysis::AddressPoints addressPoints(const Layer& premises);
/// streets: id, name, l_from, l_to, r_from, r_to, l_place, r_place, l_postcode, r_postcode, from_node, to_node + lines;
/// the optional ones may be absent.
analysis::StreetRanges streetRanges(const Layer& streets);
/// A column as texts, "" where missing; empty if there is no such column.
std::vector<std::string> textsOf(const Table& table, const std::string& column);

}  // namespace leeward::study
