/// What the learned part of the parser sees of each word.
#include <array>

#include "analysis/place/postal_words.h"
#include "analysis/place/tagging.h"

namespace leeward::analysis {
namespace {

/// FNV-1a, 32 bits (Fowler, Noll & Vo), over several pieces.
class Hash {
 public:
  explicit Hash(char kind) { add(std::string_view(&kind, 1)); }
  Hash& add(std::string_view text) {
    for (char c : text) value_ = (value_ ^ static_cast<unsigned char>(c)) * 16777619U;
    value_ = (value_ ^ 0x1FU) * 16777619U;
    return *this;
  }
  std::uint32_t value() const { return value_; }

 private:
  std::uint32_t value_ = 2166136261U;
};

/// What a word looks like, in one short text: figures by length, single letters, and its classes in the tables.
std::string classOf(const Word& word) {
  const std::string& w = word.upper;
  std::string out;
  if (isDigits(w)) {
    out = "d" + std::to_string(std::min<std::size_t>(w.size(), 6));
  } else if (isOrdinalFigure(w)) {
    out = "ord";
  } else if (isFraction(w)) {
    out = "frac";
  } else if (isZip(w)) {
    out = "zip4";
  } else if (hasDigit(w)) {
    out = w.find('-') != std::string::npos ? "dash" : "mix";
  } else if (w.size() == 1) {
    out = "one";
  }
  if (!standardDirection(w).empty()) out += 'D';
  const std::string_view type = standardType(w);
  if (!type.empty()) {
    constexpr std::array kCommon = {"ST", "AVE", "RD", "DR", "LN", "BLVD", "CT", "CIR", "PL", "WAY", "HWY", "PKWY", "TER"};
    out += std::find(kCommon.begin(), kCommon.end(), type) != kCommon.end() ? 'T' : 't';
  }
  if (!standardUnit(w).empty()) out += 'U';
  if (!standardState(w).empty()) out += w.size() == 2 ? 'S' : 's';
  if (isRoadWord(w)) out += 'R';
  if (ordinalValue(w) > 0) out += 'o';
  return out.empty() ? "w" : out;
}

/// What is known of the whole line, as seen from one word.
struct Surroundings {
  std::vector<int> number_before;  ///< house numbers before the word, at most 2
  std::vector<int> types_after;    ///< street types after the word within its comma piece, at most 2
  std::vector<int> types_before;   ///< and before it, since the last comma
  std::vector<int> piece;          ///< comma pieces before, at most 3
  std::vector<int> pieces_after;
};

Surroundings look(const std::vector<Word>& words, const std::vector<std::string>& classes) {
  const std::size_t n = words.size();
  Surroundings s{std::vector<int>(n), std::vector<int>(n), std::vector<int>(n), std::vector<int>(n), std::vector<int>(n)};
  int numbers = 0;
  int types = 0;
  int piece = 0;
  for (std::size_t i = 0; i < n; ++i) {
    s.number_before[i] = std::min(numbers, 2);
    s.types_before[i] = std::min(types, 2);
    s.piece[i] = std::min(piece, 3);
    numbers += isHouseNumber(words[i].upper);
    types += classes[i].find_first_of("Tt") != std::string::npos;
    if (words[i].comma_after) {
      ++piece;
      types = 0;
    }
  }
  int after = 0;
  int types_after = 0;
  for (std::size_t i = n; i-- > 0;) {
    if (words[i].comma_after) {
      ++after;
      types_after = 0;
    }
    s.pieces_after[i] = std::min(after, 3);
    s.types_after[i] = std::min(types_after, 2);
    types_after += classes[i].find_first_of("Tt") != std::string::npos;
  }
  return s;
}

}  // namespace

std::vector<std::vector<std::uint32_t>> tagFeatures(const std::vector<Word>& words, const std::vector<AddressLabel>& rules) {
  const std::size_t n = words.size();
  std::vector<std::string> classes(n);
  for (std::size_t i = 0; i < n; ++i) classes[i] = classOf(words[i]);
  const Surroundings s = look(words, classes);
  const auto upper = [&](std::size_t i) { return i < n ? std::string_view(words[i].upper) : std::string_view("<>"); };
  const auto cls = [&](std::size_t i) { return i < n ? std::string_view(classes[i]) : std::string_view("<>"); };
  const auto rule = [&](std::size_t i) { return i < n ? std::string_view(labelName(rules[i])) : std::string_view("<>"); };
  const auto digit = [](int v) { return std::string(1, static_cast<char>('0' + v)); };

  std::vector<std::vector<std::uint32_t>> out(n);
  for (std::size_t i = 0; i < n; ++i) {
    std::vector<std::uint32_t>& f = out[i];
    const std::string comma = words[i].comma_after ? "," : "";
    const std::string comma_before = i > 0 && words[i - 1].comma_after ? "," : (i == 0 ? "^" : "");
    const std::string from_end = digit(static_cast<int>(std::min<std::size_t>(n - 1 - i, 4)));
    const std::string from_start = digit(static_cast<int>(std::min<std::size_t>(i, 3)));
    const auto put = [&](char kind, std::initializer_list<std::string_view> pieces) {
      Hash hash(kind);
      for (const std::string_view piece : pieces) hash.add(piece);
      f.push_back(hash.value());
    };
    put('a', {});
    put('b', {upper(i)});
    put('c', {cls(i)});
    put('d', {cls(i), comma, comma_before});
    put('e', {upper(i - 1)});
    put('f', {upper(i + 1)});
    put('g', {cls(i - 1), cls(i)});
    put('h', {cls(i), cls(i + 1)});
    put('i', {cls(i - 1), cls(i), cls(i + 1)});
    put('j', {cls(i - 2), cls(i - 1), cls(i)});
    put('k', {cls(i), cls(i + 1), cls(i + 2)});
    put('l', {cls(i), from_start});
    put('m', {cls(i), from_end});
    put('n', {cls(i), digit(s.number_before[i]), digit(s.types_before[i]), digit(s.types_after[i])});
    put('o', {digit(s.piece[i]), digit(s.pieces_after[i]), cls(i)});
    put('p', {digit(s.piece[i]), digit(s.pieces_after[i]), digit(s.number_before[i]), digit(s.types_before[i])});
    put('q', {rule(i)});
    put('r', {rule(i), rule(i - 1)});
    put('s', {rule(i), rule(i + 1)});
    put('t', {rule(i), cls(i)});
    put('u', {rule(i), digit(s.number_before[i]), digit(s.types_before[i]), digit(s.types_after[i]), comma});
    put('v', {upper(i).substr(0, 3)});
    put('w', {upper(i).substr(upper(i).size() - std::min<std::size_t>(3, upper(i).size()))});
    put('x', {words[i].in_brackets ? "(" : "", cls(i)});
    put('y', {upper(i - 1), upper(i)});
    put('z', {upper(i), upper(i + 1)});
    put('A', {upper(0)});
    put('B', {cls(0), digit(s.number_before[i]), digit(s.types_before[i])});
    put('C', {cls(i), upper(i + 1)});
    put('D', {upper(i - 1), cls(i)});
    put('E', {rule(i - 1), rule(i), rule(i + 1)});
  }
  return out;
}

std::uint32_t pairFeature(std::size_t from_tag, std::size_t to_tag) {
  return Hash('>').add(labelName(labelOfTag(from_tag))).add(labelName(labelOfTag(to_tag))).value();
}

}  // namespace leeward::analysis
