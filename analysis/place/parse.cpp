#include "analysis/place/parse.h"

#include <array>

#include "analysis/place/postal_words.h"
#include "analysis/place/tagging.h"
#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

constexpr std::array<const char*, kAddressLabels> kNames = {
    "Recipient", "BuildingName", "LandmarkName", "AddressNumberPrefix", "AddressNumber", "AddressNumberSuffix",
    "StreetNamePreModifier", "StreetNamePreDirectional", "StreetNamePreType", "StreetName", "StreetNamePostType",
    "StreetNamePostDirectional", "StreetNamePostModifier", "SubaddressType", "SubaddressIdentifier", "OccupancyType",
    "OccupancyIdentifier", "PlaceName", "StateName", "ZipCode", "ZipPlus4", "CountryName", "USPSBoxType", "USPSBoxID",
    "USPSBoxGroupType", "USPSBoxGroupID", "CornerOf", "IntersectionSeparator", "SecondStreetNamePreModifier",
    "SecondStreetNamePreDirectional", "SecondStreetNamePreType", "SecondStreetName", "SecondStreetNamePostType",
    "SecondStreetNamePostDirectional", "SecondStreetNamePostModifier", "NotAddress"};

bool has(const std::vector<AddressLabel>& labels, AddressLabel label) {
  return std::find(labels.begin(), labels.end(), label) != labels.end();
}

bool isStreetPart(AddressLabel label) {
  return label >= AddressLabel::StreetNamePreModifier && label <= AddressLabel::StreetNamePostModifier;
}

AddressLabel secondStreet(AddressLabel label) {
  const auto shift = static_cast<int>(AddressLabel::SecondStreetNamePreModifier) - static_cast<int>(AddressLabel::StreetNamePreModifier);
  return isStreetPart(label) ? static_cast<AddressLabel>(static_cast<int>(label) + shift) : label;
}

bool isBlockWord(const Word& word) { return word.upper == "BLK" || word.upper == "BLOCK" || word.upper == "BLKS"; }

/// "300 blk of Oak": the words between number and street, which FGDC has no element for.
bool markBlock(const std::vector<Word>& words, std::vector<AddressLabel>& labels) {
  for (std::size_t i = 1; i + 1 < words.size() && i < 4; ++i) {
    if (!isBlockWord(words[i]) || !isDigits(words[i - 1].upper)) continue;
    labels[i - 1] = AddressLabel::AddressNumber;
    labels[i] = AddressLabel::NotAddress;
    if (words[i + 1].upper == "OF") labels[i + 1] = AddressLabel::NotAddress;
    return true;
  }
  return false;
}

/// Two direction words in a row before a name are one direction (Publication 28, section 233).
void joinDirections(const std::vector<Word>& words, std::vector<AddressLabel>& labels) {
  for (std::size_t i = 0; i + 2 < words.size(); ++i) {
    const std::string_view first = standardDirection(words[i].upper);
    const std::string_view second = standardDirection(words[i + 1].upper);
    const bool joins = (first == "N" || first == "S") && (second == "E" || second == "W");
    const bool name_follows = labels[i + 2] == AddressLabel::StreetName;
    if (joins && name_follows && labels[i] == AddressLabel::StreetNamePreDirectional && labels[i + 1] == AddressLabel::StreetName) {
      labels[i + 1] = AddressLabel::StreetNamePreDirectional;
    }
  }
}

/// A rural route typed as one word with its number is a route (section 24); figures that close a line after the words
/// of a post office box are its number (section 28), not a ZIP.
void markBoxes(const std::vector<Word>& words, std::vector<AddressLabel>& labels) {
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    const std::string& word = words[i].upper;
    const bool route = word.size() > 2 && word.size() < 6 && (word.starts_with("RR") || word.starts_with("HC")) && isDigits(word.substr(2));
    if (route && words[i + 1].upper == "BOX") labels[i] = AddressLabel::USPSBoxGroupType;
    const bool box = labels[i] == AddressLabel::USPSBoxType && (word == "BOX" || word == "POB" || word == "POBOX");
    if (box && i + 2 == words.size() && isDigits(words[i + 1].upper)) labels[i + 1] = AddressLabel::USPSBoxID;
  }
}

/// What may follow a house number (FGDC-STD-016-2011, Address Number Suffix): a fraction, or a letter that no compass
/// knows when a direction or a street called by one comes next ("12 B South Boulevard").
void markNumberSuffix(const std::vector<Word>& words, std::vector<AddressLabel>& labels) {
  for (std::size_t i = 1; i + 1 < words.size(); ++i) {
    if (labels[i - 1] != AddressLabel::AddressNumber || !isStreetPart(labels[i])) continue;
    const std::string& word = words[i].upper;
    const bool letter = word.size() == 1 && !hasDigit(word) && standardDirection(word).empty() && i + 2 < words.size() &&
                        !standardDirection(words[i + 1].upper).empty() && isStreetPart(labels[i + 1]);
    if (letter || isFraction(word)) labels[i] = AddressLabel::AddressNumberSuffix;
  }
}

/// The end of a line: four figures after a ZIP are its extension, "United States" behind state or ZIP is the country.
void markEnd(const std::vector<Word>& words, std::vector<AddressLabel>& labels) {
  const std::size_t n = words.size();
  const auto closes = [](AddressLabel label) { return label == AddressLabel::StateName || label == AddressLabel::ZipCode; };
  if (n == 1 && (words[0].upper == "USA" || words[0].upper == "US")) labels[0] = AddressLabel::CountryName;
  if (n > 2 && labels[n - 2] == AddressLabel::ZipCode && words[n - 2].upper.size() == 5 && words[n - 1].upper.size() == 4 &&
      isDigits(words[n - 1].upper)) {
    labels[n - 1] = AddressLabel::ZipPlus4;
  }
  if (n > 3 && words[n - 2].upper == "UNITED" && words[n - 1].upper == "STATES" && closes(labels[n - 3])) {
    labels[n - 2] = labels[n - 1] = AddressLabel::CountryName;
  }
}

/// What the standards leave no choice about.
void applyPlainRules(const std::vector<Word>& words, std::vector<AddressLabel>& labels) {
  joinDirections(words, labels);
  markBoxes(words, labels);
  markNumberSuffix(words, labels);
  markEnd(words, labels);
}

AddressKind kindOf(const std::vector<AddressLabel>& labels, bool block) {
  const bool street = has(labels, AddressLabel::StreetName);
  if (has(labels, AddressLabel::SecondStreetName) && street) return AddressKind::Crossing;
  if (block && street) return AddressKind::Block;
  if (street) return AddressKind::Street;
  if (has(labels, AddressLabel::USPSBoxType) || has(labels, AddressLabel::USPSBoxGroupType)) return AddressKind::Box;
  return AddressKind::Other;
}

/// "62704-1234" becomes ZipCode and ZipPlus4.
void addToken(std::vector<AddressToken>& tokens, AddressLabel label, const Word& word) {
  if (label == AddressLabel::ZipCode && word.upper.size() == 10 && isZip(word.upper)) {
    const std::size_t dash = word.text.find('-');
    if (dash != std::string::npos) {
      tokens.push_back({AddressLabel::ZipCode, word.text.substr(0, dash)});
      tokens.push_back({AddressLabel::ZipPlus4, word.text.substr(dash + 1)});
      return;
    }
  }
  tokens.push_back({label, word.text});
}

}  // namespace

const char* labelName(AddressLabel label) { return kNames[static_cast<std::size_t>(label)]; }

std::optional<AddressLabel> labelFromName(std::string_view name) {
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    if (name == kNames[i]) return static_cast<AddressLabel>(i);
  }
  return std::nullopt;
}

ParsedAddress parseWith(std::string_view text, const TaggerWeights* weights) {
  ParsedAddress parsed;
  parsed.was_cut = text.size() > kLongestAddress;
  const std::vector<Word> words = wordsOf(text.substr(0, kLongestAddress));
  if (words.empty()) return parsed;

  std::vector<AddressLabel> labels = labelByRules(words);
  const bool block = words.size() > 2 && std::any_of(words.begin(), words.end(), isBlockWord);
  // Crossings and blocks are rare in the labelled strings and plain by rule.
  // Likewise highway contract routes (Publication 28, section 25), whose words the labelled strings write in few ways.
  const bool contract = words[0].upper.starts_with("HC") || words[0].upper == "STAR" || (words.size() > 1 && words[1].upper == "CONTRACT");
  const bool contract_route = contract && labels[0] == AddressLabel::USPSBoxGroupType;
  const bool plain_by_rule = has(labels, AddressLabel::IntersectionSeparator) || block || contract_route;
  if (weights != nullptr && weights->size() > 0 && !plain_by_rule) labels = weights->label(tagFeatures(words, labels));
  applyPlainRules(words, labels);
  const bool is_block = block && markBlock(words, labels);
  bool second = false;
  for (AddressLabel& label : labels) {
    if (second) label = secondStreet(label);
    second |= label == AddressLabel::IntersectionSeparator;
  }
  for (std::size_t i = 0; i < words.size(); ++i) addToken(parsed.tokens, labels[i], words[i]);
  parsed.kind = kindOf(labels, is_block);
  return parsed;
}

ParsedAddress parseAddress(std::string_view text) { return parseWith(text, &TaggerWeights::committed()); }

std::string element(const ParsedAddress& address, AddressLabel label) {
  std::string joined;
  for (const AddressToken& token : address.tokens) {
    if (token.label != label) continue;
    std::string_view word = token.text;
    while (!word.empty() && std::string_view(",.;:?!").find(word.back()) != std::string_view::npos) word.remove_suffix(1);
    if (word.empty()) continue;
    if (!joined.empty()) joined += ' ';
    joined += word;
  }
  return joined;
}

}  // namespace leeward::analysis
