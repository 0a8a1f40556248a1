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
#include "analysis/place/word_facts.h"

namespace leeward::analysis {

/// Rules after USPS Publication 28 and FGDC-STD-016-2011; one pass from each end.
std::vector<AddressLabel> labelByRules(const std::vector<Word>& words);

/// Labels as the learned part numbers them: without those of the second street.
inline constexpr std::size_t kTags = static_cast<std::size_t>(AddressLabel::IntersectionSeparator) + 2;
std::uint8_t tagOf(AddressLabel label);  ///< of a label without "Second"
AddressLabel labelOfTag(std::size_t tag);

/// A weight for each tag; padded, so that loops over it become vector instructions.
using TagRow = std::array<float, 32>;
static_assert(kTags <= std::tuple_size_v<TagRow>);
using StepWeights = std::array<TagRow, kTags>;  ///< from each tag to each tag

/// A line as the learned part sees it.
struct SeenLine {
  std::vector<std::uint32_t> features;    ///< hashes, `per_word` of them for each word
  std::size_t per_word = 0;
  std::vector<std::uint8_t> step_kinds;   ///< which weights of pairs hold for the step into each word; below kStepKinds
  std::span<const std::uint32_t> of(std::size_t word) const { return std::span(features).subspan(word * per_word, per_word); }
};
/// Weights of pairs of tags hang on the coarse kind of the second word and on a comma before it.
inline constexpr std::size_t kStepKinds = std::size_t{2} * kCoarseKinds;

/// `rules` are the labels that labelByRules gives the same words.
SeenLine tagFeatures(const std::vector<Word>& words, const std::vector<AddressLabel>& rules);
/// The feature under which the weight of a pair of tags is kept (with tag 0): of every step (kind 0), or of kind - 1.
std::uint32_t pairFeature(std::size_t kind, std::size_t from_tag, std::size_t to_tag);

/// The best sequence of tags (Viterbi 1967) for a row of weights a word and the weights of the step into each word.
std::vector<std::uint8_t> bestPath(const std::vector<TagRow>& rows, const std::vector<const StepWeights*>& steps);

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
  /// Weights are rounded to 1/128 and lie within +-8.
  explicit TaggerWeights(std::vector<Entry> entries);
  /// Those committed with the program (tagger_weights.inc, written by tests/reference/place/train_tagger.cpp).
  static const TaggerWeights& committed();
  /// The committed form: the features in rising order, four bytes each, a count, and two bytes for each tag and its weight, all
  /// in base 64 (RFC 4648).
  static TaggerWeights decode(std::string_view text);
  std::string encode() const;

  std::vector<AddressLabel> label(const SeenLine& line) const;
  std::size_t size() const { return weights_.size(); }

 private:
  struct Weight {
    std::uint16_t tag = 0;
    std::int16_t value = 0;  ///< in 1/128
  };
  struct Slot {
    std::uint32_t feature = 0;
    std::uint32_t at = 0;  ///< first weight times 64, plus how many; 0 for a free slot
  };
  std::span<const Weight> of(std::uint32_t feature) const;
  std::vector<std::uint32_t> featuresInOrder() const;
  void fillSteps();

  std::vector<Weight> weights_;
  std::vector<Slot> slots_;  ///< by the feature's low bits, then the next free one; a power of two
  std::vector<StepWeights> steps_;
};

/// What parseAddress does with given weights; without weights, rules alone.
ParsedAddress parseWith(std::string_view text, const TaggerWeights* weights);

}  // namespace leeward::analysis
