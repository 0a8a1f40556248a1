#include "analysis/place/tokens.h"

#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

bool isLetter(char c) { return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80; }
bool isBlank(char c) { return c == ' ' || (c >= '\t' && c <= '\r') || c == '\0'; }
bool standsAlone(char c) { return c == '#' || c == '&' || c == '@'; }
bool isCore(char c) { return isDigit(c) || isLetter(c) || standsAlone(c); }

std::string cleaned(std::string_view text) {
  while (!text.empty() && !isCore(text.front())) text.remove_prefix(1);
  while (!text.empty() && !isCore(text.back())) text.remove_suffix(1);
  std::string upper;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool decimal_point = text[i] == '.' && i > 0 && i + 1 < text.size() && isDigit(text[i - 1]) && isDigit(text[i + 1]);
    const bool keep = isCore(text[i]) || text[i] == '-' || text[i] == '/' || decimal_point;
    if (keep) upper.push_back(text[i]);
  }
  upper = upperAscii(upper);
  if (upper == "\xC2\xBD") return "1/2";
  return upper;
}

/// Figures in front of a word that was typed without the blank ("14Elm", "14Elm,"), not "12A", "4th" or "22nd,".
std::size_t gluedNumber(std::string_view run) {
  std::size_t figures = 0;
  while (figures < run.size() && isDigit(run[figures])) ++figures;
  std::size_t letters = figures;
  while (letters < run.size() && isLetter(run[letters])) ++letters;
  const bool closed = letters == run.size() || run[letters] == ',' || run[letters] == '.';
  return figures > 0 && letters - figures >= 3 && closed ? figures : 0;
}

/// Where a word ends inside a run without blanks: after a comma between words, around a sign that stands alone,
/// and at a slash between two words ("4th/Elm", not "c/o" or "1/2").
std::size_t pieceEnd(std::string_view run) {
  if (standsAlone(run.front())) return 1;
  if (const std::size_t figures = gluedNumber(run); figures > 0) return figures;
  for (std::size_t i = 1; i < run.size(); ++i) {
    if (standsAlone(run[i])) return i;
    const bool closes = run[i - 1] == ',' || run[i - 1] == ';' || run[i - 1] == '?';
    if (closes && isCore(run[i])) return i;
    if (run[i - 1] == ')' && isCore(run[i])) return i;
  }
  return run.size();
}

void addPiece(std::vector<Word>& words, std::string_view piece, bool in_brackets) {
  Word word;
  word.upper = cleaned(piece);
  word.comma_after = piece.find_last_of(",;") != std::string_view::npos;
  if (word.upper.empty()) {
    if (!words.empty()) words.back().comma_after |= word.comma_after;
    return;
  }
  word.text = std::string(piece);
  word.in_brackets = in_brackets;
  words.push_back(std::move(word));
}

}  // namespace

std::vector<Word> wordsOf(std::string_view text) {
  std::vector<Word> words;
  words.reserve(std::min<std::size_t>(8, text.size() / 2 + 1));
  bool in_brackets = false;
  std::size_t at = 0;
  while (at < text.size()) {
    if (isBlank(text[at])) {
      ++at;
      continue;
    }
    std::size_t end = at;
    while (end < text.size() && !isBlank(text[end])) ++end;
    std::string_view run = text.substr(at, end - at);
    at = end;
    while (!run.empty()) {
      const std::size_t length = pieceEnd(run);
      const std::string_view piece = run.substr(0, length);
      in_brackets |= piece.front() == '(';
      addPiece(words, piece, in_brackets);
      if (piece.find(')') != std::string_view::npos) in_brackets = false;
      run.remove_prefix(length);
    }
  }
  return words;
}

bool isDigits(std::string_view word) {
  return !word.empty() && std::all_of(word.begin(), word.end(), isDigit);
}

bool hasDigit(std::string_view word) { return std::any_of(word.begin(), word.end(), isDigit); }

bool isOrdinalFigure(std::string_view word) {
  if (word.size() < 3 || !isDigits(word.substr(0, word.size() - 2))) return false;
  const std::string_view end = word.substr(word.size() - 2);
  return end == "ST" || end == "ND" || end == "RD" || end == "TH";
}

bool isFraction(std::string_view word) { return word.size() == 3 && isDigit(word[0]) && word[1] == '/' && isDigit(word[2]); }

bool isZip(std::string_view word) {
  if (word.size() == 5 || word.size() == 9) return isDigits(word);
  return word.size() == 10 && word[5] == '-' && isDigits(word.substr(0, 5)) && isDigits(word.substr(6));
}

bool isHouseNumber(std::string_view word) {
  if (word.empty() || isOrdinalFigure(word) || isFraction(word)) return false;
  if (isDigit(word[0])) return word.size() < 12;
  // Grid numbers such as N6W23001: a compass letter, digits, a compass letter, digits.
  const auto compass = [](char c) { return c == 'N' || c == 'S' || c == 'E' || c == 'W'; };
  if (!compass(word[0]) || word.size() < 4 || !isDigit(word[1])) return false;
  std::size_t i = 1;
  while (i < word.size() && isDigit(word[i])) ++i;
  return i < word.size() && compass(word[i]) && isDigits(word.substr(i + 1));
}

}  // namespace leeward::analysis
