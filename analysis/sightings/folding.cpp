#include "analysis/sightings/folding.h"

#include <algorithm>
#include <array>

#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

/// U+00C0 ... U+00FF without their accents; "" where there is no base letter.
constexpr std::array<std::string_view, 64> kLatin1 = {
    "a", "a", "a", "a", "a", "a", "ae", "c", "e",  "e",  "e", "e", "i", "i", "i", "i", "d",  "n", "o",  "o", "o", "o",
    "o", "",  "o", "u", "u", "u", "u",  "y", "th", "ss", "a", "a", "a", "a", "a", "a", "ae", "c", "e",  "e", "e", "e",
    "i", "i", "i", "i", "d", "n", "o",  "o", "o",  "o",  "o", "",  "o", "u", "u", "u", "u",  "y", "th", "y"};

constexpr std::array<std::string_view, 34> kSaysNothing = {"a",   "an",    "and", "at",   "by",  "dog",   "dogs", "cat", "cats",
                                                           "has", "have",  "he",  "her",  "his", "in",    "is",   "it",  "its",
                                                           "of",  "on",    "or",  "one",  "pup", "puppy", "seen", "she", "some",
                                                           "the", "there", "to",  "very", "was", "with",  "looks"};

}  // namespace

std::string foldWords(std::string_view text) {
  std::string folded;
  const auto addBlank = [&] {
    if (!folded.empty() && folded.back() != ' ') folded += ' ';
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte >= 'A' && byte <= 'Z') {
      folded += static_cast<char>(byte + ('a' - 'A'));
    } else if ((byte >= 'a' && byte <= 'z') || (byte >= '0' && byte <= '9')) {
      folded += static_cast<char>(byte);
    } else if (byte == 0xC3 && i + 1 < text.size()) {
      folded += kLatin1[static_cast<unsigned char>(text[++i]) & 0x3FU];
    } else if (byte == 0xC2 && i + 1 < text.size()) {  // Latin-1 signs, U+00A0 among them
      ++i;
      addBlank();
    } else if (byte == 0xE2 && i + 2 < text.size() && static_cast<unsigned char>(text[i + 1]) == 0x80) {  // typographic marks
      // An apostrophe within a word is no gap, as it is none when typed plainly.
      const auto last = static_cast<unsigned char>(text[i + 2]);
      if (last != 0x98 && last != 0x99) addBlank();
      i += 2;
    } else if (byte >= 0x80) {
      folded += static_cast<char>(byte);
    } else if (byte != '\'') {
      addBlank();
    }
  }
  if (!folded.empty() && folded.back() == ' ') folded.pop_back();
  return folded;
}

std::vector<std::string> tellingWords(std::string_view text) {
  const auto folded = foldWords(text);
  std::vector<std::string> words;
  for (const auto word : split(folded, ' ')) {
    const bool empty = word.empty() || std::find(kSaysNothing.begin(), kSaysNothing.end(), word) != kSaysNothing.end();
    if (!empty) words.emplace_back(word);
  }
  std::sort(words.begin(), words.end());
  words.erase(std::unique(words.begin(), words.end()), words.end());
  return words;
}

double wordOverlap(const std::vector<std::string>& a, const std::vector<std::string>& b) {
  if (a.empty() || b.empty()) return 1;
  std::vector<std::string> both;
  std::set_intersection(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(both));
  return static_cast<double>(both.size()) / static_cast<double>(std::min(a.size(), b.size()));
}

}  // namespace leeward::analysis
