#include "analysis/place/street_name.h"

#include <array>

#include "analysis/place/postal_words.h"
#include "analysis/place/tokens.h"

namespace leeward::analysis {
namespace {

// Words that are written in full or short inside names; common practice, no published source.
constexpr std::array<std::pair<const char*, const char*>, 12> kNameWords = {{{"SAINT", "ST"}, {"SAINTE", "ST"}, {"STE", "ST"}, {"MOUNT", "MT"}, {"DOCTOR", "DR"},
    {"CR", "CORD"}, {"COUNTY", "CO"}, {"CNTY", "CO"}, {"SR", "STATERD"}, {"INTERSTATE", "I"}, {"JUNIOR", "JR"}, {"CORPORAL", "CPL"}}};

bool isDirection(const std::string& word) { return !standardDirection(word).empty(); }
bool isType(const std::string& word) { return !standardType(word).empty(); }

std::string joined(const std::vector<std::string>& words, std::size_t from, std::size_t to) {
  std::string key;
  for (std::size_t i = from; i < to; ++i) key += comparable(words[i]);
  return key;
}

}  // namespace

std::vector<std::string> streetWords(std::string_view name) {
  std::vector<std::string> words;
  for (const Word& word : wordsOf(name)) {
    std::string plain;
    for (const char c : word.upper) {
      if (c != '-' && c != '#') plain.push_back(c);
    }
    if (plain.empty()) continue;
    // "N E" and "NORTH EAST" are one direction (Publication 28, section 233).
    const bool second = !words.empty() && (standardDirection(plain) == "E" || standardDirection(plain) == "W");
    const std::string_view first = second ? standardDirection(words.back()) : std::string_view{};
    if (first == "N" || first == "S") {
      words.back() = std::string(first) + std::string(standardDirection(plain));
      continue;
    }
    words.push_back(std::move(plain));
  }
  return words;
}

std::string comparable(std::string_view word) {
  if (isOrdinalFigure(word)) {
    word.remove_suffix(2);
    return std::string(word);
  }
  if (const int value = ordinalValue(word); value > 0) return std::to_string(value);
  for (const auto& [full, brief] : kNameWords) {
    if (word == full) return brief;
  }
  if (const std::string_view direction = standardDirection(word); !direction.empty()) return std::string(direction);
  if (const std::string_view type = standardType(word); !type.empty()) return std::string(type);
  return std::string(word);
}

StreetParts splitStreet(const std::vector<std::string>& words) {
  StreetParts parts;
  std::size_t from = 0;
  std::size_t to = words.size();
  const bool lettered = to == 2 && isType(words[0]);  // "Avenue E": E is a letter
  if (to >= 2 && isDirection(words[to - 1]) && !lettered) parts.after = standardDirection(words[--to]);
  if (to >= 2 && isType(words[to - 1])) parts.type = standardType(words[--to]);
  if (to >= 2 && isDirection(words[0])) parts.before = standardDirection(words[from++]);
  parts.core = joined(words, from, to);
  return parts;
}

std::vector<StreetParts> streetReadings(const std::vector<std::string>& words) {
  std::vector<StreetParts> readings;
  if (words.empty()) return readings;
  readings.push_back(splitStreet(words));
  const StreetParts& plain = readings.front();
  const std::size_t to = words.size() - (plain.after.empty() ? 0 : 1);
  if (!plain.before.empty()) {
    StreetParts with = plain;
    with.core = joined(words, 0, to - (plain.type.empty() ? 0 : 1));
    with.before.clear();
    readings.push_back(std::move(with));
  }
  if (!readings.front().type.empty()) {
    StreetParts with = readings.front();
    with.core = joined(words, with.before.empty() ? 0 : 1, to);
    with.type.clear();
    with.type_in_core = true;
    readings.push_back(std::move(with));
  }
  return readings;
}

int slipsBetween(std::string_view a, std::string_view b, int limit) {
  if (a == b) return 0;
  if (std::max(a.size(), b.size()) - std::min(a.size(), b.size()) > static_cast<std::size_t>(limit)) return limit + 1;
  return SlipCounter(a).to(b, limit);
}

SlipCounter::SlipCounter(std::string_view word) : word_(word) {
  for (std::size_t i = 0; i < std::min<std::size_t>(word.size(), 63); ++i) places_[static_cast<unsigned char>(word[i])] |= std::uint64_t{1} << i;
}

int SlipCounter::to(std::string_view other, int limit) const {
  constexpr std::size_t kLongest = 63;
  const std::size_t longer = std::max(word_.size(), other.size());
  const std::size_t shorter = std::min(word_.size(), other.size());
  if (longer > kLongest || longer - shorter > static_cast<std::size_t>(limit)) return limit + 1;
  if (shorter == 0) return static_cast<int>(longer);
  // Column by column of the table of distances, as differences between neighbours: +1 in `up`, -1 in `down`; `same` where the diagonal stays.
  std::uint64_t up = ~std::uint64_t{0}, down = 0, same = 0, last_places = 0;
  const std::uint64_t end = std::uint64_t{1} << (word_.size() - 1);
  int slips = static_cast<int>(word_.size());
  for (const char letter : other) {
    const std::uint64_t places = places_[static_cast<unsigned char>(letter)];
    const std::uint64_t swapped = ((~same & places) << 1) & last_places;
    same = (((places & up) + up) ^ up) | places | down | swapped;
    std::uint64_t right_up = down | ~(same | up);
    std::uint64_t right_down = same & up;
    slips += (right_up & end) != 0 ? 1 : 0;
    slips -= (right_down & end) != 0 ? 1 : 0;
    right_up = (right_up << 1) | 1;
    right_down <<= 1;
    up = right_down | ~(same | right_up);
    down = right_up & same;
    last_places = places;
  }
  return std::min(slips, limit + 1);
}

double winklerSimilarity(std::string_view a, std::string_view b) {
  if (a.empty() || b.empty() || a.size() > 63 || b.size() > 63) return a == b ? 1 : 0;
  const std::size_t reach = std::max<std::size_t>(std::max(a.size(), b.size()) / 2, 1) - 1;
  std::uint64_t used_a = 0;
  std::uint64_t used_b = 0;
  int common = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t j = i > reach ? i - reach : 0; j < std::min(b.size(), i + reach + 1); ++j) {
      if (a[i] != b[j] || ((used_b >> j) & 1U) != 0) continue;
      used_a |= std::uint64_t{1} << i;
      used_b |= std::uint64_t{1} << j;
      ++common;
      break;
    }
  }
  if (common == 0) return 0;
  int swapped = 0;
  std::size_t j = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (((used_a >> i) & 1U) == 0) continue;
    while (((used_b >> j) & 1U) == 0) ++j;
    swapped += a[i] != b[j];
    ++j;
  }
  const double c = common;
  const double jaro = (c / static_cast<double>(a.size()) + c / static_cast<double>(b.size()) + (c - swapped / 2.0) / c) / 3;
  std::size_t prefix = 0;
  while (prefix < std::min({a.size(), b.size(), std::size_t{4}}) && a[prefix] == b[prefix]) ++prefix;
  return jaro + static_cast<double>(prefix) * 0.1 * (1 - jaro);
}

}  // namespace leeward::analysis
