#pragma once
/// The word tables of USPS Publication 28 (Postal Addressing Standards): street types, directions, units, states.
///
/// Words are given in upper case without punctuation. A lookup returns the standard form, or "" for a word that
/// isn't in the table. Returned text lives for the whole program.
#include <string>
#include <string_view>

namespace leeward::analysis {

std::string_view standardType(std::string_view upper_word);    ///< Appendix C1: "AVENUE", "AV" -> "AVE"
std::string_view typeInFull(std::string_view standard);        ///< "AVE" -> "AVENUE"
std::string_view standardDirection(std::string_view upper_word);  ///< section 233: "NORTH" -> "N"
std::string_view directionInFull(std::string_view standard);      ///< "NE" -> "NORTHEAST"
std::string_view standardUnit(std::string_view upper_word);    ///< Appendix C2 and section 213: "APARTMENT" -> "APT"
bool unitStandsAlone(std::string_view standard);               ///< "REAR", "BSMT" ... need no identifier
/// The state of a ZIP by its first three figures (from memory, no source was consulted; the few post offices that are served
/// from across a border are not told apart); empty for what is no ZIP.
std::string_view stateOfZip(std::string_view zip);
std::string_view standardState(std::string_view upper_words);  ///< Appendix B: "NORTH CAROLINA", "NC" -> "NC"
bool beginsState(std::string_view upper_word);                 ///< first word of a state of two or three words

/// Words that open a numbered road (Appendix F): HIGHWAY, HWY, ROUTE, RTE, COUNTY, CR, INTERSTATE, I, FM ...
bool isRoadWord(std::string_view upper_word);
/// The value of a spelled ordinal or cardinal street name, 1..99 ("FIRST" -> 1, "TWENTYSECOND" -> 22), or 0.
int ordinalValue(std::string_view upper_word);
/// "SIXTH", "TWENTYSECOND"; "" for 0 and from 100.
std::string spelledOrdinal(int value);

}  // namespace leeward::analysis
