#include "tests/reference/place/trainer.h"

#include <cmath>
#include <numeric>
#include <unordered_map>
#include <unordered_set>

#include "shared/base/random.h"

namespace leeward::test {
namespace {

using analysis::kTags;
using analysis::TagRow;

struct Example {
  std::vector<std::vector<std::uint32_t>> features;
  std::vector<std::uint8_t> tags;
};

struct Learned {
  TagRow weight{};
  TagRow total{};
  std::array<std::uint32_t, kTags> since{};
};

class Perceptron {
 public:
  std::vector<std::uint8_t> tag(const Example& example) const {
    std::vector<TagRow> rows(example.features.size(), TagRow{});
    for (std::size_t i = 0; i < rows.size(); ++i) {
      for (const std::uint32_t f : example.features[i]) {
        const auto found = emissions_.find(f);
        if (found == emissions_.end()) continue;
        for (std::size_t t = 0; t < kTags; ++t) rows[i][t] += found->second.weight[t];
      }
    }
    std::array<TagRow, kTags> step;
    for (std::size_t a = 0; a < kTags; ++a) step[a] = pairs_[a].weight;
    return analysis::bestPath(rows, step);
  }

  void learn(const Example& example) {
    ++now_;
    const std::vector<std::uint8_t> guess = tag(example);
    if (guess == example.tags) return;
    for (std::size_t i = 0; i < guess.size(); ++i) {
      if (guess[i] != example.tags[i]) {
        for (const std::uint32_t f : example.features[i]) {
          Learned& learned = emissions_[f];
          add(learned, example.tags[i], 1);
          add(learned, guess[i], -1);
        }
      }
      if (i == 0) continue;
      add(pairs_[example.tags[i - 1]], example.tags[i], 1);
      add(pairs_[guess[i - 1]], guess[i], -1);
    }
  }

  analysis::TaggerWeights averaged(float smallest) {
    std::vector<analysis::TaggerWeights::Entry> entries;
    const auto put = [&](std::uint32_t feature, std::uint8_t tag, float weight) {
      if (std::abs(weight) >= smallest) entries.push_back({feature, tag, weight});
    };
    for (auto& [feature, learned] : emissions_) {
      for (std::size_t t = 0; t < kTags; ++t) put(feature, static_cast<std::uint8_t>(t), mean(learned, t));
    }
    for (std::size_t a = 0; a < kTags; ++a) {
      for (std::size_t b = 0; b < kTags; ++b) put(analysis::pairFeature(a, b), 0, mean(pairs_[a], b));
    }
    return analysis::TaggerWeights(std::move(entries));
  }

 private:
  void settle(Learned& learned, std::size_t tag) const {
    learned.total[tag] += learned.weight[tag] * static_cast<float>(now_ - learned.since[tag]);
    learned.since[tag] = now_;
  }
  void add(Learned& learned, std::size_t tag, float by) {
    settle(learned, tag);
    learned.weight[tag] += by;
  }
  float mean(Learned& learned, std::size_t tag) const {
    settle(learned, tag);
    return learned.total[tag] / static_cast<float>(now_);
  }

  std::unordered_map<std::uint32_t, Learned> emissions_;
  std::array<Learned, kTags> pairs_{};
  std::uint32_t now_ = 0;
};

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
  Perceptron perceptron;
  std::vector<std::size_t> order(examples.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  Random random(options.seed);
  for (int round = 0; round < options.rounds; ++round) {
    for (std::size_t i = order.size(); i > 1; --i) std::swap(order[i - 1], order[random.below(static_cast<std::uint32_t>(i))]);
    for (const std::size_t i : order) perceptron.learn(examples[i]);
  }
  return perceptron.averaged(options.smallest_weight);
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
