#pragma once
/// Addresses as they get typed in a moving van.
#include <string>
#include <vector>

#include "sample-data/generator/town.h"

namespace leeward::town {

struct Typed {
  std::string address, place, postcode;
  std::vector<std::string> slips;  ///< what went wrong, in words
};

/// One way of typing a door's address; some come out clean.
Typed typed(const Town& town, const Door& door, Random& random);

}  // namespace leeward::town
