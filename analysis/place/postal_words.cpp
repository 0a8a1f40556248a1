#include "analysis/place/postal_words.h"

#include <algorithm>
#include <array>
#include <string>

#include "analysis/place/tokens.h"
#include "analysis/place/word_table.h"

namespace leeward::analysis {
namespace {

// Publication 28, section 233 and Appendix B; spellings with a joined or dotted second word are common practice.
constexpr std::array kDirections = {
    "NORTH N NO NTH", "EAST E", "SOUTH S SO STH", "WEST W", "NORTHEAST NE", "SOUTHEAST SE", "NORTHWEST NW", "SOUTHWEST SW",
};

// Publication 28, Appendix C2 and section 213 (with a number: first 15; standing alone: the others). Variants are
// common practice, no published source.
constexpr std::array kUnits = {
    "APARTMENT APT APPT APMT APTMT", "BUILDING BLDG BLD BLG BUILD", "DEPARTMENT DEPT DPT", "FLOOR FL FLR FLOORS", "HANGAR HNGR",
    "KEY KEY", "LOT LOT", "PIER PIER", "ROOM RM", "SLIP SLIP", "SPACE SPC", "STOP STOP", "SUITE STE SUIT SUTE", "TRAILER TRLR",
    "UNIT UNIT UN UNT", "BASEMENT BSMT BASMT", "FRONT FRNT", "LOBBY LBBY", "LOWER LOWR", "OFFICE OFC", "PENTHOUSE PH", "REAR REAR",
    "SIDE SIDE", "UPPER UPPR",
};
constexpr std::array kAlone = {"BSMT", "FRNT", "LBBY", "LOWR", "OFC", "PH", "REAR", "SIDE", "UPPR"};

// Publication 28, Appendix B. Words of one name are joined by '_' here.
constexpr std::array kStates = {
    "ALABAMA AL ALA", "ALASKA AK", "AMERICAN_SAMOA AS", "ARIZONA AZ ARIZ", "ARKANSAS AR ARK", "CALIFORNIA CA CALIF CAL", "COLORADO CO COLO",
    "CONNECTICUT CT CONN", "DELAWARE DE DEL", "DISTRICT_OF_COLUMBIA DC", "FLORIDA FL FLA", "GEORGIA GA", "GUAM GU", "HAWAII HI",
    "IDAHO ID", "ILLINOIS IL ILL", "INDIANA IN IND", "IOWA IA", "KANSAS KS KANS", "KENTUCKY KY", "LOUISIANA LA", "MAINE ME",
    "MARYLAND MD", "MASSACHUSETTS MA MASS", "MICHIGAN MI MICH", "MINNESOTA MN MINN", "MISSISSIPPI MS MISS", "MISSOURI MO",
    "MONTANA MT MONT", "NEBRASKA NE NEBR", "NEVADA NV NEV", "NEW_HAMPSHIRE NH", "NEW_JERSEY NJ", "NEW_MEXICO NM", "NEW_YORK NY",
    "NORTH_CAROLINA NC", "NORTH_DAKOTA ND", "NORTHERN_MARIANA_ISLANDS MP", "OHIO OH", "OKLAHOMA OK OKLA", "OREGON OR ORE",
    "PENNSYLVANIA PA PENN", "PUERTO_RICO PR", "RHODE_ISLAND RI", "SOUTH_CAROLINA SC", "SOUTH_DAKOTA SD", "TENNESSEE TN TENN",
    "TEXAS TX TEX", "UTAH UT", "VERMONT VT", "VIRGINIA VA", "VIRGIN_ISLANDS VI", "WASHINGTON WA WASH", "WEST_VIRGINIA WV",
    "WISCONSIN WI WIS WISC", "WYOMING WY WYO",
};
constexpr std::array kStateFirstWords = {"AMERICAN", "DISTRICT", "NEW", "NORTH", "NORTHERN", "PUERTO", "RHODE", "SOUTH", "VIRGIN", "WEST"};

// Publication 28, Appendix F (from memory).
constexpr std::array kRoadWords = {
    "COUNTY COUNTY CNTY CO CTY", "COUNTYROAD CR", "FARM FM", "HIGHWAY HWY HIWAY HIWY HWAY HIGHWY HGHWY HGWY HWYS HIGHWAYS", "INTERSTATE I IH",
    "RANCH RM", "ROUTE RTE RT ROUTES RTS", "STATE STATE", "STATEROUTE SR", "STATEHIGHWAY SH", "TOWNSHIP TWP TOWNSHIP", "US US",
    "ROAD RD", "SPUR SPUR", "LOOP LOOP",
};

constexpr std::array kOrdinals = {
    "FIRST", "SECOND", "THIRD", "FOURTH", "FIFTH", "SIXTH", "SEVENTH", "EIGHTH", "NINTH", "TENTH",
    "ELEVENTH", "TWELFTH", "THIRTEENTH", "FOURTEENTH", "FIFTEENTH", "SIXTEENTH", "SEVENTEENTH", "EIGHTEENTH", "NINETEENTH", "TWENTIETH",
};
constexpr std::array kTens = {"TWENTY", "THIRTY", "FORTY", "FIFTY", "SIXTY", "SEVENTY", "EIGHTY", "NINETY"};

template <std::size_t N>
bool contains(const std::array<const char*, N>& words, std::string_view word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

}  // namespace

std::string_view standardDirection(std::string_view upper_word) {
  static const WordTable table(kDirections);
  return table.standard(upper_word);
}

std::string_view directionInFull(std::string_view standard) {
  static const WordTable table(kDirections);
  return table.primary(standard);
}

std::string_view standardUnit(std::string_view upper_word) {
  static const WordTable table(kUnits);
  return table.standard(upper_word);
}

bool unitStandsAlone(std::string_view standard) { return contains(kAlone, standard); }

std::string_view standardState(std::string_view upper_words) {
  static const WordTable table(kStates);
  if (upper_words.find(' ') == std::string_view::npos) return table.standard(upper_words);
  std::string joined(upper_words);
  std::replace(joined.begin(), joined.end(), ' ', '_');
  return table.standard(joined);
}

bool beginsState(std::string_view upper_word) { return contains(kStateFirstWords, upper_word); }

bool isRoadWord(std::string_view upper_word) {
  static const WordTable table(kRoadWords);
  return !table.standard(upper_word).empty();
}

int ordinalValue(std::string_view upper_word) {
  // All end in -ST, -ND, -RD or -TH, and hardly any other word of a line gets as far as the lists.
  if (upper_word.size() < 5 || (upper_word.back() != 'H' && upper_word.back() != 'T' && upper_word.back() != 'D')) return 0;
  for (std::size_t i = 0; i < kOrdinals.size(); ++i) {
    if (upper_word == kOrdinals[i]) return static_cast<int>(i) + 1;
  }
  for (std::size_t t = 0; t < kTens.size(); ++t) {
    const std::string_view tens = kTens[t];
    const int value = 10 * (static_cast<int>(t) + 2);
    if (upper_word.starts_with(tens)) {
      const int units = ordinalValue(upper_word.substr(tens.size()));
      if (units >= 1 && units <= 9) return value + units;
    }
    // "THIRTIETH": the ten's Y becomes IETH.
    if (upper_word.size() == tens.size() + 3 && upper_word.starts_with(tens.substr(0, tens.size() - 1)) && upper_word.ends_with("IETH")) {
      return value;
    }
  }
  return 0;
}

std::string spelledOrdinal(int value) {
  if (value < 1 || value > 99) return "";
  if (value <= 20) return kOrdinals[static_cast<std::size_t>(value - 1)];
  const std::string tens = kTens[static_cast<std::size_t>(value / 10 - 2)];
  if (value % 10 == 0) return tens.substr(0, tens.size() - 1) + "IETH";
  return tens + kOrdinals[static_cast<std::size_t>(value % 10 - 1)];
}

std::string_view stateOfZip(std::string_view zip) {
  struct First {
    int prefix;  ///< the first three figures from which on the ZIPs are this state's
    const char* state;
  };
  static constexpr auto kFirst = std::to_array<First>({
    {5, "NY"}, {6, "PR"}, {10, "MA"}, {28, "RI"}, {30, "NH"}, {39, "ME"}, {50, "VT"}, {60, "CT"}, {70, "NJ"}, {100, "NY"},
    {150, "PA"}, {197, "DE"}, {200, "DC"}, {201, "VA"}, {202, "DC"}, {206, "MD"}, {220, "VA"}, {247, "WV"}, {270, "NC"},
    {290, "SC"}, {300, "GA"}, {320, "FL"}, {350, "AL"}, {370, "TN"}, {386, "MS"}, {398, "GA"}, {400, "KY"}, {430, "OH"},
    {460, "IN"}, {480, "MI"}, {500, "IA"}, {530, "WI"}, {550, "MN"}, {570, "SD"}, {580, "ND"}, {590, "MT"}, {600, "IL"},
    {630, "MO"}, {660, "KS"}, {680, "NE"}, {700, "LA"}, {716, "AR"}, {730, "OK"}, {750, "TX"}, {800, "CO"}, {820, "WY"},
    {832, "ID"}, {840, "UT"}, {850, "AZ"}, {870, "NM"}, {885, "TX"}, {889, "NV"}, {900, "CA"}, {967, "HI"}, {970, "OR"},
    {980, "WA"}, {995, "AK"}});
  if (!isZip(zip)) return {};
  const int prefix = (zip[0] - '0') * 100 + (zip[1] - '0') * 10 + (zip[2] - '0');
  const auto behind = std::upper_bound(kFirst.begin(), kFirst.end(), prefix, [](int p, const First& f) { return p < f.prefix; });
  return behind == kFirst.begin() ? std::string_view{} : (behind - 1)->state;
}

}  // namespace leeward::analysis
