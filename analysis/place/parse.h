#pragma once
/// Splitting an address as typed into the elements of FGDC-STD-016-2011 (United States Thoroughfare, Landmark, and
/// Postal Address Data Standard), and writing it the way USPS Publication 28 (Postal Addressing Standards) does.
///
/// Text is UTF-8; bytes that aren't are kept as they are and never interpreted. Time is linear in the length. Any
/// string is accepted: what can't be read as an address becomes NotAddress, and only the first kLongestAddress
/// bytes are looked at (`was_cut` says so). Method, sources and measured figures: analysis/place/PLACING.md.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace leeward::analysis {

/// In the order in which `leeward parse` writes its columns.
enum class AddressLabel : std::uint8_t {
  Recipient, BuildingName, LandmarkName,
  AddressNumberPrefix, AddressNumber, AddressNumberSuffix,
  StreetNamePreModifier, StreetNamePreDirectional, StreetNamePreType, StreetName,
  StreetNamePostType, StreetNamePostDirectional, StreetNamePostModifier,
  SubaddressType, SubaddressIdentifier, OccupancyType, OccupancyIdentifier,
  PlaceName, StateName, ZipCode, ZipPlus4, CountryName,
  USPSBoxType, USPSBoxID, USPSBoxGroupType, USPSBoxGroupID,
  CornerOf, IntersectionSeparator,
  SecondStreetNamePreModifier, SecondStreetNamePreDirectional, SecondStreetNamePreType, SecondStreetName,
  SecondStreetNamePostType, SecondStreetNamePostDirectional, SecondStreetNamePostModifier,
  NotAddress,
};
inline constexpr std::size_t kAddressLabels = static_cast<std::size_t>(AddressLabel::NotAddress) + 1;
inline constexpr std::size_t kLongestAddress = 1000;  ///< bytes; the longest real line is far below

/// "AddressNumber" and so on: the column's name.
const char* labelName(AddressLabel label);
std::optional<AddressLabel> labelFromName(std::string_view name);

struct AddressToken {
  AddressLabel label = AddressLabel::NotAddress;
  std::string text;  ///< as typed, with the comma or dot that closes it
};

enum class AddressKind : std::uint8_t {
  Street,    ///< a number on a street, or a street alone
  Crossing,  ///< two streets
  Block,     ///< "300 block of Oak St": the number is the block's hundred
  Box,       ///< a post office box or rural route: not a place to visit
  Other,     ///< no street was found: a landmark, a town, a note, nothing
};

struct ParsedAddress {
  std::vector<AddressToken> tokens;  ///< in the order typed
  AddressKind kind = AddressKind::Other;
  bool was_cut = false;              ///< longer than kLongestAddress
};

ParsedAddress parseAddress(std::string_view text);

/// All words of one element joined with blanks, separating commas and closing dots dropped; "" if it isn't there.
std::string element(const ParsedAddress& address, AddressLabel label);

/// Upper case, without punctuation, types, directionals, units and the state in their standard abbreviations, e.g.
/// "123 E MAIN ST APT 4B, SPRINGFIELD IL 62701". Crossings are joined with "&" (common practice, no published
/// source). Recipients, landmarks and free notes are left out; "" if nothing is left.
std::string standardLine(const ParsedAddress& address);

}  // namespace leeward::analysis
