#pragma once
/// Number, street and the rest out of one full address of a reference list (not of a crew's typing: analysis/place
/// parses that).
#include <string>
#include <string_view>

namespace leeward::importers {

struct AddressParts {
  std::string number, street, unit, place, postcode;
};

/// "11-A Elm St Apt 2, Fairford, OH 45014" -> 11-A | Elm St | 2 | Fairford | 45014. Without a leading number all before the
/// first comma is the street.
AddressParts splitAddress(std::string_view text);

/// "11" with "A", "-A", "1/2" -> "11-A", "11-A", "11 1/2"; "1334.0" -> "1334"; "0" is no number.
std::string joinedNumber(std::string_view number, std::string_view suffix);

}  // namespace leeward::importers
