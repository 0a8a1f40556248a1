/// What the learned part of the parser sees of each word.
#include <algorithm>
#include <array>

#include "analysis/place/postal_words.h"
#include "analysis/place/street_name.h"
#include "analysis/place/tagging.h"

namespace leeward::analysis {
namespace {

std::uint32_t hashText(std::string_view text) {
  std::uint32_t value = 2166136261U;
  for (char c : text) value = (value ^ static_cast<unsigned char>(c)) * 16777619U;
  return value;
}
std::uint32_t mix(std::uint32_t a, std::uint32_t b) {
  std::uint32_t v = (a ^ (b + 0x9E3779B9U + (a << 6) + (a >> 2))) * 0x85EBCA6BU;
  return v ^ (v >> 15);
}

bool in(std::string_view w, std::initializer_list<std::string_view> list) {
  return std::find(list.begin(), list.end(), w) != list.end();
}

bool isNumberWord(std::string_view w) {
  return in(w, {"ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX", "SEVEN", "EIGHT", "NINE", "TEN"});
}
bool isBoxWord(std::string_view w) {
  return in(w, {"BOX", "POB", "POBOX", "LOCKBOX", "LB", "DRAWER", "DRWR", "PO", "P", "O", "POST"});
}
bool isRouteGroup(std::string_view w) {
  return in(w, {"RR", "HC", "HCR", "RFD", "RURAL", "STAR", "CONTRACT", "RD", "ROUTE", "RTE", "RT"});
}
bool isMailStop(std::string_view w) {
  return in(w, {"PMB", "MSC", "MAILBOX", "MAIL", "MS", "MC", "BIN", "FILE", "ACCT", "SCB", "DEPT", "DEPARTMENT", "CODE", "STOP"});
}
bool isCareWord(std::string_view w) { return in(w, {"ATTN", "ATTENTION", "C/O", "CO", "CLO", "RE", "CARE"}); }
bool isCompanyWord(std::string_view w) {
  return in(w, {"INC",     "LLC",       "LLP",        "LTD",        "CORP",       "CORPORATION", "COMPANY", "CO",
                "PC",      "PA",        "PAC",        "ASSOC",      "ASSOCIATES", "ASSOCIATION", "GROUP",   "SERVICES",
                "SERVICE", "INSURANCE", "MANAGEMENT", "COMMERCIAL", "AUTHORITY",  "COMMITTEE",   "FUND",    "UNIVERSITY",
                "COLLEGE", "SCHOOL",    "FOUNDATION", "PARTNERS",   "HOLDINGS",   "REALTY",      "MEDICAL", "MR",
                "MRS",     "MS",        "DR",         "FOR",        "OFFICE"});
}
bool isBuildingWord(std::string_view w) {
  return in(w, {"BUILDING", "BLDG",    "TOWER",   "TOWERS",   "PLAZA",   "CENTER",  "CENTRE", "CTR",     "COMPLEX",
                "MALL",     "HALL",    "HOUSE",   "HOSPITAL", "AIRPORT", "LIBRARY", "CHURCH", "STATION", "SQUARE",
                "BANK",     "ARENA",   "STADIUM", "MUSEUM",   "INN",     "HOTEL",   "LODGE",  "MARKET",  "APARTMENTS",
                "APTS",     "VILLAGE", "FIELD",   "MARINA",   "RESORT",  "FARM",    "COMMONS"});
}
bool isCornerWord(std::string_view w) {
  return in(w, {"CORNER", "COR", "CRNR", "CNR", "JCT", "JUNCTION", "INTERSECTION", "INT", "CRSRDS"});
}
bool isNumberMark(std::string_view w) { return in(w, {"NO", "NUM", "NUMBER", "#"}); }
bool isSmallWord(std::string_view w) {
  return in(w, {"OF", "THE", "DE", "LA", "DEL", "LAS", "LOS", "EL", "DU", "VAN", "SAN", "SANTA", "AND"});
}
bool isPlaceFirst(std::string_view w) {
  return in(w,
            {"ST",   "SAINT", "SAN",    "SANTA", "LOS",  "LAS",  "EL",    "FORT",  "FT",    "PORT",  "NEW",   "MOUNT", "MT",
             "LAKE", "GRAND", "CEDAR",  "PALM",  "LONG", "BIG",  "DES",   "NORTH", "SOUTH", "EAST",  "WEST",  "N",     "S",
             "E",    "W",     "LITTLE", "OAK",   "SALT", "PALO", "SIOUX", "WHITE", "ROYAL", "UPPER", "LOWER", "GREEN", "PARK"});
}
bool isPlaceLast(std::string_view w) {
  return in(w, {"CITY",   "BEACH",   "SPRINGS", "FALLS",   "HILLS",    "HILL",     "PARK",   "HEIGHTS", "HTS",
                "ISLAND", "VILLAGE", "GROVE",   "RAPIDS",  "TOWNSHIP", "VALLEY",   "LAKE",   "POINT",   "SALEM",
                "BAY",    "FOREST",  "ROCK",    "GARDENS", "HARBOR",   "JUNCTION", "RIVER",  "FIELD",   "TOWN",
                "VLY",    "SPGS",    "BCH",     "LAKES",   "RIDGE",    "CREEK",    "COUNTY", "TWP"});
}
/// One slip from a type's full name.
bool isNearType(const std::string& w) {
  if (w.size() < 5 || hasDigit(w)) return false;
  for (const char* t : {"STREET", "AVENUE", "BOULEVARD", "HIGHWAY", "PARKWAY", "DRIVE", "PLACE", "COURT", "CIRCLE", "SQUARE",
                        "TERRACE", "PLAZA", "TRAIL", "CROSSING", "LANE", "HGWY"}) {
    if (slipsBetween(w, t, 1) <= 1) return true;
  }
  return false;
}

struct Seen {
  std::uint32_t word = 0, cls = 0, coarse = 0, rule = 0, pre2 = 0, pre3 = 0, suf2 = 0, suf3 = 0, suf4 = 0, pre4 = 0, shape = 0,
                marks = 0;
  bool is_type = false, is_dir = false, is_state = false, is_zip = false, is_unit = false, is_number = false, digits = false;
};

std::string fineClass(const Word& word) {
  const std::string& w = word.upper;
  std::string out;
  if (isDigits(w))
    out = "d" + std::to_string(std::min<std::size_t>(w.size(), 6));
  else if (isOrdinalFigure(w))
    out = "ord";
  else if (isFraction(w))
    out = "frac";
  else if (isZip(w))
    out = "zip4";
  else if (hasDigit(w))
    out = w.find('-') != std::string::npos ? "dash" : "mix";
  else if (w.size() == 1)
    out = "one";
  if (!standardDirection(w).empty()) out += w.size() <= 2 ? 'D' : 'E';
  const std::string_view type = standardType(w);
  if (!type.empty()) {
    constexpr std::array kCommon = {"ST", "AVE", "RD", "DR", "LN", "BLVD", "CT", "CIR", "PL", "WAY", "HWY", "PKWY", "TER"};
    out += std::find(kCommon.begin(), kCommon.end(), type) != kCommon.end() ? 'T' : 't';
  } else if (isNearType(w))
    out += 'y';
  if (!standardUnit(w).empty()) out += 'U';
  if (!standardState(w).empty()) out += w.size() == 2 ? 'S' : 's';
  if (isRoadWord(w)) out += 'R';
  if (ordinalValue(w) > 0) out += 'o';
  if (isNumberWord(w)) out += 'n';
  if (isBoxWord(w)) out += 'B';
  if (isRouteGroup(w)) out += 'g';
  if (isMailStop(w)) out += 'm';
  if (isCareWord(w)) out += 'c';
  if (isCompanyWord(w)) out += 'C';
  if (isBuildingWord(w)) out += 'b';
  if (isCornerWord(w)) out += 'k';
  if (isNumberMark(w)) out += '#';
  if (isSmallWord(w)) out += 'w';
  return out.empty() ? "w" : out;
}

/// One letter: the likeliest meaning of the word by itself, for long windows.
char coarseClass(const Word& word) {
  const std::string& w = word.upper;
  if (isZip(w)) return 'Z';
  if (isDigits(w)) return '0';
  if (isOrdinalFigure(w) || ordinalValue(w) > 0) return 'o';
  if (hasDigit(w)) return 'x';
  if (w == "#") return '#';
  if (!standardDirection(w).empty()) return 'D';
  if (in(w, {"BOX", "POB", "PO"})) return 'B';
  if (!standardUnit(w).empty()) return 'U';
  if (isRoadWord(w)) return 'R';
  if (!standardType(w).empty() || isNearType(w)) return 'T';
  if (w.size() == 2 && !standardState(w).empty()) return 'S';
  if (w.size() == 1) return '1';
  return 'w';
}

std::string shapeOf(const std::string& text) {
  std::string s;
  for (char c : text) {
    char k = c >= '0' && c <= '9' ? '0' : c >= 'A' && c <= 'Z' ? 'A' : c >= 'a' && c <= 'z' ? 'a' : c;
    if (s.size() < 2 || s[s.size() - 1] != k || s[s.size() - 2] != k) s.push_back(k);
  }
  return s;
}

std::uint32_t bucket(std::size_t v) { return static_cast<std::uint32_t>(std::min<std::size_t>(v, 4)); }

}  // namespace

std::vector<std::vector<std::uint32_t>> tagFeatures(const std::vector<Word>& words, const std::vector<AddressLabel>& rules) {
  const std::size_t n = words.size();
  std::vector<Seen> seen(n);
  bool any_lower = false;
  for (const Word& w : words)
    for (char c : w.text) any_lower |= c >= 'a' && c <= 'z';
  std::string coarse(n, ' ');
  for (std::size_t i = 0; i < n; ++i) {
    const std::string& u = words[i].upper;
    Seen& s = seen[i];
    s.word = hashText(u);
    s.cls = hashText(fineClass(words[i]));
    coarse[i] = coarseClass(words[i]);
    s.coarse = static_cast<std::uint32_t>(coarse[i]);
    s.rule = static_cast<std::uint32_t>(rules[i]) + 100;
    const std::string_view v(u);
    s.pre2 = hashText(v.substr(0, 2));
    s.pre3 = hashText(v.substr(0, 3));
    s.pre4 = hashText(v.substr(0, 4));
    s.suf2 = hashText(v.substr(v.size() - std::min<std::size_t>(2, v.size())));
    s.suf3 = hashText(v.substr(v.size() - std::min<std::size_t>(3, v.size())));
    s.suf4 = hashText(v.substr(v.size() - std::min<std::size_t>(4, v.size())));
    s.shape = hashText(shapeOf(words[i].text));
    s.marks = (words[i].comma_after ? 1U : 0U) + (words[i].text.find('.') != std::string::npos ? 2U : 0U) +
              (words[i].in_brackets ? 4U : 0U);
    s.is_type = !standardType(u).empty() || isNearType(u);
    s.is_dir = !standardDirection(u).empty();
    s.is_state = u.size() == 2 && !standardState(u).empty();
    s.is_zip = isZip(u);
    s.is_unit = !standardUnit(u).empty() || u == "#";
    s.is_number = isHouseNumber(u);
    s.digits = hasDigit(u);
  }
  // comma pieces
  std::vector<std::size_t> piece(n), piece_from(n), piece_to(n), numbers_before(n), types_before(n), types_after(n),
      to_type(n, 9), from_type(n, 9), from_number(n, 9), to_digits(n, 9);
  std::size_t pieces = 0, from = 0, numbers = 0;
  for (std::size_t i = 0; i < n; ++i) {
    piece[i] = pieces;
    piece_from[i] = from;
    numbers_before[i] = numbers;
    numbers += seen[i].is_number;
    if (words[i].comma_after || i + 1 == n) {
      for (std::size_t k = from; k <= i; ++k) piece_to[k] = i + 1;
      ++pieces;
      from = i + 1;
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t k = piece_from[i]; k < i; ++k) {
      types_before[i] += seen[k].is_type;
      if (seen[k].is_type) from_type[i] = i - k;
    }
    for (std::size_t k = i + 1; k < piece_to[i]; ++k) {
      types_after[i] += seen[k].is_type;
      if (seen[k].is_type && to_type[i] == 9) to_type[i] = k - i;
      if (seen[k].digits && to_digits[i] == 9) to_digits[i] = k - i;
    }
    for (std::size_t k = 0; k < i; ++k)
      if (seen[k].is_number) from_number[i] = i - k;
  }
  // the state or ZIP that ends the line
  std::size_t tail = n;
  while (tail > 0 &&
         (seen[tail - 1].is_zip || seen[tail - 1].is_state || (n - tail < 4 && rules[tail - 1] == AddressLabel::StateName)))
    --tail;
  const std::uint32_t tail_kind =
      static_cast<std::uint32_t>((n > 0 && seen[n - 1].is_zip ? 1 : 0) + (tail < n && !seen[tail].is_zip ? 2 : 0));
  const auto pieceSign = [&](std::size_t p_from, std::size_t p_to) {
    std::uint32_t sign = bucket(p_to - p_from);
    bool number = false, type = false, unit = false, ends = false;
    for (std::size_t k = p_from; k < p_to; ++k) {
      number |= seen[k].digits;
      type |= seen[k].is_type;
      unit |= seen[k].is_unit;
      ends |= k >= tail;
    }
    return sign + 8U * number + 16U * type + 32U * unit + 64U * ends + 128U * seen[p_from].is_number;
  };
  std::vector<std::uint32_t> sign(n);
  for (std::size_t i = 0; i < n; ++i)
    sign[i] = piece_from[i] == i || i == 0 ? pieceSign(piece_from[i], piece_to[i]) : sign[i - 1];
  const auto coarseWindow = [&](std::size_t i, int before, int after) {
    std::uint32_t h = 7;
    for (int d = -before; d <= after; ++d) {
      const std::size_t k = i + static_cast<std::size_t>(d);
      const bool inside = k < n;
      h = mix(h, inside ? static_cast<std::uint32_t>(coarse[k]) * 2 + (words[k].comma_after && d < after ? 1 : 0) : 3U);
    }
    return h;
  };
  const Seen none{hashText("<>"), hashText("<>"), 1, 99, 1, 1, 1, 1, 1, 1, 1, 8};
  const auto at = [&](std::size_t i) -> const Seen& { return i < n ? seen[i] : none; };

  std::vector<std::vector<std::uint32_t>> out(n);
  for (std::size_t i = 0; i < n; ++i) {
    std::vector<std::uint32_t>& f = out[i];
    const Seen& p2 = at(i - 2);
    const Seen& p = at(i - 1);
    const Seen& c = at(i);
    const Seen& x = at(i + 1);
    const Seen& x2 = at(i + 2);
    const Seen& x3 = at(i + 3);
    const std::uint32_t comma = words[i].comma_after;
    const std::uint32_t comma_before = i == 0 ? 2 : words[i - 1].comma_after;
    std::uint32_t kind = 0;
    const auto put = [&](std::initializer_list<std::uint32_t> parts) {
      ++kind;
      std::uint32_t h = kind * 0x01000193U;
      for (std::uint32_t v : parts) h = mix(h, v);
      f.push_back(h);
    };
    put({});
    put({c.word});
    put({c.cls});
    put({c.cls, comma, comma_before});
    put({p.word});
    put({x.word});
    put({p.cls, c.cls});
    put({c.cls, x.cls});
    put({p.cls, c.cls, x.cls});
    put({p2.cls, p.cls, c.cls});
    put({c.cls, x.cls, x2.cls});
    put({c.cls, bucket(i)});
    put({c.cls, bucket(n - 1 - i)});
    put({c.cls, bucket(numbers_before[i]), bucket(types_before[i]), bucket(types_after[i])});
    put({bucket(piece[i]), bucket(pieces - 1 - piece[i]), c.cls});
    put({bucket(piece[i]), bucket(pieces - 1 - piece[i]), bucket(numbers_before[i]), bucket(types_before[i])});
    put({c.rule});
    put({c.rule, p.rule});
    put({c.rule, x.rule});
    put({c.rule, c.cls});
    put({c.rule, bucket(numbers_before[i]), bucket(types_before[i]), bucket(types_after[i]), comma});
    put({c.pre3});
    put({c.suf3});
    put({c.marks, c.cls});
    put({p.word, c.word});
    put({c.word, x.word});
    put({hashText(words[0].upper)});
    put({seen[0].cls, bucket(numbers_before[i]), bucket(types_before[i])});
    put({c.cls, x.word});
    put({p.word, c.cls});
    put({p.rule, c.rule, x.rule});
    put({c.pre2});
    put({c.suf2});
    put({c.pre4});
    put({c.suf4});
    put({p2.word});
    put({x2.word});
    put({p2.cls});
    put({x2.cls});
    put({p.cls});
    put({x.cls});
    put({x3.cls});
    put({c.shape});
    put({c.shape, any_lower});
    put({c.marks});
    put({p.marks, c.coarse});
    put({c.marks, c.coarse, x.coarse});
    put({coarseWindow(i, 1, 1)});
    put({coarseWindow(i, 2, 2)});
    put({coarseWindow(i, 0, 3)});
    put({coarseWindow(i, 3, 0)});
    put({coarseWindow(i, 3, 3)});
    put({coarseWindow(i, 1, 3)});
    put({coarseWindow(i, 3, 1)});
    put({coarseWindow(i, 0, 2)});
    put({coarseWindow(i, 2, 0)});
    put({coarseWindow(i, 0, 1)});
    put({coarseWindow(i, 1, 0)});
    put({c.coarse, static_cast<std::uint32_t>(to_type[i] > 4 ? 5 : to_type[i]),
         static_cast<std::uint32_t>(from_type[i] > 4 ? 5 : from_type[i])});
    put({c.coarse, static_cast<std::uint32_t>(from_number[i] > 6 ? 7 : from_number[i])});
    put({c.cls, static_cast<std::uint32_t>(to_type[i] > 4 ? 5 : to_type[i])});
    put({c.cls, static_cast<std::uint32_t>(from_type[i] > 4 ? 5 : from_type[i])});
    put({c.coarse, static_cast<std::uint32_t>(to_digits[i] > 4 ? 5 : to_digits[i])});
    put({sign[i]});
    put({sign[i], c.coarse});
    put({sign[i], bucket(i - piece_from[i])});
    put({sign[i], bucket(piece_to[i] - i)});
    const std::uint32_t next_sign = piece_to[i] < n ? sign[piece_to[i]] : 999;
    const std::uint32_t last_sign = piece_from[i] > 0 ? sign[piece_from[i] - 1] : 998;
    put({sign[i], next_sign});
    put({sign[i], last_sign});
    put({sign[i], next_sign, c.coarse});
    put({sign[i], last_sign, c.coarse});
    put({c.word, bucket(i - piece_from[i])});
    const std::uint32_t to_tail = i < tail ? bucket(tail - i) : 7;
    put({tail_kind, to_tail});
    put({tail_kind, to_tail, c.coarse});
    put({to_tail, c.coarse, p.coarse});
    put({to_tail, bucket(types_after[i]), bucket(types_before[i]), comma_before});
    put({to_tail, c.word});
    put({static_cast<std::uint32_t>(pieces), tail_kind, bucket(n), c.coarse});
    put({c.word, c.rule});
    put({c.word, comma_before, comma});
    put({p.rule, c.word});
    put({x.rule, c.word});
    put({p2.rule, p.rule, c.rule});
    put({c.rule, x.rule, x2.rule});
    put({p.rule, c.rule, x.rule, c.coarse});
    put({c.rule, tail_kind});
    put({isPlaceFirst(words[i].upper), comma_before, static_cast<std::uint32_t>(i < tail)});
    put({isPlaceLast(words[i].upper), comma, i + 1 == tail});
    put({c.coarse, isPlaceLast(words[i].upper), i < tail ? bucket(tail - i) : 7});
    put({i > 0 && isPlaceFirst(words[i - 1].upper), c.coarse});
    put({i + 1 < n && isPlaceLast(words[i + 1].upper), c.coarse});
  }
  return out;
}

std::uint32_t pairFeature(std::size_t from_tag, std::size_t to_tag) {
  return mix(mix(hashText(">"), hashText(labelName(labelOfTag(from_tag)))), hashText(labelName(labelOfTag(to_tag))));
}

}  // namespace leeward::analysis
