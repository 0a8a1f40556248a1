#include "analysis/place/word_facts.h"

#include <algorithm>
#include <array>
#include <unordered_map>

#include "analysis/place/postal_words.h"
#include "analysis/place/street_name.h"
#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

/// Bits of WordFacts::kinds, above the four that hold the form of a word's figures.
enum WordKind : std::uint32_t {
  kShortDirection = 1U << 4, kLongDirection = 1U << 5, kCommonType = 1U << 6, kOtherType = 1U << 7, kNearType = 1U << 8, kUnit = 1U << 9,
  kShortState = 1U << 10, kLongState = 1U << 11, kRoadWord = 1U << 12, kOrdinal = 1U << 13, kNumberWord = 1U << 14, kBoxWord = 1U << 15,
  kRouteGroup = 1U << 16, kMailStop = 1U << 17, kCareWord = 1U << 18, kCompanyWord = 1U << 19, kBuildingWord = 1U << 20,
  kCornerWord = 1U << 21, kNumberMark = 1U << 22, kSmallWord = 1U << 23, kPlaceFirst = 1U << 24, kPlaceLast = 1U << 25,
};
constexpr std::uint32_t kPlaceKinds = kPlaceFirst | kPlaceLast;

struct WordList {
  WordKind kind;
  const char* words;
};
// Words that tell what stands around them: common practice, no published source, except where Publication 28 uses them
// (sections 21 to 29: boxes, routes, mail stops, attention lines).
constexpr std::array kLists = std::to_array<WordList>({
    {kNumberWord,
     "ONE TWO THREE FOUR FIVE SIX SEVEN EIGHT NINE TEN"},
    {kBoxWord,
     "BOX POB POBOX LOCKBOX LB DRAWER DRWR PO P O POST"},
    {kRouteGroup,
     "RR HC HCR RFD RURAL STAR CONTRACT RD ROUTE RTE RT"},
    {kMailStop,
     "PMB MSC MAILBOX MAIL MS MC BIN FILE ACCT SCB DEPT DEPARTMENT CODE STOP"},
    {kCareWord,
     "ATTN ATTENTION C/O CO CLO RE CARE"},
    {kCompanyWord,
     "INC LLC LLP LTD CORP CORPORATION COMPANY CO PC PA PAC ASSOC ASSOCIATES ASSOCIATION GROUP SERVICES "
     "SERVICE INSURANCE MANAGEMENT COMMERCIAL AUTHORITY COMMITTEE FUND UNIVERSITY COLLEGE SCHOOL "
     "FOUNDATION PARTNERS HOLDINGS REALTY MEDICAL MR MRS MS DR FOR OFFICE"},
    {kBuildingWord,
     "BUILDING BLDG TOWER TOWERS PLAZA CENTER CENTRE CTR COMPLEX MALL HALL HOUSE HOSPITAL AIRPORT LIBRARY "
     "CHURCH STATION SQUARE BANK ARENA STADIUM MUSEUM INN HOTEL LODGE MARKET APARTMENTS APTS VILLAGE FIELD "
     "MARINA RESORT FARM COMMONS"},
    {kCornerWord,
     "CORNER COR CRNR CNR JCT JUNCTION INTERSECTION INT CRSRDS"},
    {kNumberMark,
     "NO NUM NUMBER #"},
    {kSmallWord,
     "OF THE DE LA DEL LAS LOS EL DU VAN SAN SANTA AND"},
    {kPlaceFirst,
     "ST SAINT SAN SANTA LOS LAS EL FORT FT PORT NEW MOUNT MT LAKE GRAND CEDAR PALM LONG BIG DES NORTH "
     "SOUTH EAST WEST N S E W LITTLE OAK SALT PALO SIOUX WHITE ROYAL UPPER LOWER GREEN PARK"},
    {kPlaceLast,
     "CITY BEACH SPRINGS FALLS HILLS HILL PARK HEIGHTS HTS ISLAND VILLAGE GROVE RAPIDS TOWNSHIP VALLEY "
     "LAKE POINT SALEM BAY FOREST ROCK GARDENS HARBOR JUNCTION RIVER FIELD TOWN VLY SPGS BCH LAKES RIDGE "
     "CREEK COUNTY TWP"},
});

/// The lists that hold a word.
std::uint32_t listsOf(std::string_view word) {
  static const std::unordered_map<std::string_view, std::uint32_t> by_word = [] {
    std::unordered_map<std::string_view, std::uint32_t> map;
    for (const WordList& list : kLists) {
      for (std::string_view rest = list.words; !rest.empty();) {
        const std::string_view next = rest.substr(0, rest.find(' '));
        map[next] |= list.kind;
        rest.remove_prefix(std::min(next.size() + 1, rest.size()));
      }
    }
    return map;
  }();
  const auto at = by_word.find(word);
  return at == by_word.end() ? 0 : at->second;
}

/// One slip from a common type's full name. A slip leaves the first or the last letter as it was.
bool isNearType(std::string_view word) {
  if (word.size() < 5 || word.size() > 10 || hasDigit(word)) return false;
  constexpr std::array<std::string_view, 16> kNames = {"STREET", "AVENUE",  "BOULEVARD", "HIGHWAY", "PARKWAY", "DRIVE",    "PLACE", "COURT",
                                                       "CIRCLE", "SQUARE",  "TERRACE",   "PLAZA",   "TRAIL",   "CROSSING", "LANE",  "HGWY"};
  return std::any_of(kNames.begin(), kNames.end(), [&](std::string_view name) {
    const bool may = (name.front() == word.front() || name.back() == word.back()) && name.size() + 1 >= word.size() && word.size() + 1 >= name.size();
    return may && slipsBetween(word, name, 1) <= 1;
  });
}

bool isCommonType(std::string_view standard) {
  constexpr std::array<std::string_view, 13> kCommon = {"ST", "AVE", "RD", "DR", "LN", "BLVD", "CT", "CIR", "PL", "WAY", "HWY", "PKWY", "TER"};
  return std::find(kCommon.begin(), kCommon.end(), standard) != kCommon.end();
}

/// Figures alone by their count, ordinals, fractions, ZIPs with extension, other words with figures, single letters.
std::uint32_t formOf(std::string_view word) {
  if (isDigits(word)) return static_cast<std::uint32_t>(std::min<std::size_t>(word.size(), 6));
  if (isOrdinalFigure(word)) return 7;
  if (isFraction(word)) return 8;
  if (isZip(word)) return 9;
  if (hasDigit(word)) return word.find('-') != std::string_view::npos ? 10 : 11;
  return word.size() == 1 ? 12 : 0;
}

std::uint32_t kindsOf(std::string_view word) {
  std::uint32_t kinds = formOf(word) | listsOf(word);
  if (!standardDirection(word).empty()) kinds |= word.size() <= 2 ? kShortDirection : kLongDirection;
  const std::string_view type = standardType(word);
  if (!type.empty()) kinds |= isCommonType(type) ? kCommonType : kOtherType;
  else if (isNearType(word)) kinds |= kNearType;
  if (!standardUnit(word).empty()) kinds |= kUnit;
  if (!standardState(word).empty()) kinds |= word.size() == 2 ? kShortState : kLongState;
  if (isRoadWord(word)) kinds |= kRoadWord;
  if (ordinalValue(word) > 0) kinds |= kOrdinal;
  return kinds;
}

std::uint32_t coarseOf(std::string_view word, std::uint32_t kinds) {
  if (isZip(word)) return 0;
  if (isDigits(word)) return 1;
  if (isOrdinalFigure(word) || (kinds & kOrdinal) != 0) return 2;
  if (hasDigit(word)) return 3;
  if (word == "#") return 4;
  if ((kinds & (kShortDirection | kLongDirection)) != 0) return 5;
  if (word == "BOX" || word == "POB" || word == "PO") return 6;
  if ((kinds & kUnit) != 0) return 7;
  if ((kinds & kRoadWord) != 0) return 8;
  if ((kinds & (kCommonType | kOtherType | kNearType)) != 0) return 9;
  if ((kinds & kShortState) != 0) return 10;
  return word.size() == 1 ? 11 : 12;
}

/// Letters and figures as "A", "a", "0", runs of one kind cut to two.
std::uint32_t shapeOf(std::string_view text) {
  std::uint32_t hash = 2166136261U;
  char last = 0;
  char before_last = 0;
  for (const char c : text) {
    const char kind = isDigit(c) ? '0' : c >= 'A' && c <= 'Z' ? 'A' : c >= 'a' && c <= 'z' ? 'a' : c;
    if (kind == last && kind == before_last) continue;
    hash = (hash ^ static_cast<unsigned char>(kind)) * 16777619U;
    before_last = last;
    last = kind;
  }
  return hash;
}

std::string_view lastOf(std::string_view word, std::size_t count) { return word.substr(word.size() - std::min(count, word.size())); }

}  // namespace

std::uint32_t hashText(std::string_view text) {
  std::uint32_t value = 2166136261U;
  for (const char c : text) value = (value ^ static_cast<unsigned char>(c)) * 16777619U;
  return value;
}

WordFacts factsOf(const Word& word) {
  const std::string_view upper = word.upper;
  const std::uint32_t kinds = kindsOf(upper);
  WordFacts f;
  f.word = hashText(upper);
  f.first2 = hashText(upper.substr(0, 2));
  f.first3 = hashText(upper.substr(0, 3));
  f.first4 = hashText(upper.substr(0, 4));
  f.last2 = hashText(lastOf(upper, 2));
  f.last3 = hashText(lastOf(upper, 3));
  f.last4 = hashText(lastOf(upper, 4));
  f.shape = shapeOf(word.text);
  f.kinds = kinds & ~kPlaceKinds;
  f.coarse = coarseOf(upper, kinds);
  f.marks = (word.comma_after ? 1U : 0U) + (word.text.find('.') != std::string::npos ? 2U : 0U) + (word.in_brackets ? 4U : 0U);
  f.is_type = (kinds & (kCommonType | kOtherType | kNearType)) != 0;
  f.is_unit = (kinds & kUnit) != 0 || upper == "#";
  f.is_state = (kinds & kShortState) != 0;
  f.is_zip = isZip(upper);
  f.is_number = isHouseNumber(upper);
  f.has_digit = hasDigit(upper);
  f.is_care = (kinds & kCareWord) != 0;
  f.begins_place = (kinds & kPlaceFirst) != 0;
  f.ends_place = (kinds & kPlaceLast) != 0;
  return f;
}

}  // namespace leeward::analysis
