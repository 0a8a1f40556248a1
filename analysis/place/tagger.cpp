/// Learned weights and the best sequence of labels under them.
#include <algorithm>
#include <bit>
#include <cmath>

#include "analysis/place/tagging.h"

namespace leeward::analysis {
namespace {

constexpr float kWeightUnit = 1.0F / 128;
constexpr long kLargestWeight = 1023;  // in units: eleven bits with the sign
constexpr std::uint32_t kCountBits = 6;
constexpr std::string_view kBase64 = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

std::string toBase64(const std::vector<std::uint8_t>& bytes) {
  std::string out;
  for (std::size_t i = 0; i + 2 < bytes.size(); i += 3) {
    const std::uint32_t three = (std::uint32_t{bytes[i]} << 16) | (std::uint32_t{bytes[i + 1]} << 8) | bytes[i + 2];
    for (int shift = 18; shift >= 0; shift -= 6) out.push_back(kBase64[(three >> shift) & 63U]);
  }
  return out;
}

std::vector<std::uint8_t> fromBase64(std::string_view text) {
  std::array<std::uint8_t, 256> value{};
  for (std::size_t i = 0; i < kBase64.size(); ++i) value[static_cast<unsigned char>(kBase64[i])] = static_cast<std::uint8_t>(i);
  std::vector<std::uint8_t> bytes;
  bytes.reserve(text.size() / 4 * 3);
  for (std::size_t i = 0; i + 3 < text.size(); i += 4) {
    std::uint32_t three = 0;
    for (std::size_t k = 0; k < 4; ++k) three = (three << 6) | value[static_cast<unsigned char>(text[i + k])];
    for (int shift = 16; shift >= 0; shift -= 8) bytes.push_back(static_cast<std::uint8_t>(three >> shift));
  }
  return bytes;
}

}  // namespace

std::uint8_t tagOf(AddressLabel label) {
  return label == AddressLabel::NotAddress ? static_cast<std::uint8_t>(kTags - 1) : static_cast<std::uint8_t>(label);
}

AddressLabel labelOfTag(std::size_t tag) { return tag == kTags - 1 ? AddressLabel::NotAddress : static_cast<AddressLabel>(tag); }

std::vector<std::uint8_t> bestPath(const std::vector<TagRow>& rows, const std::vector<const StepWeights*>& steps) {
  const std::size_t n = rows.size();
  if (n == 0) return {};
  std::vector<TagRow> score = rows;  ///< of the best path that ends in each tag
  for (std::size_t i = 1; i < n; ++i) {
    TagRow best;
    best.fill(-1e30F);
    for (std::size_t a = 0; a < kTags; ++a) {
      const TagRow& step = (*steps[i])[a];
      for (std::size_t b = 0; b < best.size(); ++b) best[b] = std::max(best[b], score[i - 1][a] + step[b]);
    }
    for (std::size_t b = 0; b < best.size(); ++b) score[i][b] += best[b];
  }
  std::vector<std::uint8_t> path(n);
  const auto bestOf = [](const TagRow& row) {
    return static_cast<std::uint8_t>(std::max_element(row.begin(), row.begin() + kTags) - row.begin());
  };
  path[n - 1] = bestOf(score[n - 1]);
  // Where the best path came from is worked out on the way back: cheaper than keeping it for every tag.
  for (std::size_t i = n - 1; i > 0; --i) {
    TagRow reached = score[i - 1];
    for (std::size_t a = 0; a < kTags; ++a) reached[a] += (*steps[i])[a][path[i]];
    path[i - 1] = bestOf(reached);
  }
  return path;
}

TaggerWeights::TaggerWeights(std::vector<Entry> entries) {
  std::sort(entries.begin(), entries.end());
  slots_.resize(std::bit_ceil(entries.size() + 1));
  const std::size_t mask = slots_.size() - 1;
  for (std::size_t i = 0; i < entries.size();) {
    const std::uint32_t feature = entries[i].feature;
    const auto first = static_cast<std::uint32_t>(weights_.size());
    for (; i < entries.size() && entries[i].feature == feature; ++i) {
      const long value = std::clamp(std::lround(entries[i].weight / kWeightUnit), -kLargestWeight, kLargestWeight);
      if (value != 0) weights_.push_back({entries[i].tag, static_cast<std::int16_t>(value)});
    }
    const auto count = static_cast<std::uint32_t>(weights_.size()) - first;
    if (count == 0) continue;
    std::size_t at = feature & mask;
    while (slots_[at].at != 0) at = (at + 1) & mask;
    slots_[at] = {feature, (first << kCountBits) + count};
  }
  fillSteps();
}

void TaggerWeights::fillSteps() {
  const auto weightOf = [&](std::size_t kind, std::size_t a, std::size_t b) {
    const auto found = of(pairFeature(kind, a, b));
    return found.empty() ? 0.0F : static_cast<float>(found.front().value) * kWeightUnit;
  };
  steps_.assign(kStepKinds, StepWeights{});
  for (std::size_t a = 0; a < kTags; ++a) {
    for (std::size_t b = 0; b < kTags; ++b) {
      const float always = weightOf(0, a, b);
      for (std::size_t kind = 0; kind < kStepKinds; ++kind) steps_[kind][a][b] = always + weightOf(kind + 1, a, b);
    }
  }
}

std::span<const TaggerWeights::Weight> TaggerWeights::of(std::uint32_t feature) const {
  const std::size_t mask = slots_.size() - 1;
  for (std::size_t at = feature & mask; slots_[at].at != 0; at = (at + 1) & mask) {
    if (slots_[at].feature != feature) continue;
    return {weights_.data() + (slots_[at].at >> kCountBits), slots_[at].at & ((1U << kCountBits) - 1)};
  }
  return {};
}

std::vector<AddressLabel> TaggerWeights::label(const SeenLine& line) const {
  std::vector<TagRow> rows(line.step_kinds.size());
  std::vector<const StepWeights*> steps(rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    std::array<std::int32_t, std::tuple_size_v<TagRow>> sum{};
    for (const std::uint32_t feature : line.of(i)) {
      for (const Weight& weight : of(feature)) sum[weight.tag] += weight.value;
    }
    for (std::size_t t = 0; t < sum.size(); ++t) rows[i][t] = static_cast<float>(sum[t]) * kWeightUnit;
    steps[i] = &steps_[line.step_kinds[i]];
  }
  std::vector<AddressLabel> labels;
  for (const std::uint8_t tag : bestPath(rows, steps)) labels.push_back(labelOfTag(tag));
  return labels;
}

std::vector<std::uint32_t> TaggerWeights::featuresInOrder() const {
  std::vector<std::uint32_t> features;
  for (const Slot& slot : slots_) {
    if (slot.at != 0) features.push_back(slot.feature);
  }
  std::sort(features.begin(), features.end());
  return features;
}

std::string TaggerWeights::encode() const {
  std::vector<std::uint8_t> bytes;
  for (const std::uint32_t feature : featuresInOrder()) {
    for (int shift = 24; shift >= 0; shift -= 8) bytes.push_back(static_cast<std::uint8_t>(feature >> shift));
    const auto weights = of(feature);
    bytes.push_back(static_cast<std::uint8_t>(weights.size()));
    for (const Weight& weight : weights) {
      const std::uint32_t both = std::uint32_t{weight.tag} << 11 | static_cast<std::uint32_t>(weight.value + kLargestWeight + 1);
      bytes.push_back(static_cast<std::uint8_t>(both >> 8));
      bytes.push_back(static_cast<std::uint8_t>(both));
    }
  }
  while (bytes.size() % 3 != 0) bytes.push_back(0);
  return toBase64(bytes);
}

TaggerWeights TaggerWeights::decode(std::string_view text) {
  const std::vector<std::uint8_t> bytes = fromBase64(text);
  std::vector<Entry> entries;
  for (std::size_t i = 0; i + 5 <= bytes.size();) {
    std::uint32_t feature = 0;
    for (std::size_t k = 0; k < 4; ++k) feature = feature << 8 | bytes[i + k];
    std::size_t count = bytes[i + 4];
    for (i += 5; count > 0 && i + 2 <= bytes.size(); --count, i += 2) {
      const std::uint32_t both = std::uint32_t{bytes[i]} << 8 | bytes[i + 1];
      const long value = static_cast<long>(both & 0x7FFU) - kLargestWeight - 1;
      if (both >> 11 < kTags) entries.push_back({feature, static_cast<std::uint8_t>(both >> 11), static_cast<float>(value) * kWeightUnit});
    }
  }
  return TaggerWeights(std::move(entries));
}

const TaggerWeights& TaggerWeights::committed() {
  static const TaggerWeights weights = decode(
#include "analysis/place/tagger_weights.inc"
  );
  return weights;
}

}  // namespace leeward::analysis
