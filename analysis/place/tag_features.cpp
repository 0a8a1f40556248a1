/// What the learned part of the parser sees of each word: the words around it, where it stands, and what the rules say.
#include <algorithm>
#include <array>

#include "analysis/place/place_names.h"
#include "analysis/place/postal_words.h"
#include "analysis/place/tagging.h"
#include "analysis/place/word_facts.h"

namespace leeward::analysis {
namespace {

constexpr std::uint32_t kFar = 9;  ///< "none on this side"

/// Counts from `most` on are alike.
std::uint32_t upTo(std::size_t most, std::size_t count) { return static_cast<std::uint32_t>(std::min(most, count)); }
std::uint32_t bucket(std::size_t count) { return upTo(4, count); }
/// Distances: one more than `most` stands for all that are larger.
std::uint32_t within(std::uint32_t most, std::uint32_t distance) { return std::min(most + 1, distance); }

/// A word in its line.
struct TagSpot {
  WordFacts facts;
  std::uint32_t rule = 99;
  std::uint32_t piece = 0, from_comma = 0, to_comma = 0;   ///< number of the piece between commas, words back and on in it
  std::uint32_t piece_sign = 999;                          ///< what the piece holds
  std::uint32_t numbers_before = 0, from_number = kFar;    ///< house numbers on the left, in the line
  std::uint32_t types_before = 0, types_after = 0, from_type = kFar, to_type = kFar, to_digits = kFar;  ///< in the piece
  std::uint32_t larger_place = 50, place = 50;             ///< its part in the name of a larger place, of any place
  std::uint32_t care = 0;                                  ///< words since "attn", up to 4; 0 elsewhere
  std::uint32_t comma_before = 2, comma_after = 0;
};

TagSpot outsideTheLine() {
  TagSpot spot;
  WordFacts& f = spot.facts;
  f.word = f.kinds = hashText("<>");
  f.coarse = kCoarseKinds;
  f.marks = 8;
  return spot;
}

struct TagLine {
  std::vector<TagSpot> spots;
  std::size_t pieces = 0;
  std::size_t tail = 0;          ///< first word of the state and ZIP that end the line
  std::uint32_t tail_kind = 0;   ///< ZIP 1, state 2
  bool any_lower = false;
  std::uint32_t any_number = 0;
};

/// Pieces between commas, and what was met on the way from the left.
void countFromLeft(TagLine& line) {
  std::uint32_t piece = 0, in_piece = 0, numbers = 0, from_number = kFar, types = 0, from_type = kFar, care = 0;
  for (std::size_t i = 0; i < line.spots.size(); ++i) {
    TagSpot& spot = line.spots[i];
    if (i > 0 && line.spots[i - 1].comma_after != 0) ++piece, in_piece = types = care = 0, from_type = kFar;
    spot.piece = piece;
    spot.from_comma = in_piece++;
    spot.numbers_before = numbers;
    spot.from_number = from_number;
    spot.types_before = types;
    spot.from_type = from_type;
    care = spot.facts.is_care ? 1 : spot.facts.has_digit || care == 0 ? 0 : std::min(care + 1, 4U);
    spot.care = care;
    numbers += spot.facts.is_number;
    types += spot.facts.is_type;
    from_number = spot.facts.is_number ? 1 : std::min(from_number + 1, kFar);
    from_type = spot.facts.is_type ? 1 : std::min(from_type + 1, kFar);
    if (i > 0) spot.comma_before = line.spots[i - 1].comma_after;
  }
  line.pieces = line.spots.empty() ? 0 : piece + 1;
  line.any_number = numbers > 0;
}

void countFromRight(TagLine& line) {
  std::uint32_t to_comma = 0, types = 0, to_type = kFar, to_digits = kFar;
  for (std::size_t i = line.spots.size(); i-- > 0;) {
    TagSpot& spot = line.spots[i];
    if (spot.comma_after != 0) to_comma = types = 0, to_type = to_digits = kFar;
    spot.to_comma = ++to_comma;
    spot.types_after = types;
    spot.to_type = to_type;
    spot.to_digits = to_digits;
    types += spot.facts.is_type;
    to_type = spot.facts.is_type ? 1 : std::min(to_type + 1, kFar);
    to_digits = spot.facts.has_digit ? 1 : std::min(to_digits + 1, kFar);
  }
}

void findTail(TagLine& line) {
  const std::size_t n = line.spots.size();
  const auto named = [](const TagSpot& spot) { return spot.rule == static_cast<std::uint32_t>(AddressLabel::StateName) + 100; };
  const auto closes = [&](std::size_t i) {
    const TagSpot& spot = line.spots[i];
    return spot.facts.is_zip || spot.facts.is_state || (n - i <= 4 && named(spot));
  };
  line.tail = n;
  while (line.tail > 0 && closes(line.tail - 1)) --line.tail;
  const bool zip = n > 0 && line.spots[n - 1].facts.is_zip;
  const bool state = line.tail < n && !line.spots[line.tail].facts.is_zip;
  line.tail_kind = (zip ? 1U : 0U) + (state ? 2U : 0U);
}

/// Length, first word and contents of each piece between commas.
void signPieces(TagLine& line) {
  for (std::size_t from = 0; from < line.spots.size();) {
    const std::size_t to = from + line.spots[from].to_comma;
    bool digits = false, type = false, unit = false;
    for (std::size_t k = from; k < to; ++k) {
      digits |= line.spots[k].facts.has_digit;
      type |= line.spots[k].facts.is_type;
      unit |= line.spots[k].facts.is_unit;
    }
    const std::uint32_t sign = bucket(to - from) + (digits ? 8U : 0U) + (type ? 16U : 0U) + (unit ? 32U : 0U) + (to > line.tail ? 64U : 0U) +
                               (line.spots[from].facts.is_number ? 128U : 0U);
    for (std::size_t k = from; k < to; ++k) line.spots[k].piece_sign = sign;
    from = to;
  }
}

std::uint64_t stateOfLine(const std::vector<Word>& words, const std::vector<AddressLabel>& rules) {
  std::string state;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (rules[i] != AddressLabel::StateName) continue;
    if (!state.empty()) state += ' ';
    state += words[i].upper;
  }
  if (!state.empty()) return stateBit(standardState(state));
  const bool zip = !words.empty() && isZip(words.back().upper);
  return zip ? stateBit(stateOfZip(words.back().upper)) : 0;
}

/// Names of known places, the longest first, from the right: alone, first, inner or last word of one, and whether the
/// line's state has a place of that name.
void markPlaces(TagLine& line, const std::vector<Word>& words, std::uint64_t state, PlaceList list, std::uint32_t TagSpot::*mark) {
  std::vector<std::uint32_t> pieces(words.size());
  for (std::size_t i = 0; i < words.size(); ++i) {
    pieces[i] = placePiece(words[i].upper);
    line.spots[i].*mark = 0;
  }
  const auto statesOf = [&](std::size_t from, std::size_t to) {
    PlaceKey name;
    for (std::size_t k = from; k < to; ++k) {
      if (k + 1 < to && words[k].comma_after) return std::uint64_t{0};
      name.add(pieces[k]);
    }
    return name.states(list);
  };
  for (std::size_t to = words.size(); to > 0;) {
    std::size_t length = std::min(PlaceKey::kMostWords, to);
    std::uint64_t states = 0;
    while (length > 0 && (states = statesOf(to - length, to)) == 0) --length;
    const std::uint32_t agrees = (states & state) != 0 ? 3 : state == 0 ? 2 : 1;
    for (std::size_t k = to - length; k < to; ++k) {
      const std::uint32_t part = length == 1 ? 1 : k == to - length ? 2 : k + 1 == to ? 4 : 3;
      line.spots[k].*mark = agrees * 8 + part;
    }
    to -= std::max<std::size_t>(length, 1);
  }
}

TagLine lineOf(const std::vector<Word>& words, const std::vector<AddressLabel>& rules) {
  TagLine line;
  line.spots.resize(words.size());
  for (std::size_t i = 0; i < words.size(); ++i) {
    TagSpot& spot = line.spots[i];
    spot.facts = factsOf(words[i]);
    spot.rule = static_cast<std::uint32_t>(rules[i]) + 100;
    spot.comma_after = words[i].comma_after;
    line.any_lower |= std::any_of(words[i].text.begin(), words[i].text.end(), [](char c) { return c >= 'a' && c <= 'z'; });
  }
  countFromLeft(line);
  countFromRight(line);
  findTail(line);
  signPieces(line);
  const std::uint64_t state = stateOfLine(words, rules);
  markPlaces(line, words, state, PlaceList::Larger, &TagSpot::larger_place);
  markPlaces(line, words, state, PlaceList::All, &TagSpot::place);
  return line;
}

/// Writes the features of one word: each is a hash of its number and its values, so the order of the calls is part of the
/// weights' meaning.
class FeatureWriter {
 public:
  FeatureWriter(const TagLine& line, std::size_t i, std::vector<std::uint32_t>& out) : line_(line), i_(i), out_(out) {}

  void all() {
    words();
    letters();
    kinds();
    windows();
    distances();
    pieces();
    ends();
    rules();
    places();
  }

 private:
  const TagSpot& at(std::size_t i) const {
    static const TagSpot outside = outsideTheLine();
    return i < line_.spots.size() ? line_.spots[i] : outside;
  }
  const TagSpot& near(int offset) const { return at(i_ + static_cast<std::size_t>(offset)); }

  template <typename... Values>
  void put(Values... values) {
    std::uint32_t hash = ++number_ * 0x01000193U;
    ((hash = mix(hash, static_cast<std::uint32_t>(values))), ...);
    out_.push_back(hash);
  }

  /// The coarse kinds from `before` words back to `after` words on, with the commas between.
  std::uint32_t window(int before, int after) const {
    std::uint32_t hash = 7;
    for (int d = -before; d <= after; ++d) hash = mix(hash, near(d).facts.coarse * 2 + (d < after ? near(d).comma_after : 0));
    return hash;
  }

  void words() {
    put();
    put(c_.word);
    put(p_.word);
    put(x_.word);
    put(p2_.word);
    put(x2_.word);
    put(p_.word, c_.word);
    put(c_.word, x_.word);
    put(c_.kinds, x_.word);
    put(p_.word, c_.kinds);
    put(at(0).facts.word);
    put(c_.word, me_.comma_before, me_.comma_after);
    put(c_.word, bucket(me_.from_comma));
  }

  void letters() {
    for (const std::uint32_t part : {c_.first2, c_.first3, c_.first4, c_.last2, c_.last3, c_.last4}) put(part);
    put(c_.shape);
    put(c_.shape, line_.any_lower);
    put(c_.marks);
    put(c_.marks, c_.kinds);
    put(p_.marks, c_.coarse);
    put(c_.marks, c_.coarse, x_.coarse);
  }

  void kinds() {
    for (const WordFacts* f : {&c_, &p_, &x_, &p2_, &x2_, &near(3).facts}) put(f->kinds);
    put(c_.kinds, me_.comma_after, me_.comma_before);
    put(p_.kinds, c_.kinds);
    put(c_.kinds, x_.kinds);
  }

  void windows() {
    constexpr std::array<std::array<int, 2>, 11> kSpans = {
        {{1, 1}, {2, 2}, {0, 3}, {3, 0}, {3, 3}, {1, 3}, {3, 1}, {0, 2}, {2, 0}, {0, 1}, {1, 0}}};
    for (const auto& [before, after] : kSpans) put(window(before, after));
  }

  void distances() {
    put(c_.kinds, bucket(i_));
    put(c_.kinds, bucket(line_.spots.size() - 1 - i_));
    put(c_.kinds, bucket(me_.numbers_before), bucket(me_.types_before), bucket(me_.types_after));
    put(at(0).facts.kinds, bucket(me_.numbers_before), bucket(me_.types_before));
    put(c_.coarse, within(4, me_.to_type), within(4, me_.from_type));
    put(c_.coarse, within(6, me_.from_number));
    put(c_.kinds, within(4, me_.to_type));
    put(c_.kinds, within(4, me_.from_type));
    put(c_.coarse, within(4, me_.to_digits));
    put(me_.care, c_.coarse);
    put(me_.care, me_.larger_place, c_.coarse);
  }

  void pieces() {
    const std::uint32_t left = bucket(me_.piece);
    const std::uint32_t right = bucket(line_.pieces - 1 - me_.piece);
    put(left, right, c_.kinds);
    put(left, right, bucket(me_.numbers_before), bucket(me_.types_before));
    put(me_.piece_sign);
    put(me_.piece_sign, c_.coarse);
    put(me_.piece_sign, bucket(me_.from_comma));
    put(me_.piece_sign, bucket(me_.to_comma));
    const std::uint32_t next = at(i_ + me_.to_comma).piece_sign;
    const std::uint32_t last = at(i_ - me_.from_comma - 1).piece_sign;
    put(me_.piece_sign, next);
    put(me_.piece_sign, last);
    put(me_.piece_sign, next, c_.coarse);
    put(me_.piece_sign, last, c_.coarse);
    put(line_.any_number, c_.coarse, left, line_.tail_kind);
    put(line_.any_number, c_.coarse, x_.coarse, left);
    put(line_.any_number, at(0).facts.is_number, left, line_.pieces);
  }

  void ends() {
    const std::uint32_t to_tail = i_ < line_.tail ? bucket(line_.tail - i_) : 7;
    put(line_.tail_kind, to_tail);
    put(line_.tail_kind, to_tail, c_.coarse);
    put(to_tail, c_.coarse, p_.coarse);
    put(to_tail, bucket(me_.types_after), bucket(me_.types_before), me_.comma_before);
    put(to_tail, c_.word);
    put(line_.pieces, line_.tail_kind, bucket(line_.spots.size()), c_.coarse);
  }

  void rules() {
    const std::uint32_t mine = me_.rule, left = near(-1).rule, right = near(1).rule;
    put(mine);
    put(mine, left);
    put(mine, right);
    put(mine, c_.kinds);
    put(mine, bucket(me_.numbers_before), bucket(me_.types_before), bucket(me_.types_after), me_.comma_after);
    put(left, mine, right);
    put(near(-2).rule, left, mine);
    put(mine, right, near(2).rule);
    put(left, mine, right, c_.coarse);
    put(mine, line_.tail_kind);
    put(c_.word, mine);
    put(left, c_.word);
    put(right, c_.word);
  }

  void places() {
    put(c_.begins_place, me_.comma_before, i_ < line_.tail);
    put(c_.ends_place, me_.comma_after, i_ + 1 == line_.tail);
    put(c_.coarse, c_.ends_place, i_ < line_.tail ? bucket(line_.tail - i_) : 7);
    put(p_.begins_place, c_.coarse);
    put(x_.ends_place, c_.coarse);
    namedPlaces(&TagSpot::larger_place);
    namedPlaces(&TagSpot::place);
  }

  void namedPlaces(std::uint32_t TagSpot::*mark) {
    const std::uint32_t left = near(-1).*mark, own = me_.*mark, right = near(1).*mark;
    const bool closes = i_ + 1 == line_.tail || i_ + 1 == line_.spots.size();
    put(own, me_.comma_before, me_.comma_after, closes);
    put(own, c_.coarse, x_.coarse);
    put(own, p_.coarse, c_.coarse);
    put(left, own, right);
    put(own, bucket(me_.types_before), me_.comma_before, bucket(me_.piece));
    put(right, c_.coarse, me_.comma_after);
    put(left, c_.coarse, me_.comma_before);
  }

  const TagLine& line_;
  std::size_t i_;
  std::vector<std::uint32_t>& out_;
  std::uint32_t number_ = 0;
  const TagSpot& me_ = line_.spots[i_];
  const WordFacts &c_ = me_.facts, &p_ = near(-1).facts, &x_ = near(1).facts, &p2_ = near(-2).facts, &x2_ = near(2).facts;
};

}  // namespace

SeenLine tagFeatures(const std::vector<Word>& words, const std::vector<AddressLabel>& rules) {
  SeenLine seen;
  if (words.empty()) return seen;
  const TagLine line = lineOf(words, rules);
  seen.features.reserve(words.size() * 112);
  for (std::size_t i = 0; i < words.size(); ++i) {
    FeatureWriter(line, i, seen.features).all();
    const TagSpot& spot = line.spots[i];
    seen.step_kinds.push_back(static_cast<std::uint8_t>(spot.facts.coarse * 2 + (spot.comma_before == 1 ? 1 : 0)));
  }
  seen.per_word = seen.features.size() / words.size();
  return seen;
}

std::uint32_t pairFeature(std::size_t kind, std::size_t from_tag, std::size_t to_tag) {
  const std::uint32_t pair = mix(hashText(labelName(labelOfTag(from_tag))), hashText(labelName(labelOfTag(to_tag))));
  return mix(mix(hashText(">"), static_cast<std::uint32_t>(kind)), pair);
}

}  // namespace leeward::analysis
