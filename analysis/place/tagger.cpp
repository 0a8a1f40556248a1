/// Learned weights and the best sequence of labels under them.
#include <cmath>

#include "analysis/place/tagging.h"

namespace leeward::analysis {
namespace {

constexpr unsigned kTopBits = 16;
constexpr float kWeightUnit = 1.0F / 256;
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

std::vector<std::uint8_t> bestPath(const std::vector<TagRow>& rows, const std::array<TagRow, kTags>& step) {
  const std::size_t n = rows.size();
  if (n == 0) return {};
  std::vector<TagRow> score = rows;
  std::vector<std::array<std::uint8_t, kTags>> from(n);
  for (std::size_t i = 1; i < n; ++i) {
    TagRow best;
    best.fill(-1e30F);
    for (std::size_t a = 0; a < kTags; ++a) {
      for (std::size_t b = 0; b < kTags; ++b) {
        const float reached = score[i - 1][a] + step[a][b];
        if (reached > best[b]) {
          best[b] = reached;
          from[i][b] = static_cast<std::uint8_t>(a);
        }
      }
    }
    for (std::size_t b = 0; b < kTags; ++b) score[i][b] += best[b];
  }
  std::vector<std::uint8_t> path(n);
  path[n - 1] = static_cast<std::uint8_t>(std::max_element(score[n - 1].begin(), score[n - 1].end()) - score[n - 1].begin());
  for (std::size_t i = n - 1; i > 0; --i) path[i - 1] = from[i][path[i]];
  return path;
}

TaggerWeights::TaggerWeights(std::vector<Entry> entries) : entries_(std::move(entries)) {
  std::sort(entries_.begin(), entries_.end());
  starts_.assign((1U << kTopBits) + 1, static_cast<std::uint32_t>(entries_.size()));
  for (std::size_t i = entries_.size(); i-- > 0;) starts_[entries_[i].feature >> (32 - kTopBits)] = static_cast<std::uint32_t>(i);
  for (std::size_t i = starts_.size() - 1; i-- > 0;) starts_[i] = std::min(starts_[i], starts_[i + 1]);
  for (std::size_t a = 0; a < kTags; ++a) {
    for (std::size_t b = 0; b < kTags; ++b) {
      for (const Entry& e : of(pairFeature(a, b))) step_[a][b] = e.weight;
    }
  }
}

std::span<const TaggerWeights::Entry> TaggerWeights::of(std::uint32_t feature) const {
  if (entries_.empty()) return {};
  const std::uint32_t bucket = feature >> (32 - kTopBits);
  const auto begin = entries_.begin() + starts_[bucket];
  const auto end = entries_.begin() + starts_[bucket + 1];
  const auto first = std::lower_bound(begin, end, feature, [](const Entry& e, std::uint32_t f) { return e.feature < f; });
  auto last = first;
  while (last != end && last->feature == feature) ++last;
  return {first, last};
}

std::vector<AddressLabel> TaggerWeights::label(const std::vector<std::vector<std::uint32_t>>& features) const {
  std::vector<TagRow> rows(features.size(), TagRow{});
  for (std::size_t i = 0; i < features.size(); ++i) {
    for (const std::uint32_t f : features[i]) {
      for (const Entry& e : of(f)) rows[i][e.tag] += e.weight;
    }
  }
  std::vector<AddressLabel> labels;
  for (const std::uint8_t tag : bestPath(rows, step_)) labels.push_back(labelOfTag(tag));
  return labels;
}

std::string TaggerWeights::encode() const {
  std::vector<std::uint8_t> bytes;
  for (const Entry& e : entries_) {
    const long scaled = std::clamp(std::lround(e.weight / kWeightUnit), -32768L, 32767L);
    const std::uint32_t weight = static_cast<std::uint32_t>(scaled + 32768);
    for (int shift = 24; shift >= 0; shift -= 8) bytes.push_back(static_cast<std::uint8_t>(e.feature >> shift));
    bytes.push_back(e.tag);
    bytes.push_back(static_cast<std::uint8_t>(weight >> 8));
    bytes.push_back(static_cast<std::uint8_t>(weight));
  }
  while (bytes.size() % 3 != 0) bytes.push_back(0);
  return toBase64(bytes);
}

TaggerWeights TaggerWeights::decode(std::string_view text) {
  const std::vector<std::uint8_t> bytes = fromBase64(text);
  std::vector<Entry> entries;
  for (std::size_t i = 0; i + 7 <= bytes.size(); i += 7) {
    Entry e;
    for (std::size_t k = 0; k < 4; ++k) e.feature = (e.feature << 8) | bytes[i + k];
    e.tag = bytes[i + 4];
    if (e.tag >= kTags) continue;
    e.weight = static_cast<float>((bytes[i + 5] << 8 | bytes[i + 6]) - 32768) * kWeightUnit;
    entries.push_back(e);
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
