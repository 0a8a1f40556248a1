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

using analysis::kTags;
using Row = std::array<double, kTags>;
using Vector = std::vector<double>;

struct Example {
  std::vector<std::vector<std::uint32_t>> features;
  std::vector<std::uint8_t> tags;
};

double dot(const Vector& a, const Vector& b) { return std::inner_product(a.begin(), a.end(), b.begin(), 0.0); }

void scaleToOne(Row& row) {
  const double sum = std::accumulate(row.begin(), row.end(), 0.0);
  for (double& v : row) v /= sum;
}

/// A linear chain: a row of weights for each feature, then one for each tag's successors.
class Chain {
 public:
  Chain(std::vector<Example> examples, const TrainOptions& options) : examples_(std::move(examples)), options_(options) {
    for (Example& example : examples_) {
      for (auto& word : example.features) {
        for (std::uint32_t& f : word) f = ids_.try_emplace(f, static_cast<std::uint32_t>(ids_.size())).first->second;
      }
    }
    steps_at_ = ids_.size() * kTags;
  }

  std::size_t size() const { return steps_at_ + kTags * kTags; }

  /// Negative log likelihood with the ridge, and its gradient.
  double value(const Vector& w, Vector& gradient) const {
    std::fill(gradient.begin(), gradient.end(), 0.0);
    std::array<Row, kTags> step;
    for (std::size_t a = 0; a < kTags; ++a) {
      for (std::size_t b = 0; b < kTags; ++b) step[a][b] = std::exp(w[steps_at_ + a * kTags + b]);
    }
    double loss = 0;
    for (const Example& example : examples_) loss += lossOf(example, w, step, gradient);
    for (std::size_t i = 0; i < w.size(); ++i) {
      const double ridge = i < steps_at_ ? options_.ridge : options_.step_ridge;
      loss += 0.5 * ridge * w[i] * w[i];
      gradient[i] += ridge * w[i];
    }
    return loss;
  }

  analysis::TaggerWeights weights(const Vector& w) const {
    std::vector<analysis::TaggerWeights::Entry> entries;
    for (const auto& [feature, id] : ids_) {
      for (std::size_t t = 0; t < kTags; ++t) {
        const auto weight = static_cast<float>(w[id * kTags + t]);
        if (std::abs(weight) >= options_.smallest_weight) entries.push_back({feature, static_cast<std::uint8_t>(t), weight});
      }
    }
    for (std::size_t a = 0; a < kTags; ++a) {
      for (std::size_t b = 0; b < kTags; ++b) {
        entries.push_back({analysis::pairFeature(a, b), 0, static_cast<float>(w[steps_at_ + a * kTags + b])});
      }
    }
    return analysis::TaggerWeights(std::move(entries));
  }

 private:
  /// One string by the forward-backward recursion, each word's sums scaled to one.
  double lossOf(const Example& example, const Vector& w, const std::array<Row, kTags>& step, Vector& gradient) const {
    const std::size_t n = example.tags.size();
    std::vector<Row> own(n, Row{});
    std::vector<Row> before(n, Row{});
    double log_all = 0;
    double truth = 0;
    for (std::size_t i = 0; i < n; ++i) {
      for (const std::uint32_t f : example.features[i]) {
        for (std::size_t t = 0; t < kTags; ++t) own[i][t] += w[f * kTags + t];
      }
      truth += own[i][example.tags[i]];
      if (i > 0) truth += w[steps_at_ + example.tags[i - 1] * kTags + example.tags[i]];
      const double largest = *std::max_element(own[i].begin(), own[i].end());
      log_all += largest;
      for (double& v : own[i]) v = std::exp(v - largest);
      before[i] = own[i];
      if (i > 0) {
        Row reached{};
        for (std::size_t a = 0; a < kTags; ++a) {
          for (std::size_t b = 0; b < kTags; ++b) reached[b] += before[i - 1][a] * step[a][b];
        }
        for (std::size_t b = 0; b < kTags; ++b) before[i][b] *= reached[b];
      }
      log_all += std::log(std::accumulate(before[i].begin(), before[i].end(), 0.0));
      scaleToOne(before[i]);
    }
    Row after;
    after.fill(1);
    for (std::size_t i = n; i-- > 0;) {
      Row chance;
      for (std::size_t t = 0; t < kTags; ++t) chance[t] = before[i][t] * after[t];
      scaleToOne(chance);
      chance[example.tags[i]] -= 1;
      for (const std::uint32_t f : example.features[i]) {
        for (std::size_t t = 0; t < kTags; ++t) gradient[f * kTags + t] += chance[t];
      }
      if (i > 0) after = addSteps(example, i, step, before[i - 1], own[i], after, gradient);
    }
    return log_all - truth;
  }

  /// Adds the expected steps into word i to the gradient; returns what follows word i - 1.
  Row addSteps(const Example& example, std::size_t i, const std::array<Row, kTags>& step, const Row& before, const Row& own, const Row& after,
               Vector& gradient) const {
    Row reached{};
    double all = 0;
    for (std::size_t a = 0; a < kTags; ++a) {
      for (std::size_t b = 0; b < kTags; ++b) reached[a] += step[a][b] * own[b] * after[b];
      all += before[a] * reached[a];
    }
    for (std::size_t a = 0; a < kTags; ++a) {
      for (std::size_t b = 0; b < kTags; ++b) gradient[steps_at_ + a * kTags + b] += before[a] * step[a][b] * own[b] * after[b] / all;
    }
    gradient[steps_at_ + example.tags[i - 1] * kTags + example.tags[i]] -= 1;
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
};

/// The two loops of Nocedal 1980: the gradient times the inverse Hessian that the last moves tell of.
Vector directionOf(const Vector& gradient, const std::deque<Move>& moves) {
  Vector d = gradient;
  std::vector<double> alpha(moves.size());
  for (std::size_t k = moves.size(); k-- > 0;) {
    alpha[k] = dot(moves[k].step, d) / dot(moves[k].step, moves[k].change);
    for (std::size_t i = 0; i < d.size(); ++i) d[i] -= alpha[k] * moves[k].change[i];
  }
  const double scale = moves.empty() ? 1 / std::sqrt(dot(gradient, gradient))
                                     : dot(moves.back().step, moves.back().change) / dot(moves.back().change, moves.back().change);
  for (double& v : d) v *= scale;
  for (std::size_t k = 0; k < moves.size(); ++k) {
    const double beta = dot(moves[k].change, d) / dot(moves[k].step, moves[k].change);
    for (std::size_t i = 0; i < d.size(); ++i) d[i] += (alpha[k] - beta) * moves[k].step[i];
  }
  return d;
}

Vector minimised(const Chain& chain, int rounds) {
  constexpr std::size_t kMoves = 6;
  Vector w(chain.size(), 0.0), gradient(chain.size()), next(chain.size()), next_gradient(chain.size());
  double loss = chain.value(w, gradient);
  std::deque<Move> moves;
  for (int round = 0; round < rounds; ++round) {
    const Vector d = directionOf(gradient, moves);
    const double slope = dot(gradient, d);
    double reached = loss;
    double length = 1;
    for (int attempt = 0; attempt < 20; ++attempt, length /= 2) {
      for (std::size_t i = 0; i < w.size(); ++i) next[i] = w[i] - length * d[i];
      reached = chain.value(next, next_gradient);
      if (reached <= loss - 1e-4 * length * slope) break;
    }
    Move move{next, next_gradient};
    for (std::size_t i = 0; i < w.size(); ++i) move.step[i] -= w[i], move.change[i] -= gradient[i];
    if (dot(move.step, move.change) > 1e-10) moves.push_back(std::move(move));
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
  example.features = analysis::tagFeatures(words, analysis::labelByRules(words));
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
