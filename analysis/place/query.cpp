#include "analysis/place/query.h"

#include "analysis/place/postal_words.h"
#include "analysis/place/tagging.h"
#include "analysis/place/tokens.h"
#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

using Label = AddressLabel;
constexpr std::size_t kLongestName = 6;  ///< words of a street with its directions and type

bool isStreetLabel(Label label) { return label >= Label::StreetNamePreModifier && label <= Label::StreetNamePostModifier; }
bool isSecondLabel(Label label) { return label >= Label::SecondStreetNamePreModifier && label <= Label::SecondStreetNamePostModifier; }
bool isUnitLabel(Label label) { return label >= Label::SubaddressType && label <= Label::OccupancyIdentifier; }
bool endsStreet(Label label) { return label == Label::StateName || label == Label::ZipCode || label == Label::ZipPlus4 || label == Label::CountryName; }

/// `type_behind`: the street type that stands behind the words, if one does: it was typed, however the name is cut.
/// `was_glued`: the type was taken off the last word, so reading it as part of the name is no new reading.
void addReadings(std::vector<StreetReading>& out, const std::string& street, int left_over, const std::string& place, std::string_view type_behind = "",
                 bool was_glued = false) {
  for (StreetParts& parts : streetReadings(streetWords(street))) {
    if (parts.core.empty() || (was_glued && parts.type_in_core)) continue;
    if (parts.type.empty() && !parts.type_in_core) parts.type = type_behind;
    const auto same = std::find_if(out.begin(), out.end(), [&](const StreetReading& r) { return r.parts == parts; });
    if (same == out.end()) {
      out.push_back({std::move(parts), left_over, place});
    } else if (left_over < same->left_over) {
      same->left_over = left_over;
      same->place = place;
    }
  }
}

bool knowsPlace(const IndexData& index, const std::string& key) {
  return !key.empty() && index.places.has(key);
}

/// "MASSACHUSETTSAVEN " -> "MASSACHUSETTS AVEN"; "" if the last word doesn't end in a type.
std::string withoutGluedType(const std::string& street) {
  const std::size_t end = street.size() - 1;
  const std::size_t from = street.rfind(' ', end - 1) == std::string::npos ? 0 : street.rfind(' ', end - 1) + 1;
  for (std::size_t length = 6; length >= 2; --length) {
    if (end - from < length + 4) continue;
    if (!standardType(std::string_view(street).substr(end - length, length)).empty()) {
      return street.substr(0, end - length) + ' ' + street.substr(end - length);
    }
  }
  return "";
}

/// A type with a slip in it: "STEET", "AVNEUE".
bool looksLikeType(const std::string& word) {
  if (word.size() < 4) return !standardType(word).empty();
  for (const char* type : {"STREET", "AVENUE", "ROAD", "DRIVE", "LANE", "COURT", "PLACE", "CIRCLE", "BOULEVARD", "TERRACE", "PARKWAY", "HIGHWAY"}) {
    if (slipsBetween(word, type, 2) <= 2) return true;
  }
  return false;
}

}  // namespace

std::vector<LineCut::Piece> LineCut::piecesOf(const ParsedAddress& parsed) {
  std::vector<Piece> pieces;
  for (const AddressToken& token : parsed.tokens) {
    std::vector<Word> words = wordsOf(token.text);
    if (words.empty()) continue;
    pieces.push_back({token.label, token.text, std::move(words.front().upper), words.front().comma_after});
  }
  return pieces;
}

std::string LineCut::joinedText(const std::vector<Piece>& pieces, std::size_t from, std::size_t to) {
  std::string text;
  for (std::size_t i = from; i < to; ++i) text += pieces[i].upper + ' ';
  return text;
}

LineCut::LineCut(const IndexData& index, const PlaceQuery& query, CutBy cut_by)
    : index_(&index), query_(&query), parsed_(cut_by == CutBy::Rules ? parseWith(query.text, nullptr) : parseAddress(query.text)), pieces_(piecesOf(parsed_)) {
  out_.kind = parsed_.kind;
  takeNumber();
  takeTown();
  std::string first;
  std::string second;
  for (const Piece& piece : pieces_) {
    if (isStreetLabel(piece.label)) first += piece.upper + ' ';
    if (isSecondLabel(piece.label)) second += piece.upper + ' ';
    if (piece.label == Label::OccupancyIdentifier || piece.label == Label::SubaddressIdentifier) out_.unit += comparableUnit(piece.upper);
  }
  if (const std::string unit = plainUnit(); !unit.empty()) out_.unit = unit;
  if (!first.empty()) addReadings(out_.plain, first, 0, "");
  if (!second.empty()) addReadings(out_.second, second, 0, "");
}

/// A unit word or "#" with its identifier behind it, whatever the parser made of the notes around it.
std::string LineCut::plainUnit() const {
  for (std::size_t i = number_end_; i + 1 < pieces_.size(); ++i) {
    const std::string_view unit = standardUnit(pieces_[i].upper);
    const bool opens = pieces_[i].upper == "#" || (!unit.empty() && !unitStandsAlone(unit));
    if (!opens || pieces_[i].comma_after) continue;
    const std::size_t id = i + (pieces_[i + 1].upper == "#" && i + 2 < pieces_.size() ? 2 : 1);
    if (hasDigit(pieces_[id].upper) || pieces_[id].upper.size() == 1) return comparableUnit(pieces_[id].upper);
  }
  return "";
}

void LineCut::takeNumber() {
  std::string text;
  for (std::size_t i = 0; i < pieces_.size(); ++i) {
    const Label label = pieces_[i].label;
    const bool part = label == Label::AddressNumberPrefix || label == Label::AddressNumber || label == Label::AddressNumberSuffix;
    if (!part || (label == Label::AddressNumber && !text.empty() && number_end_ < i)) continue;
    text += pieces_[i].upper + ' ';
    if (label == Label::AddressNumber) number_at_ = i;
    number_end_ = i + 1;
  }
  out_.number = readHouseNumber(text);
  if (out_.number || parsed_.kind == AddressKind::Crossing || parsed_.kind == AddressKind::Box) return;
  for (std::size_t i = 0; i + 1 < pieces_.size() && i < 4; ++i) {
    if (!isHouseNumber(pieces_[i].upper) || isUnitLabel(pieces_[i].label)) continue;
    out_.number = readHouseNumber(pieces_[i].upper);
    number_at_ = i;
    number_end_ = i + 1;
    return;
  }
}

void LineCut::takeTown() {
  out_.place = comparablePlace(element(parsed_, Label::PlaceName));
  if (out_.place.empty() || (!query_->place.empty() && index_->places.size() > 1 && !knowsPlace(*index_, out_.place))) {
    if (!query_->place.empty()) out_.place = comparablePlace(std::string_view(query_->place).substr(0, kLongestAddress));
  }
  out_.postcode = element(parsed_, Label::ZipCode).substr(0, 5);
  if (out_.postcode.empty()) out_.postcode = std::string(trim(query_->postcode).substr(0, 5));
  // Spreadsheets drop the zeros in front.
  if (isDigits(out_.postcode) && out_.postcode.size() < 5) out_.postcode.insert(0, 5 - out_.postcode.size(), '0');
}

void LineCut::addFurther() {
  if (out_.kind == AddressKind::Box) return;
  if (parsed_.kind == AddressKind::Crossing) {
    std::size_t separator = 0;
    while (pieces_[separator].label != Label::IntersectionSeparator) ++separator;
    windows(separator + 1, out_.second);
    return;
  }
  windows(number_end_, out_.further);
  if (number_end_ > number_at_ + 1) windows(number_at_ + 1, out_.further);
}

void LineCut::windows(std::size_t from, std::vector<StreetReading>& out) {
  std::size_t to = from;
  while (to < pieces_.size() && !endsStreet(pieces_[to].label) && pieces_[to].label != Label::IntersectionSeparator) {
    if (to > from && (pieces_[to].upper == "#" || pieces_[to - 1].comma_after)) break;
    ++to;
  }
  while (from < to && (pieces_[from].upper == "BLK" || pieces_[from].upper == "BLOCK" || pieces_[from].upper == "OF")) ++from;
  for (std::size_t end = from + 1; end <= std::min(to, from + kLongestName); ++end) {
    std::string place;
    const int left_over = leftOver(end, to, place);
    const std::string street = joinedText(pieces_, from, end);
    const bool town_follows = !place.empty() && knowsPlace(*index_, comparablePlace(joinedText(pieces_, end, to)));
    addReadings(out, street, left_over, place, end < to && !town_follows ? standardType(pieces_[end].upper) : "");
    if (const std::string apart = withoutGluedType(street); !apart.empty()) addReadings(out, apart, left_over, place, "", true);
  }
}

int LineCut::leftOver(std::size_t from, std::size_t to, std::string& place) const {
  int count = 0;
  for (std::size_t i = from; i < to; ++i) {
    const std::string rest = comparablePlace(joinedText(pieces_, i, to));
    if (knowsPlace(*index_, rest)) {
      place = rest;
      return count;
    }
    const bool explained = isUnitLabel(pieces_[i].label) || looksLikeType(pieces_[i].upper);
    count += explained ? 0 : 1;
  }
  return std::min(count, 4);
}

std::string comparableUnit(std::string_view unit) {
  std::string kept;
  for (const std::string& word : streetWords(unit)) {
    if (standardUnit(word).empty() || unitStandsAlone(standardUnit(word))) kept += word;
  }
  return kept;
}

}  // namespace leeward::analysis
