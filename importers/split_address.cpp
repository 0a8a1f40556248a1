#include "importers/split_address.h"

#include <algorithm>
#include <array>
#include <vector>

#include "shared/base/text.h"

namespace leeward::importers {
namespace {


/// "14", "11-A", "11A", "W220", "N6W23" are numbers; "4th", "1st" are not (a street may begin with them).
bool isHouseNumber(std::string_view word) {
  if (word.empty() || std::ranges::none_of(word, isDigit)) return false;
  const std::string lower = lowerAscii(word);
  for (const std::string_view end : {"st", "nd", "rd", "th"}) {
    if (lower.size() > 2 && lower.ends_with(end) && isDigit(lower[lower.size() - 3])) return false;
  }
  const auto letters = std::ranges::count_if(lower, [](char c) { return c >= 'a' && c <= 'z'; });
  return isDigit(word.front()) ? letters <= 2 : letters <= 2 && isDigit(word.back());
}

bool isFraction(std::string_view word) { return word.size() == 3 && isDigit(word[0]) && word[1] == '/' && isDigit(word[2]); }

/// Takes "Apt 2", "Unit B", "# 4", "#4" off the end of a street.
std::string takeUnit(std::vector<std::string_view>& words) {
  static constexpr std::array<std::string_view, 9> kUnits = {"apt", "apartment", "unit", "ste", "suite", "fl", "floor", "rm", "#"};
  if (words.size() >= 2 && words.back().starts_with('#') && words.back().size() > 1) {
    std::string unit(words.back().substr(1));
    words.pop_back();
    return unit;
  }
  if (words.size() < 3) return {};
  std::string kind = lowerAscii(words[words.size() - 2]);
  if (kind.ends_with('.')) kind.pop_back();
  if (std::ranges::find(kUnits, kind) == kUnits.end()) return {};
  std::string unit(words.back());
  words.resize(words.size() - 2);
  return unit;
}

}  // namespace

std::string joinedNumber(std::string_view number, std::string_view suffix) {
  std::string out(trim(number));
  if (out.ends_with(".0")) out.resize(out.size() - 2);
  if (out == "0") out.clear();
  suffix = trim(suffix);
  if (suffix.starts_with('-')) suffix = trim(suffix.substr(1));
  if (out.empty() || suffix.empty() || (suffix.size() > out.size() && suffix.starts_with(out))) {
    return suffix.empty() || out.empty() ? out : std::string(suffix);
  }
  out += isFraction(suffix) ? " " : "-";
  out += suffix;
  return out;
}

AddressParts splitAddress(std::string_view text) {
  AddressParts parts;
  const auto pieces = split(text, ',');
  std::vector<std::string_view> words;
  for (const std::string_view word : split(pieces.front(), ' ')) {
    if (!trim(word).empty()) words.push_back(trim(word));
  }
  std::size_t from = 0;
  if (words.size() >= 2 && isHouseNumber(words[0])) {
    parts.number = words[0];
    from = 1;
    if (words.size() >= 3 && isFraction(words[1])) parts.number.append(" ").append(words[1]), from = 2;
  }
  words.erase(words.begin(), words.begin() + static_cast<std::ptrdiff_t>(from));
  parts.unit = takeUnit(words);
  for (const std::string_view word : words) parts.street.append(parts.street.empty() ? "" : " ").append(word);
  for (std::size_t i = 1; i < pieces.size(); ++i) {
    const std::string_view piece = trim(pieces[i]);
    const std::string_view last = piece.substr(piece.rfind(' ') + 1);
    const std::string_view five = last.substr(0, 5);
    if (allDigits(five) && five.size() == 5) parts.postcode = five;
    else if (i == 1 && !piece.empty() && piece.size() > 2) parts.place = piece;
  }
  return parts;
}

}  // namespace leeward::importers
