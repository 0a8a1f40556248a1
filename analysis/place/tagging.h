#pragma once
/// Inner parts of the parser: a label for each word, by rules and by learned weights.
///
/// Both give one label a word out of those up to IntersectionSeparator, and NotAddress; the words behind a crossing's
/// separator are renamed to the second street's labels afterwards (parse.cpp).
#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/place/parse.h"
#include "analysis/place/tokens.h"

namespace leeward::analysis {

/// Rules after USPS Publication 28 and FGDC-STD-016-2011; one pass from each end.
std::vector<AddressLabel> labelByRules(const std::vector<Word>& words);

/// Labels as the learned part numbers them: without those of the second street.
inline constexpr std::size_t kTags = static_cast<std::size_t>(AddressLabel::IntersectionSeparator) + 2;
std::uint8_t tagOf(AddressLabel label);  ///< of a label without "Second"
AddressLabel labelOfTag(std::size_t tag);

using TagRow = std::array<float, kTags>;
/// The best sequence of tags (Viterbi 1967) for one row of weights a word and the weights of each pair in sequence.
std::vector<std::uint8_t> bestPath(const std::vector<TagRow>& rows, const std::array<TagRow, kTags>& step);

/// Weights of a linear chain: a row of tags for each feature, and one for each pair of tags in sequence.
class TaggerWeights {
 public:
  struct Entry {
    std::uint32_t feature = 0;  ///< hash of a feature's text
    std::uint8_t tag = 0;
    float weight = 0;
    bool operator<(const Entry& other) const { return feature != other.feature ? feature < other.feature : tag < other.tag; }
  };
  TaggerWeights() = default;
  explicit TaggerWeights(std::vector<Entry> entries);
  /// Those committed with the program (tagger_weights.inc, written by tests/reference/place/train_tagger.cpp).
  static const TaggerWeights& committed();
  /// The committed form: seven bytes an entry in base 64 (RFC 4648), weights in 1/256.
  static TaggerWeights decode(std::string_view text);
  std::string encode() const;

  std::vector<AddressLabel> label(const std::vector<std::vector<std::uint32_t>>& features) const;
  std::size_t size() const { return entries_.size(); }

 private:
  std::span<const Entry> of(std::uint32_t feature) const;

  std::vector<Entry> entries_;         ///< by feature, then tag
  std::vector<std::uint32_t> starts_;  ///< first entry by the feature's top bits
  std::array<TagRow, kTags> step_{};
};

/// Features of each word, as hashes. `rules` are the labels that labelByRules gives the same words.
std::vector<std::vector<std::uint32_t>> tagFeatures(const std::vector<Word>& words, const std::vector<AddressLabel>& rules);
/// The feature under which the weight of a pair of tags is kept (with tag 0).
std::uint32_t pairFeature(std::size_t from_tag, std::size_t to_tag);

/// What parseAddress does with given weights; without weights, rules alone.
ParsedAddress parseWith(std::string_view text, const TaggerWeights* weights);

}  // namespace leeward::analysis
