/// Streets whose names are near the one typed: deletion neighbourhoods (Mor & Fraenkel 1982, "A hash code method for
/// detecting and correcting spelling errors", CACM 25) over the distinct names, checked by the slips' true count.
#include <bit>
#include <map>

#include "analysis/place/index_data.h"
#include "analysis/place/postal_words.h"
#include "analysis/place/scoring.h"
#include "analysis/place/sound.h"
#include "analysis/place/tokens.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kLongestKey = 40;
constexpr std::size_t kShortestByEar = 4;   ///< letters
constexpr std::size_t kFewestSounds = 2;    ///< of which the figures and the first vowel are part
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

/// Numbers for the distinct types and directions.
class Numbers {
 public:
  explicit Numbers(IndexData& index) : index_(index) {
    index_.types = {""};
    index_.directions = {{"", ""}};
  }
  StreetKey complete(StreetKey key) {
    const Street& street = index_.streets[key.street];
    key.place = street.place;
    key.type = static_cast<std::uint16_t>(of(index_.types, types_, street.parts.type));
    key.direction = static_cast<std::uint8_t>(of(index_.directions, directions_, std::pair(street.parts.before, street.parts.after)));
    return key;
  }

 private:
  template <class T>
  static std::size_t of(std::vector<T>& list, std::map<T, std::size_t>& numbers, const T& value) {
    if (value == T{}) return 0;
    const auto [at, is_new] = numbers.try_emplace(value, list.size());
    if (is_new) list.push_back(value);
    return at->second;
  }
  IndexData& index_;
  std::map<std::string, std::size_t> types_;
  std::map<std::pair<std::string, std::string>, std::size_t> directions_;
};

void addKeys(const Street& street, std::uint32_t id, std::vector<std::pair<std::string, StreetKey>>& keys) {
  const std::vector<std::string> words = streetWords(street.name);
  const std::vector<StreetParts> readings = streetReadings(words);
  keys.push_back({street.parts.core, {.street = id, .kind = KeyKind::Name}});
  for (std::size_t i = 1; i < readings.size(); ++i) keys.push_back({readings[i].core, {.street = id, .kind = KeyKind::WholeName}});
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
  keys.push_back({written, {.street = id, .kind = KeyKind::Name}});
  keys.push_back({in_words, {.street = id, .kind = KeyKind::Name}});
  if (name.size() >= 2 && name.back().size() >= 4 && standardType(name.back()).empty()) {
    keys.push_back({comparable(name.back()), {.street = id, .kind = KeyKind::Part}});
  }
  if (name.size() >= 2 && name.front().size() >= 5 && standardType(name.front()).empty()) {
    keys.push_back({comparable(name.front()), {.street = id, .kind = KeyKind::Part}});
  }
  if (name.size() < 3) return;
  std::string initials;
  for (const std::string& word : name) {
    if (word != "JR" && word != "SR") initials.push_back(word[0]);
  }
  if (initials.size() >= 3) keys.push_back({initials, {.street = id, .kind = KeyKind::Part}});
}

/// "" for a name too short to be known by ear.
std::string soundToFind(std::string_view core) {
  if (core.size() < kShortestByEar) return "";
  std::string sound = soundOf(core);
  return sound.size() < kFewestSounds ? "" : sound;
}

void addByEar(const IndexData& index, std::string_view key, std::vector<CoreMatch>& found) {
  const std::string sound = soundToFind(key);
  if (sound.empty()) return;
  for (auto at = std::lower_bound(index.sounds.begin(), index.sounds.end(), std::pair(sound, std::uint32_t{0})); at != index.sounds.end() && at->first == sound; ++at) {
    CoreMatch match{at->second, 2, false, true};
    if (figuresOf(key) == figuresOf(index.cores[at->second])) found.push_back(match);
  }
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
  Numbers numbers(index);
  for (const auto& [key, made] : keys) {
    const StreetKey held = numbers.complete(made);
    if (key.empty() || key.size() > kLongestKey) continue;
    if (index.cores.empty() || index.cores.back() != key) {
      index.cores.push_back(key);
      index.core_lengths[key.size()] = true;
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
  for (std::uint32_t c = 0; c < index.cores.size(); ++c) {
    if (std::string sound = soundToFind(index.cores[c]); !sound.empty()) index.sounds.emplace_back(std::move(sound), c);
  }
  std::sort(index.sounds.begin(), index.sounds.end());
  const int size = static_cast<int>(std::bit_width(index.deletions.size()));
  index.deletion_bits = std::clamp(size - 3, 6, 18);
  index.filter_bits = std::clamp(size + 3, 8, 24);
  index.deletion_filter.assign((std::size_t{1} << index.filter_bits) / 64, 0);
  for (const auto& [hash, core] : index.deletions) {
    const std::uint32_t bit = hash >> (32 - index.filter_bits);
    index.deletion_filter[bit / 64] |= std::uint64_t{1} << (bit % 64);
  }
  index.deletion_starts.assign((std::size_t{1} << index.deletion_bits) + 1, 0);
  for (const auto& [hash, core] : index.deletions) ++index.deletion_starts[(hash >> (32 - index.deletion_bits)) + 1];
  for (std::size_t i = 1; i < index.deletion_starts.size(); ++i) index.deletion_starts[i] += index.deletion_starts[i - 1];
}

const std::vector<std::uint8_t>& NearCoresMemo::typeAgreements(const IndexData& index, const std::string& type) {
  const auto [at, is_new] = types_.try_emplace(type);  // standard types: there are only so many
  for (std::size_t i = 0; is_new && i < index.types.size(); ++i) at->second.push_back(static_cast<std::uint8_t>(compareTypes(type, index.types[i])));
  return at->second;
}

const std::vector<std::uint8_t>& NearCoresMemo::directionAgreements(const IndexData& index, const StreetParts& typed) {
  const auto [at, is_new] = directions_.try_emplace(typed.before + '|' + typed.after);
  for (std::size_t i = 0; is_new && i < index.directions.size(); ++i) {
    StreetParts of;
    of.before = index.directions[i].first, of.after = index.directions[i].second;
    at->second.push_back(static_cast<std::uint8_t>(compareDirections(typed, of)));
  }
  return at->second;
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
  const SlipCounter counter(town);
  for (std::uint32_t place = 0; is_new && place < index.places.size(); ++place) {
    at->second.push_back(static_cast<std::uint8_t>(counter.to(index.places[place], 2)));
  }
  for (std::uint32_t place = 1; is_new && place < index.neighbours.size(); ++place) {
    if (at->second[place] != 0) continue;
    for (const std::uint32_t beside : index.neighbours[place]) {
      if (at->second[beside] > 2) at->second[beside] = kNeighbourTown;
    }
  }
  return at->second;
}

std::vector<CoreMatch> nearCores(const IndexData& index, std::string_view key, std::size_t most) {
  std::vector<CoreMatch> found;
  if (key.empty() || key.size() > kLongestKey) return found;
  const int borne = slipsBorne(key);
  const std::string figures = figuresOf(key);
  std::vector<std::uint32_t> ids;
  const auto lengths = index.core_lengths.begin() + static_cast<std::ptrdiff_t>(key.size());
  // A street with a town and a note behind it is longer than any name: most of what is tried on a messy line ends here.
  const bool any_as_long = std::find(lengths - std::min<std::ptrdiff_t>(borne, static_cast<std::ptrdiff_t>(key.size())), lengths + borne + 1, true) != lengths + borne + 1;
  for (const std::uint32_t hash : any_as_long ? deletionHashes(key, borne) : std::vector<std::uint32_t>{}) {
    const std::uint32_t bit = hash >> (32 - index.filter_bits);
    if (((index.deletion_filter[bit / 64] >> (bit % 64)) & 1U) == 0) continue;
    const std::uint32_t bucket = hash >> (32 - index.deletion_bits);
    for (std::uint32_t at = index.deletion_starts[bucket]; at < index.deletion_starts[bucket + 1] && index.deletions[at].first <= hash; ++at) {
      if (index.deletions[at].first == hash) ids.push_back(index.deletions[at].second);
    }
  }
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  const SlipCounter counter(key);
  for (const std::uint32_t id : ids) {
    const std::string& core = index.cores[id];
    const int slips = counter.to(core, std::max(borne, 0));
    if (slips > borne || (slips > 0 && figures != figuresOf(core))) continue;
    found.push_back({id, slips, false});
  }
  if (found.empty()) addByEar(index, key, found);
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
