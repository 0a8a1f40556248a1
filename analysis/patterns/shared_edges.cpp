#include "analysis/patterns/shared_edges.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <tuple>
#include <unordered_map>

namespace leeward::analysis {
namespace {

constexpr std::size_t kRowsABatch = 512;
constexpr std::size_t kParts = 64;  ///< of the hash table, each small enough for a processor's own cache
constexpr unsigned kPartShift = 58;

std::uint64_t mixed(std::uint64_t hash, double value) {
  hash ^= std::bit_cast<std::uint64_t>(value);
  hash *= 0x9E3779B97F4A7C15ULL;  // Fibonacci hashing: spreads the low bits of coordinates upwards
  return hash ^ (hash >> 29U);
}

/// An edge with its ends in order, so that both directions are one.
struct Ends {
  Point low, high;
  bool operator==(const Ends&) const = default;
  std::uint64_t hash() const { return mixed(mixed(mixed(mixed(0x2545F4914F6CDD1DULL, low.x), low.y), high.x), high.y); }
};

using RowPairs = std::vector<std::pair<std::uint32_t, std::uint32_t>>;

class Matcher {
 public:
  Matcher(const Geometries& areas, double seam, double wrap) : areas_(areas), vertices_(areas.vertices()), seam_(seam), wrap_(wrap) {
    found_.row.assign(vertices_.size(), SharedEdges::kNone);
    found_.partner.assign(vertices_.size(), SharedEdges::kNone);
    found_.several.assign(vertices_.size(), 0);
    hash_.resize(vertices_.size());
  }

  Result<SharedEdges> match(Progress& progress) {
    LEEWARD_TRY(progress.parallelFor(areas_.size(), kRowsABatch, [&](std::size_t begin, std::size_t end) {
      for (std::size_t row = begin; row < end; ++row) hashRow(row);
    }));
    const auto edges = byPart();
    std::vector<RowPairs> further(kParts);
    LEEWARD_TRY(progress.parallelFor(kParts, 1, [&](std::size_t begin, std::size_t end) {
      for (std::size_t part = begin; part < end; ++part) matchPart(std::span(edges).subspan(starts_[part], starts_[part + 1] - starts_[part]), further[part]);
    }));
    for (const auto& some : further) found_.further.insert(found_.further.end(), some.begin(), some.end());
    return std::move(found_);
  }

 private:
  struct Hashed {
    std::uint64_t hash;
    std::uint32_t edge;
  };
  /// Edges of one kind: the first two; further ones are rare and stand elsewhere.
  struct Slot {
    std::uint32_t hash = 0, first = SharedEdges::kNone, second = SharedEdges::kNone;
  };

  void hashRow(std::size_t row) {
    if (areas_.kind(row) != GeometryKind::Areas) return;
    for (std::size_t path = 0; path < areas_.paths(row); ++path) {
      const auto ring = areas_.path(row, path);
      if (ring.empty()) continue;
      const auto first = static_cast<std::size_t>(ring.data() - vertices_.data());
      for (std::size_t i = first; i + 1 < first + ring.size(); ++i) {
        const Point a = vertices_[i], b = vertices_[i + 1];
        if (a == b || !std::isfinite(a.x + a.y + b.x + b.y)) continue;
        found_.row[i] = static_cast<std::uint32_t>(row);
        hash_[i] = endsOf(i).hash();
      }
    }
  }

  Point plain(Point p) const { return {wrap_ > 0 && p.x == seam_ + wrap_ ? seam_ : p.x + 0.0, p.y + 0.0}; }

  Ends endsOf(std::size_t edge) const {
    const Point a = plain(vertices_[edge]), b = plain(vertices_[edge + 1]);
    return a.x < b.x || (a.x == b.x && a.y < b.y) ? Ends{a, b} : Ends{b, a};
  }

  /// Edges gathered by the upper bits of their hash.
  std::vector<Hashed> byPart() {
    starts_.fill(0);
    for (std::size_t i = 0; i < hash_.size(); ++i) {
      if (found_.row[i] != SharedEdges::kNone) ++starts_[(hash_[i] >> kPartShift) + 1];
    }
    for (std::size_t part = 0; part < kParts; ++part) starts_[part + 1] += starts_[part];
    auto at = starts_;
    std::vector<Hashed> edges(starts_[kParts]);
    for (std::size_t i = 0; i < hash_.size(); ++i) {
      if (found_.row[i] != SharedEdges::kNone) edges[at[hash_[i] >> kPartShift]++] = {hash_[i], static_cast<std::uint32_t>(i)};
    }
    return edges;
  }

  void matchPart(std::span<const Hashed> edges, RowPairs& further) {
    constexpr std::size_t kAhead = 8;
    const std::size_t slots = std::bit_ceil(2 * edges.size() + 1);
    std::vector<Slot> table(slots);
    std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> more;  // by the first of their kind
    for (std::size_t i = 0; i < edges.size(); ++i) {
      if (i + kAhead < edges.size()) {  // these lie all over the memory: they are asked for a few steps before they are needed
        const std::uint32_t later = edges[i + kAhead].edge;
        __builtin_prefetch(&vertices_[later]), __builtin_prefetch(&found_.row[later]), __builtin_prefetch(&found_.partner[later]);
      }
      const auto [hash, edge] = edges[i];
      const auto short_hash = static_cast<std::uint32_t>(hash >> 26U);
      std::size_t at = hash & (slots - 1);
      while (table[at].first != SharedEdges::kNone && !(table[at].hash == short_hash && endsOf(table[at].first) == endsOf(edge))) at = (at + 1) & (slots - 1);
      Slot& slot = table[at];
      if (slot.first == SharedEdges::kNone) {
        slot = {short_hash, edge};
      } else if (slot.second == SharedEdges::kNone) {
        join(slot.first, edge, further);
        slot.second = edge;
      } else {
        auto& others = more[slot.first];
        for (const std::uint32_t other : {slot.first, slot.second}) join(other, edge, further);
        for (const std::uint32_t other : others) join(other, edge, further);
        others.push_back(edge);
      }
    }
  }

  void join(std::uint32_t a, std::uint32_t b, RowPairs& further) {
    const std::uint32_t row_a = found_.row[a], row_b = found_.row[b];
    if (row_a == row_b) return;
    bool new_rows = false;
    for (const auto& [edge, other, other_row] : {std::tuple(a, b, row_b), std::tuple(b, a, row_a)}) {
      std::uint32_t& partner = found_.partner[edge];
      if (partner == SharedEdges::kNone) partner = other;
      else if (found_.row[partner] != other_row) found_.several[edge] = 1, new_rows = true;
    }
    if (new_rows) further.emplace_back(row_a, row_b);
  }

  const Geometries& areas_;
  std::span<const Point> vertices_;
  double seam_, wrap_;
  SharedEdges found_;
  std::vector<std::uint64_t> hash_;
  std::array<std::size_t, kParts + 1> starts_{};
};

}  // namespace

Result<SharedEdges> sharedEdges(const Geometries& areas, double seam, double wrap, Progress& progress) {
  if (areas.vertices().size() >= SharedEdges::kNone || areas.size() >= SharedEdges::kNone) {
    return Problem{ProblemCode::ResourceExhausted, "these areas have too many corners", "", "Take fewer areas, or simpler ones"};
  }
  return Matcher(areas, seam, wrap).match(progress);
}

}  // namespace leeward::analysis
