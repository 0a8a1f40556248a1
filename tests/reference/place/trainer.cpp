#include "tests/reference/place/trainer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <numeric>
#include <unordered_map>
#include <unordered_set>

namespace leeward::test {
namespace {

using analysis::kStepKinds;
using analysis::kTags;
using Row = analysis::TagRow;
using Vector = std::vector<float>;
constexpr std::size_t kLanes = std::tuple_size_v<Row>;
constexpr std::size_t kPairs = kLanes * kLanes;  ///< weights of one matrix of steps

struct Example {
  std::vector<std::vector<std::uint32_t>> features;
  std::vector<std::uint8_t> step_kinds;
  std::vector<std::uint8_t> tags;
};

/// Eight sums side by side: one alone would wait for each addition to end. Both vectors' length is a multiple of eight.
double dot(const Vector& a, const Vector& b) {
  std::array<double, 8> sums{};
  for (std::size_t i = 0; i < a.size(); i += sums.size()) {
    for (std::size_t k = 0; k < sums.size(); ++k) sums[k] += static_cast<double>(a[i + k]) * static_cast<double>(b[i + k]);
  }
  return std::accumulate(sums.begin(), sums.end(), 0.0);
}

float sumOf(const Row& row) {
  std::array<float, 8> sums{};
  for (std::size_t i = 0; i < row.size(); i += sums.size()) {
    for (std::size_t k = 0; k < sums.size(); ++k) sums[k] += row[i + k];
  }
  return std::accumulate(sums.begin(), sums.end(), 0.0F);
}

void scaleToOne(Row& row) {
  const float sum = sumOf(row);
  for (float& v : row) v /= sum;
}

/// A linear chain: a row of weights for each feature, then the matrix of steps, then what each kind of word adds to it.
class Chain {
 public:
  Chain(std::vector<Example> examples, const TrainOptions& options) : examples_(std::move(examples)), options_(options) {
    for (Example& example : examples_) {
      for (auto& word : example.features) {
        for (std::uint32_t& f : word) f = ids_.try_emplace(f, static_cast<std::uint32_t>(ids_.size())).first->second;
      }
    }
    steps_at_ = ids_.size() * kLanes;
  }

  std::size_t size() const { return steps_at_ + (kStepKinds + 1) * kPairs; }

  /// Negative log likelihood with the ridge, and its gradient.
  double value(const Vector& w, Vector& gradient) const {
    std::fill(gradient.begin(), gradient.end(), 0.0F);
    const Vector grown = grownSteps(w);
    double loss = 0;
    for (const Example& example : examples_) loss += lossOf(example, w, grown, gradient);
    for (std::size_t kind = 1; kind <= kStepKinds; ++kind) {
      for (std::size_t i = 0; i < kPairs; ++i) gradient[steps_at_ + i] += gradient[steps_at_ + kind * kPairs + i];
    }
    for (std::size_t i = 0; i < w.size(); ++i) {
      const double ridge = i < steps_at_ ? options_.ridge : i < steps_at_ + kPairs ? options_.step_ridge : options_.kind_ridge;
      loss += 0.5 * ridge * w[i] * w[i];
      gradient[i] += static_cast<float>(ridge) * w[i];
    }
    return loss;
  }

  analysis::TaggerWeights weights(const Vector& w) const {
    std::vector<analysis::TaggerWeights::Entry> entries;
    const auto add = [&](std::uint32_t feature, std::size_t tag, float weight) {
      if (std::abs(weight) >= options_.smallest_weight) entries.push_back({feature, static_cast<std::uint8_t>(tag), weight});
    };
    for (const auto& [feature, id] : ids_) {
      for (std::size_t t = 0; t < kTags; ++t) add(feature, t, w[id * kLanes + t]);
    }
    for (std::size_t kind = 0; kind <= kStepKinds; ++kind) {
      for (std::size_t a = 0; a < kTags; ++a) {
        for (std::size_t b = 0; b < kTags; ++b) {
          add(analysis::pairFeature(kind, a, b), 0, w[steps_at_ + kind * kPairs + a * kLanes + b]);
        }
      }
    }
    return analysis::TaggerWeights(std::move(entries));
  }

 private:
  /// exp of the weights of each kind of step, those that hold for all steps included.
  Vector grownSteps(const Vector& w) const {
    Vector grown(kStepKinds * kPairs);
    for (std::size_t kind = 0; kind < kStepKinds; ++kind) {
      for (std::size_t i = 0; i < kPairs; ++i) {
        grown[kind * kPairs + i] = std::exp(w[steps_at_ + i] + w[steps_at_ + (kind + 1) * kPairs + i]);
      }
    }
    return grown;
  }

  float stepOf(const Vector& w, const Example& example, std::size_t i) const {
    const std::size_t pair = example.tags[i - 1] * kLanes + example.tags[i];
    return w[steps_at_ + pair] + w[steps_at_ + (example.step_kinds[i] + std::size_t{1}) * kPairs + pair];
  }

  /// exp of what a word's features say of each tag, scaled so that the largest is one; adds the logarithms of the scale and
  /// of the true tag.
  Row ownOf(const Example& example, std::size_t i, const Vector& w, double& log_all, double& truth) const {
    Row own;
    own.fill(options_.margin);
    own[example.tags[i]] = 0;
    for (const std::uint32_t f : example.features[i]) {
      const float* row = w.data() + f * kLanes;
      for (std::size_t t = 0; t < kLanes; ++t) own[t] += row[t];
    }
    truth += own[example.tags[i]];
    const float largest = *std::max_element(own.begin(), own.begin() + kTags);
    log_all += largest;
    for (std::size_t t = 0; t < kLanes; ++t) own[t] = t < kTags ? std::exp(own[t] - largest) : 0;
    return own;
  }

  /// One string by the forward-backward recursion, each word's sums scaled to one.
  double lossOf(const Example& example, const Vector& w, const Vector& grown, Vector& gradient) const {
    const std::size_t n = example.tags.size();
    std::vector<Row> own(n);
    std::vector<Row> before(n);
    double log_all = 0;
    double truth = 0;
    for (std::size_t i = 0; i < n; ++i) {
      own[i] = ownOf(example, i, w, log_all, truth);
      before[i] = own[i];
      if (i > 0) {
        truth += stepOf(w, example, i);
        const float* step = grown.data() + example.step_kinds[i] * kPairs;
        Row reached{};
        for (std::size_t a = 0; a < kTags; ++a) {
          for (std::size_t b = 0; b < kLanes; ++b) reached[b] += before[i - 1][a] * step[a * kLanes + b];
        }
        for (std::size_t b = 0; b < kLanes; ++b) before[i][b] *= reached[b];
      }
      log_all += std::log(sumOf(before[i]));
      scaleToOne(before[i]);
    }
    Row after;
    after.fill(1);
    for (std::size_t i = n; i-- > 0;) {
      Row chance;
      for (std::size_t t = 0; t < kLanes; ++t) chance[t] = before[i][t] * after[t];
      scaleToOne(chance);
      chance[example.tags[i]] -= 1;
      for (const std::uint32_t f : example.features[i]) {
        float* row = gradient.data() + f * kLanes;
        for (std::size_t t = 0; t < kLanes; ++t) row[t] += chance[t];
      }
      if (i > 0) after = addSteps(example, i, grown, before[i - 1], own[i], after, gradient);
    }
    return log_all - truth;
  }

  /// Adds the expected steps into word i to the gradient; returns what follows word i - 1.
  Row addSteps(const Example& example, std::size_t i, const Vector& grown, const Row& before, const Row& own, const Row& after,
               Vector& gradient) const {
    const float* step = grown.data() + example.step_kinds[i] * kPairs;
    float* out = gradient.data() + steps_at_ + (example.step_kinds[i] + std::size_t{1}) * kPairs;
    Row onward;
    for (std::size_t b = 0; b < kLanes; ++b) onward[b] = own[b] * after[b];
    Row reached{};
    float all = 0;
    for (std::size_t a = 0; a < kTags; ++a) {
      Row each;
      for (std::size_t b = 0; b < kLanes; ++b) each[b] = step[a * kLanes + b] * onward[b];
      reached[a] = sumOf(each);
      all += before[a] * reached[a];
    }
    for (std::size_t a = 0; a < kTags; ++a) {
      const float share = before[a] / all;
      for (std::size_t b = 0; b < kLanes; ++b) out[a * kLanes + b] += share * step[a * kLanes + b] * onward[b];
    }
    out[example.tags[i - 1] * kLanes + example.tags[i]] -= 1;
    scaleToOne(reached);
    return reached;
  }

  std::vector<Example> examples_;
  TrainOptions options_;
  std::unordered_map<std::uint32_t, std::uint32_t> ids_;
  std::size_t steps_at_ = 0;
};

struct Move {
  Vector step, change;  ///< of weights and of gradient
  double curve = 0;     ///< step times change
};

void addTo(Vector& a, double scale, const Vector& b) {
  const auto factor = static_cast<float>(scale);
  for (std::size_t i = 0; i < a.size(); ++i) a[i] += factor * b[i];
}

/// The two loops of Nocedal 1980: the gradient times the inverse Hessian that the last moves tell of.
Vector directionOf(const Vector& gradient, const std::deque<Move>& moves) {
  Vector d = gradient;
  std::vector<double> alpha(moves.size());
  for (std::size_t k = moves.size(); k-- > 0;) {
    alpha[k] = dot(moves[k].step, d) / moves[k].curve;
    addTo(d, -alpha[k], moves[k].change);
  }
  const double scale =
      moves.empty() ? 1 / std::sqrt(dot(gradient, gradient)) : moves.back().curve / dot(moves.back().change, moves.back().change);
  for (float& v : d) v *= static_cast<float>(scale);
  for (std::size_t k = 0; k < moves.size(); ++k) addTo(d, alpha[k] - dot(moves[k].change, d) / moves[k].curve, moves[k].step);
  return d;
}

Vector minimised(const Chain& chain, int rounds) {
  constexpr std::size_t kMoves = 6;
  Vector w(chain.size(), 0.0F), gradient(chain.size()), next(chain.size()), next_gradient(chain.size());
  double loss = chain.value(w, gradient);
  std::deque<Move> moves;
  for (int round = 0; round < rounds; ++round) {
    const Vector d = directionOf(gradient, moves);
    const double slope = dot(gradient, d);
    double reached = loss;
    double length = 1;
    for (int attempt = 0; attempt < 20; ++attempt, length /= 2) {
      for (std::size_t i = 0; i < w.size(); ++i) next[i] = w[i] - static_cast<float>(length) * d[i];
      reached = chain.value(next, next_gradient);
      if (reached <= loss - 1e-4 * length * slope) break;
    }
    Move move{next, next_gradient, 0};
    for (std::size_t i = 0; i < w.size(); ++i) move.step[i] -= w[i], move.change[i] -= gradient[i];
    move.curve = dot(move.step, move.change);
    if (move.curve > 1e-10) moves.push_back(std::move(move));
    if (moves.size() > kMoves) moves.pop_front();
    w.swap(next);
    gradient.swap(next_gradient);
    const double gain = loss - reached;
    loss = reached;
    if (gain < 1e-5 * std::abs(loss)) break;
  }
  return w;
}

/// The labels of our own words, from those of the labelled words by position of their letters.
Example exampleOf(const LabeledString& string) {
  const std::vector<analysis::Word> words = analysis::wordsOf(string.text);
  std::vector<std::uint8_t> by_letter;
  for (const auto& [label, text] : string.words) by_letter.insert(by_letter.end(), text.size(), analysis::tagOf(label));
  Example example;
  std::size_t letter = 0;
  std::string joined;
  for (const auto& [label, text] : string.words) joined += text;
  for (const analysis::Word& word : words) {
    const std::size_t at = joined.find(word.text, letter);
    if (at == std::string::npos || at >= by_letter.size()) return {};
    // The first letter may be a bracket or sign of the word before: the last one decides.
    example.tags.push_back(by_letter[at]);
    letter = at + word.text.size();
  }
  const analysis::SeenLine seen = analysis::tagFeatures(words, analysis::labelByRules(words));
  for (std::size_t i = 0; i < words.size(); ++i) example.features.emplace_back(seen.of(i).begin(), seen.of(i).end());
  example.step_kinds = seen.step_kinds;
  return example;
}

}  // namespace

analysis::TaggerWeights trainTagger(const std::vector<const LabeledString*>& strings, const TrainOptions& options) {
  std::vector<Example> examples;
  std::unordered_map<std::uint32_t, int> seen;
  for (const LabeledString* string : strings) {
    Example example = exampleOf(*string);
    if (example.tags.empty()) continue;
    std::unordered_set<std::uint32_t> once;
    for (const auto& word : example.features) once.insert(word.begin(), word.end());
    for (const std::uint32_t f : once) ++seen[f];
    examples.push_back(std::move(example));
  }
  for (Example& example : examples) {
    for (auto& word : example.features) std::erase_if(word, [&](std::uint32_t f) { return seen[f] < options.seen_at_least; });
  }
  const Chain chain(std::move(examples), options);
  return chain.weights(minimised(chain, options.rounds));
}

int foldOf(const LabeledString& string, int count) {
  std::uint64_t hash = 14695981039346656037ULL;
  for (const char c : string.text) {
    if (c == ' ') continue;
    const char lower = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    hash = (hash ^ static_cast<unsigned char>(lower)) * 1099511628211ULL;
  }
  return static_cast<int>((hash >> 32) % static_cast<std::uint64_t>(count));
}

}  // namespace leeward::test
