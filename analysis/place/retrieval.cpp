/// Streets whose names are near the one typed: deletion neighbourhoods (Mor & Fraenkel 1982, "A hash code method for
/// detecting and correcting spelling errors", CACM 25) over the distinct names, checked by the slips' true count.
#include "analysis/place/index_data.h"
#include "analysis/place/postal_words.h"
#include "analysis/place/tokens.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kLongestKey = 40;
constexpr std::size_t kDeletedWithin = 20;  ///< letters are left out of the first so many only, to keep the table small

std::uint32_t hashOf(std::string_view text) {
  std::uint32_t value = 2166136261U;
  for (const char c : text) value = (value ^ static_cast<unsigned char>(c)) * 16777619U;
  return value;
}

std::string figuresOf(std::string_view key) {
  std::string figures;
  for (const char c : key) {
    if (c >= '0' && c <= '9') figures.push_back(c);
  }
  return figures;
}

void addKeys(const Street& street, std::uint32_t id, std::vector<std::pair<std::string, StreetKey>>& keys) {
  const std::vector<std::string> words = streetWords(street.name);
  const std::vector<StreetParts> readings = streetReadings(words);
  keys.push_back({street.parts.core, {id, KeyKind::Name}});
  for (std::size_t i = 1; i < readings.size(); ++i) keys.push_back({readings[i].core, {id, KeyKind::WholeName}});
  std::vector<std::string> name(words);
  if (!street.parts.after.empty() && name.size() > 1) name.pop_back();
  if (!street.parts.type.empty() && name.size() > 1) name.pop_back();
  if (!street.parts.before.empty() && name.size() > 1) name.erase(name.begin());
  // As written too, ordinals in words: a slip in "Sixth" or "Garden" is found only there.
  std::string written;
  std::string in_words;
  for (const std::string& word : name) {
    written += word;
    const int value = isOrdinalFigure(word) ? std::stoi(word.substr(0, std::min<std::size_t>(word.size() - 2, 3))) : 0;
    in_words += value > 0 ? spelledOrdinal(value) : word;
  }
  keys.push_back({written, {id, KeyKind::Name}});
  keys.push_back({in_words, {id, KeyKind::Name}});
  if (name.size() >= 2 && name.back().size() >= 4 && standardType(name.back()).empty()) {
    keys.push_back({comparable(name.back()), {id, KeyKind::Part}});
  }
  if (name.size() >= 2 && name.front().size() >= 5 && standardType(name.front()).empty()) {
    keys.push_back({comparable(name.front()), {id, KeyKind::Part}});
  }
  if (name.size() < 3) return;
  std::string initials;
  for (const std::string& word : name) {
    if (word != "JR" && word != "SR") initials.push_back(word[0]);
  }
  if (initials.size() >= 3) keys.push_back({initials, {id, KeyKind::Part}});
}

}  // namespace

int slipsBorne(std::string_view key) { return key.size() < 3 ? 0 : key.size() < 5 ? 1 : 2; }

std::vector<std::uint32_t> deletionHashes(std::string_view key, int most) {
  std::vector<std::uint32_t> hashes{hashOf(key)};
  std::string once;
  std::string twice;
  const std::size_t reach = std::min(key.size(), kDeletedWithin);
  for (std::size_t i = 0; most >= 1 && i < reach; ++i) {
    once.assign(key);
    once.erase(i, 1);
    hashes.push_back(hashOf(once));
    for (std::size_t j = i; most >= 2 && j + 1 < reach; ++j) {
      twice = once;
      twice.erase(j, 1);
      hashes.push_back(hashOf(twice));
    }
  }
  std::sort(hashes.begin(), hashes.end());
  hashes.erase(std::unique(hashes.begin(), hashes.end()), hashes.end());
  return hashes;
}

void buildRetrieval(IndexData& index) {
  std::vector<std::pair<std::string, StreetKey>> keys;
  for (std::uint32_t s = 0; s < index.streets.size(); ++s) addKeys(index.streets[s], s, keys);
  std::sort(keys.begin(), keys.end(), [](const auto& a, const auto& b) {
    if (a.first != b.first) return a.first < b.first;
    return a.second.street != b.second.street ? a.second.street < b.second.street : a.second.kind < b.second.kind;
  });
  for (const auto& [key, held] : keys) {
    if (key.empty() || key.size() > kLongestKey) continue;
    if (index.cores.empty() || index.cores.back() != key) {
      index.cores.push_back(key);
      index.core_starts.push_back(static_cast<std::uint32_t>(index.keys.size()));
    } else if (index.keys.back().street == held.street) {
      continue;  // the better kind stands already
    }
    index.keys.push_back(held);
  }
  index.core_starts.push_back(static_cast<std::uint32_t>(index.keys.size()));
  for (std::uint32_t c = 0; c < index.cores.size(); ++c) {
    for (const std::uint32_t hash : deletionHashes(index.cores[c], slipsBorne(index.cores[c]))) index.deletions.emplace_back(hash, c);
  }
  std::sort(index.deletions.begin(), index.deletions.end());
  index.deletion_starts.assign((1U << kDeletionBits) + 1, 0);
  for (const auto& [hash, core] : index.deletions) ++index.deletion_starts[(hash >> (32 - kDeletionBits)) + 1];
  for (std::size_t i = 1; i < index.deletion_starts.size(); ++i) index.deletion_starts[i] += index.deletion_starts[i - 1];
}

const std::vector<CoreMatch>& NearCoresMemo::of(const IndexData& index, const std::string& key, std::size_t most) {
  if (known_.size() > kKept) known_.clear();
  const auto [at, is_new] = known_.try_emplace(key);
  if (is_new) at->second = nearCores(index, key, most);
  return at->second;
}

const std::vector<std::uint8_t>& NearCoresMemo::townSlips(const IndexData& index, const std::string& town) {
  constexpr std::size_t kTownsKept = 500;
  if (towns_.size() > kTownsKept) towns_.clear();
  const auto [at, is_new] = towns_.try_emplace(town);
  for (std::uint32_t place = 0; is_new && place < index.places.size(); ++place) {
    at->second.push_back(static_cast<std::uint8_t>(slipsBetween(town, index.places[place], 2)));
  }
  return at->second;
}

std::vector<CoreMatch> nearCores(const IndexData& index, std::string_view key, std::size_t most) {
  std::vector<CoreMatch> found;
  if (key.empty() || key.size() > kLongestKey) return found;
  const int borne = slipsBorne(key);
  const std::string figures = figuresOf(key);
  std::vector<std::uint32_t> ids;
  for (const std::uint32_t hash : deletionHashes(key, borne)) {
    const std::uint32_t bucket = hash >> (32 - kDeletionBits);
    for (std::uint32_t at = index.deletion_starts[bucket]; at < index.deletion_starts[bucket + 1] && index.deletions[at].first <= hash; ++at) {
      if (index.deletions[at].first == hash) ids.push_back(index.deletions[at].second);
    }
  }
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  for (const std::uint32_t id : ids) {
    const std::string& core = index.cores[id];
    const int slips = slipsBetween(key, core, std::max(borne, 0));
    if (slips > borne || (slips > 0 && figures != figuresOf(core))) continue;
    found.push_back({id, slips, false});
  }
  // How a longer name begins: "MASS" for a long one, from four letters.
  if (key.size() >= 4 && figures.empty()) {
    auto at = std::lower_bound(index.cores.begin(), index.cores.end(), key);
    for (int count = 0; at != index.cores.end() && count < 8 && at->starts_with(key); ++at, ++count) {
      const auto id = static_cast<std::uint32_t>(at - index.cores.begin());
      if (!std::binary_search(ids.begin(), ids.end(), id)) found.push_back({id, 2, true});
    }
  }
  std::sort(found.begin(), found.end(), [](const CoreMatch& a, const CoreMatch& b) {
    return a.slips != b.slips ? a.slips < b.slips : a.core < b.core;
  });
  if (found.size() > most) found.resize(most);
  return found;
}

}  // namespace leeward::analysis
