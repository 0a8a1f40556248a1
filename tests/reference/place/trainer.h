#pragma once
/// Learns the tagger's weights: structured perceptron with averaging (Collins 2002, "Discriminative training methods for
/// hidden Markov models", EMNLP).
#include <cstdint>
#include <vector>

#include "analysis/place/tagging.h"
#include "tests/reference/place/labeled.h"

namespace leeward::test {

struct TrainOptions {
  int rounds = 12;
  std::uint64_t seed = 1;
  int seen_at_least = 2;         ///< words and pairs seen in fewer strings are left out
  float smallest_weight = 0.02F;
};

analysis::TaggerWeights trainTagger(const std::vector<const LabeledString*>& strings, const TrainOptions& options);

/// Folds 0..count-1, equal strings in one fold, drawn by hash of the text in lower case without blanks.
int foldOf(const LabeledString& string, int count);

}  // namespace leeward::test
