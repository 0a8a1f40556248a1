#pragma once
/// The words of an address line and what can be said of each by itself.
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace leeward::analysis {

struct Word {
  std::string text;   ///< as typed, closing comma included
  std::string upper;  ///< ASCII upper case without punctuation at either end and without dots: "N.W.," -> "NW"
  bool comma_after = false;
  bool in_brackets = false;
};

/// Splits at white space; "#", "&" and "@" are words of their own, and a comma, semicolon or question mark between
/// letters ends a word. Pieces without any letter, digit or sign of those are joined to the word before (or dropped).
std::vector<Word> wordsOf(std::string_view text);

bool isDigits(std::string_view word);
bool hasDigit(std::string_view word);
bool isOrdinalFigure(std::string_view word);  ///< "4TH", "22ND"
bool isFraction(std::string_view word);       ///< "1/2"
bool isZip(std::string_view word);            ///< 5 digits, 9 digits, or 5-4
/// "14", "6257A", "12-16", "N6W23001", "W204N11912": begins like a house number.
bool isHouseNumber(std::string_view word);

}  // namespace leeward::analysis
