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

/// What Publication 28 leaves no choice about: two direction words in a row are one direction (section 233), and a
/// rural route typed as one word with its number is a route (section 24).
void applyPlainRules(const std::vector<Word>& words, std::vector<AddressLabel>& labels) {
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    const std::string_view first = standardDirection(words[i].upper);
    const std::string_view second = standardDirection(words[i + 1].upper);
    const bool joins = (first == "N" || first == "S") && (second == "E" || second == "W");
    const bool name_follows = i + 2 < words.size() && labels[i + 2] == AddressLabel::StreetName;
    if (joins && name_follows && labels[i] == AddressLabel::StreetNamePreDirectional && labels[i + 1] == AddressLabel::StreetName) {
      labels[i + 1] = AddressLabel::StreetNamePreDirectional;
    }
    const std::string& word = words[i].upper;
    const bool route = word.size() > 2 && word.size() < 6 && (word.starts_with("RR") || word.starts_with("HC")) && isDigits(word.substr(2));
    if (route && words[i + 1].upper == "BOX") labels[i] = AddressLabel::USPSBoxGroupType;
  }
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
  const bool contract_route = (words[0].upper.starts_with("HC") || words[0].upper == "STAR") && labels[0] == AddressLabel::USPSBoxGroupType;
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
