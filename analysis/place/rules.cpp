/// Labels by rules: what stands at the ends first (country, ZIP, state), then number, street and unit from the left.
#include "analysis/place/postal_words.h"
#include "analysis/place/tagging.h"

namespace leeward::analysis {
namespace {

using Label = AddressLabel;

bool isOneOf(std::string_view word, std::initializer_list<std::string_view> words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

/// Words and labels with a window [from, to) that is still to be read.
class RulePass {
 public:
  explicit RulePass(const std::vector<Word>& words) : words_(words), labels_(words.size(), Label::NotAddress), to_(words.size()) {}

  std::vector<Label> run() {
    tail();
    boxes();
    const std::size_t separator = crossing();
    if (separator < to_) {
      crossingStreets(separator);
      return labels_;
    }
    head();
    if (from_ < to_) street(from_, to_);
    return labels_;
  }

 private:
  const std::string& at(std::size_t i) const { return words_[i].upper; }
  bool isType(std::size_t i) const { return i < to_ && !standardType(at(i)).empty(); }
  bool isDirection(std::size_t i) const { return i < to_ && !standardDirection(at(i)).empty(); }
  /// A word that opens a unit: a designator followed by its identifier, one that stands alone, or "#".
  bool isUnit(std::size_t i) const {
    if (i >= to_) return false;
    if (at(i) == "#") return true;
    const std::string_view unit = standardUnit(at(i));
    if (unit.empty()) return false;
    if (unitStandsAlone(unit)) return i + 1 == to_ || words_[i].comma_after || words_[i - (i > 0)].comma_after;
    if (i + 1 >= to_ || words_[i].comma_after) return false;
    const std::string& next = at(i + 1);
    return hasDigit(next) || next == "#" || next.size() <= 2;
  }

  void tail() {
    if (to_ > 1 && isOneOf(at(to_ - 1), {"US", "USA", "UNITEDSTATES"})) labels_[--to_] = Label::CountryName;
    if (to_ > 2 && at(to_ - 1).size() == 4 && isDigits(at(to_ - 1)) && isZip(at(to_ - 2))) labels_[--to_] = Label::ZipPlus4;
    if (to_ > 1 && isZip(at(to_ - 1)) && standardUnit(at(to_ - 2)).empty() && at(to_ - 2) != "#") labels_[--to_] = Label::ZipCode;
    const bool had_zip = to_ < words_.size();
    for (std::size_t count = 3; count >= 1; --count) {
      if (to_ < count + 1) continue;
      std::string joined = at(to_ - count);
      for (std::size_t i = to_ - count + 1; i < to_; ++i) joined += ' ' + at(i);
      if (standardState(joined).empty()) continue;
      // "123 Virginia" or "12 Oak CT": a street unless something says state.
      const bool after_comma = words_[to_ - count - 1].comma_after;
      if (!had_zip && !after_comma && (joined.size() > 2 || isType(to_ - 1) || isDirection(to_ - 1))) continue;
      for (std::size_t i = 0; i < count; ++i) labels_[--to_] = Label::StateName;
      break;
    }
  }

  void boxes() {
    for (std::size_t i = from_; i < to_; ++i) {
      std::size_t length = 0;
      if (isOneOf(at(i), {"POB", "POBOX", "LOCKBOX", "LBX", "DRAWER"})) length = 1;
      if (at(i) == "BOX") length = 1;
      if (isOneOf(at(i), {"PO", "LOCK", "CALLER"}) && i + 1 < to_ && isOneOf(at(i + 1), {"BOX", "SERVICE"})) length = 2;
      if (i + 2 < to_ && at(i + 2) == "BOX" && ((at(i) == "P" && at(i + 1) == "O") || (at(i) == "POST" && at(i + 1) == "OFFICE"))) length = 3;
      if (length > 0 && i + length < to_) {
        for (std::size_t k = 0; k < length; ++k) labels_[i + k] = Label::USPSBoxType;
        std::size_t id = i + length;
        labels_[id] = Label::USPSBoxID;
        if (at(id) == "#" && id + 1 < to_) labels_[++id] = Label::USPSBoxID;
        restIsPlace(id + 1);
        before(i);
        from_ = to_;
        return;
      }
    }
  }

  /// What stands before a box: a rural route, else a recipient.
  void before(std::size_t box) {
    std::size_t i = from_;
    const bool contract = i + 1 < box && isRoadWord(at(i)) && at(i + 1) == "CONTRACT";  // Publication 28, section 25
    const bool route = i < box && (contract || isOneOf(at(i), {"RR", "RT", "RURAL", "HC", "RFD", "STAR", "ROUTE"}) || at(i).starts_with("RR"));
    for (; i < box; ++i) {
      if (!route) labels_[i] = Label::Recipient;
      else labels_[i] = hasDigit(at(i)) || at(i) == "#" ? Label::USPSBoxGroupID : Label::USPSBoxGroupType;
    }
  }

  void restIsPlace(std::size_t from) {
    for (std::size_t i = from; i < to_; ++i) labels_[i] = Label::PlaceName;
  }

  std::size_t crossing() const {
    if (from_ < to_ && (hasNumberAhead() || namesSomebody())) return to_;
    for (std::size_t i = from_ + 1; i + 1 < to_; ++i) {
      if (isOneOf(at(i), {"&", "AND", "@", "AT", "X"})) return i;
    }
    return to_;
  }

  /// "c/o Rowe & Finch", "M & E Bank Building, Town": no two streets.
  bool namesSomebody() const {
    if (isOneOf(at(from_), {"C/O", "ATTN", "ATTENTION"})) return true;
    std::size_t end = from_;
    while (end + 1 < to_ && !words_[end].comma_after) ++end;
    return isOneOf(at(end), {"BUILDING", "BLDG", "INC", "LLC", "LLP"});
  }

  bool hasNumberAhead() const {
    for (std::size_t i = from_; i < to_; ++i) {
      if (isHouseNumber(at(i)) && (i == from_ || (standardType(at(i - 1)).empty() && !isRoadWord(at(i - 1)))) && i + 1 < to_ &&
          !isOneOf(at(i + 1), {"&", "AND", "@"}) && !isOneOf(at(i - (i > from_)), {"&", "AND", "@"})) {
        return true;
      }
    }
    return false;
  }

  void crossingStreets(std::size_t separator) {
    while (from_ < separator && isOneOf(at(from_), {"CORNER", "COR", "OF", "JCT", "JUNCTION", "INTERSECTION", "CRNR", "CNR"})) {
      labels_[from_++] = Label::CornerOf;
    }
    labels_[separator] = Label::IntersectionSeparator;
    const std::size_t end = to_;
    to_ = separator;
    streetName(from_, separator);
    to_ = end;
    street(separator + 1, end);
  }

  /// Before the number: "#", a unit, a recipient or building.
  void head() {
    std::size_t number = from_;
    while (number < to_ && !isHouseNumber(at(number))) ++number;
    if (number == to_) {
      if (from_ < to_ && (isType(to_ - 1) || streetEnd(from_, to_) > from_ + 1 || isRoadWord(at(from_)))) return;
      return;
    }
    if (number > from_ && (isRoadWord(at(number - 1)) || standardType(at(number - 1)) == "AVE")) return;  // "Highway 80, Town"
    if (number > from_ && isUnit(number - 1)) return;
    for (std::size_t i = from_; i < number; ++i) labels_[i] = at(i) == "#" && number == from_ + 1 ? Label::AddressNumberPrefix : Label::Recipient;
    labels_[number] = Label::AddressNumber;
    from_ = number + 1;
    if (from_ < to_ && isFraction(at(from_))) labels_[from_++] = Label::AddressNumberSuffix;
    // "300 blk of Oak"
    while (from_ < to_ && isOneOf(at(from_), {"BLK", "BLOCK", "BLOCKS"})) {
      ++from_;
      if (from_ < to_ && at(from_) == "OF") ++from_;
    }
    const bool letter = from_ + 1 < to_ && at(from_).size() == 1 && !hasDigit(at(from_)) && at(from_) != "#" &&
                        (standardDirection(at(from_)).empty() || isDirection(from_ + 1)) && !isType(from_ + 1);
    if (letter) labels_[from_++] = Label::AddressNumberSuffix;
  }

  /// One past the last word of a street that begins at `from`.
  std::size_t streetEnd(std::size_t from, std::size_t to) const {
    std::size_t end = from;
    const auto roadNumber = [&](std::size_t i) { return at(i) == "#" && isRoadWord(at(i - 1)); };  // "Route # 9"
    while (end < to && !(end > from && isUnit(end) && !roadNumber(end)) && !(end > from && words_[end - 1].comma_after)) ++end;
    if (end < to && !(words_[end - 1].comma_after)) return end;  // a unit follows
    // A comma follows, or the end: with a place still to come, the place may stand without a comma before it.
    if (end < to) return end;
    const bool place_expected = to_ < words_.size();
    if (!place_expected) return end;
    for (std::size_t i = from + 1; i < end; ++i) {
      if (standardType(at(i)).empty() || (i == from + 1 && isDirection(from))) continue;
      std::size_t last = i;
      while (last + 1 < end && isOneOf(standardType(at(last + 1)), {"ST", "AVE", "RD", "DR", "LN", "BLVD", "CIR", "CT", "HWY", "PKWY"})) ++last;
      if (last + 1 < end && isDirection(last + 1) && at(last + 1).size() <= 2) ++last;
      return last + 1;
    }
    return from + 1 < end ? from + (isDirection(from) ? 2 : 1) : end;
  }

  void street(std::size_t from, std::size_t to) {
    std::size_t end = streetEnd(from, to);
    streetName(from, end);
    if (end < to && words_[end - 1].comma_after && isDirection(end) && (words_[end].comma_after || end + 1 == to)) {
      labels_[end++] = Label::StreetNamePostDirectional;
    }
    while (end < to && isUnit(end)) end = unit(end, to);
    restIsPlace(end);
  }

  std::size_t unit(std::size_t i, std::size_t to) {
    if (at(i) == "#") {
      labels_[i++] = Label::OccupancyIdentifier;
    } else {
      const std::string_view standard = standardUnit(at(i));
      const bool part = isOneOf(standard, {"FL", "BLDG", "DEPT"});
      labels_[i++] = part ? Label::SubaddressType : Label::OccupancyType;
      if (unitStandsAlone(standard)) return i;
      if (i < to && at(i) == "#") labels_[i++] = Label::OccupancyIdentifier;
      if (i < to && part) {
        labels_[i++] = Label::SubaddressIdentifier;
        return i;
      }
    }
    if (i < to) labels_[i++] = Label::OccupancyIdentifier;
    return i;
  }

  /// Directions, types and modifiers of a street name that fills [from, to).
  void streetName(std::size_t from, std::size_t to) {
    if (from >= to) return;
    for (std::size_t i = from; i < to; ++i) labels_[i] = Label::StreetName;
    // From the right: direction, then type; at least one word stays the name.
    if (to - from >= 2 && isOneOf(at(to - 1), {"EXT", "EXTENDED", "EXTN"}) && to - from >= 3) labels_[--to] = Label::StreetNamePostModifier;
    if (to - from >= 2 && !standardDirection(at(to - 1)).empty() && !(to - from == 2 && standardType(at(from)) == "AVE")) {
      labels_[--to] = Label::StreetNamePostDirectional;
    }
    if (to - from >= 2 && !standardType(at(to - 1)).empty()) labels_[--to] = Label::StreetNamePostType;
    // From the left: old, direction, road words before a figure or letter.
    if (to - from >= 2 && at(from) == "OLD" && (isRoadWord(at(from + 1)) || !standardDirection(at(from + 1)).empty())) {
      labels_[from++] = Label::StreetNamePreModifier;
    }
    const bool east_west = to - from == 2 && !standardDirection(at(from + 1)).empty();
    if (to - from >= 2 && !standardDirection(at(from)).empty() && !east_west) labels_[from++] = Label::StreetNamePreDirectional;
    std::size_t road = roadOwner(from, to);
    while (road + 1 < to && (isRoadWord(at(road)) || standardType(at(road)) == "AVE")) ++road;
    const bool numbered = road > from && road < to && (hasDigit(at(road)) || at(road).size() <= 2 || at(road) == "#");
    if (numbered) {
      for (std::size_t i = from; i < road; ++i) labels_[i] = Label::StreetNamePreType;
    }
  }

  /// One past whose road it is: a state or city before a road word ("AL HIGHWAY 9"), or the letters of "C R 9".
  std::size_t roadOwner(std::size_t from, std::size_t to) const {
    if (from + 2 >= to) return from;
    if (at(from) == "C" && at(from + 1) == "R") return from + 2;
    const bool owner = at(from) == "CITY" || !standardState(at(from)).empty();
    return owner && isOneOf(standardType(at(from + 1)), {"HWY", "RTE", "RD"}) && (hasDigit(at(from + 2)) || isRoadWord(at(from + 1))) ? from + 1 : from;
  }

  const std::vector<Word>& words_;
  std::vector<Label> labels_;
  std::size_t from_ = 0;
  std::size_t to_ = 0;
};

}  // namespace

std::vector<AddressLabel> labelByRules(const std::vector<Word>& words) {
  if (words.empty()) return {};
  return RulePass(words).run();
}

}  // namespace leeward::analysis
