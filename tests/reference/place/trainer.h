#pragma once
/// Learns the tagger's weights: a linear-chain conditional random field (Lafferty, McCallum & Pereira 2001, "Conditional
/// random fields", ICML), its penalised likelihood maximised by limited-memory BFGS (Nocedal 1980, Math. Comp. 35).
#include <cstdint>
#include <vector>

#include "analysis/place/tagging.h"
#include "tests/reference/place/labeled.h"

namespace leeward::test {

struct TrainOptions {
  int rounds = 100;
  double ridge = 2;              ///< on the features' weights
  double step_ridge = 0.05;      ///< on those of pairs of tags
  double kind_ridge = 0.3;       ///< on what the kind of the second word adds to them
  float margin = 0.5F;           ///< added to each wrong tag while learning (Gimpel & Smith 2010, softmax-margin)
  int seen_at_least = 3;         ///< words and pairs seen in fewer strings are left out
  float smallest_weight = 0.02F;
};

analysis::TaggerWeights trainTagger(const std::vector<const LabeledString*>& strings, const TrainOptions& options);

/// Folds 0..count-1, equal strings in one fold, drawn by hash of the text in lower case without blanks.
int foldOf(const LabeledString& string, int count);

}  // namespace leeward::test
