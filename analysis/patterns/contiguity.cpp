#include "analysis/patterns/contiguity.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "analysis/patterns/near_edges.h"
#include "analysis/patterns/shared_edges.h"

namespace leeward::analysis {
namespace {

constexpr double kRunInTolerances = 10;  ///< how far borders must run side by side to share a length
constexpr double kRounding = 64 * std::numeric_limits<double>::epsilon();

using RowPair = std::pair<std::uint32_t, std::uint32_t>;

RowPair ordered(std::uint32_t a, std::uint32_t b) { return a < b ? RowPair{a, b} : RowPair{b, a}; }

void makeUnique(std::vector<RowPair>& pairs) {
  std::sort(pairs.begin(), pairs.end());
  pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
}

/// Goes around all rings: pairs of rows that share edges, and the pieces that must be looked at more closely.
class Borders {
 public:
  Borders(const Geometries& areas, const SharedEdges& shared, bool with_corners) : areas_(areas), vertices_(areas.vertices()), shared_(shared), with_corners_(with_corners) {
    pairs_ = shared.further;
    for (RowPair& pair : pairs_) pair = ordered(pair.first, pair.second);
    for (std::size_t row = 0; row < areas.size(); ++row) {
      if (areas.kind(row) != GeometryKind::Areas) continue;
      for (std::size_t path = 0; path < areas.paths(row); ++path) goAround(areas.path(row, path));
    }
    makeUnique(pairs_);
  }

  const std::vector<RowPair>& pairs() const { return pairs_; }
  std::vector<BorderPiece>& pieces() { return pieces_; }

  /// Edges that have a partner, which are only needed where others may lie across them.
  void addKnown(double within) {
    const RoughPicture others(pieces_, within);
    for (std::size_t edge = 0; edge < shared_.row.size(); ++edge) {
      if (shared_.row[edge] != SharedEdges::kNone && isShared(edge) && others.mayMeet(vertices_[edge], vertices_[edge + 1])) add(edge, vertices_[edge], vertices_[edge + 1], true);
    }
  }

 private:
  bool isShared(std::size_t edge) const { return shared_.partner[edge] != SharedEdges::kNone; }

  void add(std::size_t edge, Point a, Point b, bool known) { pieces_.push_back({a, b, shared_.row[edge], static_cast<std::uint32_t>(edge), known}); }

  void goAround(std::span<const Point> ring) {
    if (ring.size() < 2) return;
    const auto first = static_cast<std::size_t>(ring.data() - vertices_.data()), end = first + ring.size() - 1;
    std::size_t before = SharedEdges::kNone;
    for (std::size_t edge = end; edge-- > first && before == SharedEdges::kNone;) {
      if (shared_.row[edge] != SharedEdges::kNone) before = edge;
    }
    std::uint32_t last_row = SharedEdges::kNone;
    for (std::size_t edge = first; edge < end; ++edge) {
      if (shared_.row[edge] == SharedEdges::kNone) continue;
      if (!isShared(edge)) {
        add(edge, vertices_[edge], vertices_[edge + 1], false);
      } else {
        const std::uint32_t other = shared_.row[shared_.partner[edge]];
        if (other != last_row) pairs_.push_back(ordered(shared_.row[edge], other));
        last_row = other;
        if (with_corners_ && isShared(before) && !goesOn(before, edge)) add(edge, vertices_[edge], vertices_[edge], false);
      }
      before = edge;
    }
  }

  /// Whether one neighbour's ring runs along both edges without a break: then these two areas fill all the ground about the corner
  /// between them, and nobody else can touch there.
  bool goesOn(std::size_t edge, std::size_t next) const {
    if (shared_.several[edge] != 0 || shared_.several[next] != 0) return false;
    const std::uint32_t a = shared_.partner[edge], b = shared_.partner[next];
    return shared_.row[a] == shared_.row[b] && (a == b + 1 || b == a + 1);
  }

  const Geometries& areas_;
  std::span<const Point> vertices_;
  const SharedEdges& shared_;
  bool with_corners_;
  std::vector<RowPair> pairs_;
  std::vector<BorderPiece> pieces_;
};

/// Pieces at the western end once more at the eastern one, where the layer goes around the earth.
void repeatAtSeam(std::vector<BorderPiece>& pieces, double seam, double wrap, double within) {
  const std::size_t count = pieces.size();
  for (std::size_t i = 0; i < count; ++i) {
    BorderPiece piece = pieces[i];
    if (std::min(piece.a.x, piece.b.x) > seam + within) continue;
    piece.a.x += wrap, piece.b.x += wrap;
    pieces.push_back(piece);
  }
}

double largestCoordinate(const Bbox& box) { return std::max({std::abs(box.min_x), std::abs(box.max_x), std::abs(box.min_y), std::abs(box.max_y)}); }

/// Pairs of rows that touch, in order, and those of them that only the tolerance made.
struct Touching {
  std::vector<RowPair> pairs, by_tolerance;
};

Result<Touching> touchingPairs(const Geometries& areas, const ContiguityRequest& request, Progress& progress) {
  Bbox box;
  for (const Point p : areas.vertices()) {
    if (std::isfinite(p.x) && std::isfinite(p.y)) box.add(p);
  }
  const double exact = std::max(kRounding * (box.isEmpty() ? 1 : largestCoordinate(box)), std::numeric_limits<double>::min());
  const double within = std::max(exact, request.tolerance);
  const double wrap = request.wrap > 0 && box.width() >= request.wrap - within ? request.wrap : 0;
  LEEWARD_ASSIGN(shared, sharedEdges(areas, box.min_x, wrap, progress));
  const bool is_rook = request.touch == Touch::Rook;
  Borders borders(areas, shared, !is_rook);
  auto& pieces = borders.pieces();
  borders.addKnown(within);
  if (wrap > 0) repeatAtSeam(pieces, box.min_x, wrap, within);
  LEEWARD_ASSIGN(near, nearRows(pieces, within, exact, is_rook, progress));
  Touching found{borders.pairs(), {}};
  for (const NearRows& rows : near) {
    const RowPair pair{rows.first, rows.second};
    if (is_rook && !(rows.run > kRunInTolerances * within || rows.exact_run > kRunInTolerances * exact)) continue;
    const bool by_tolerance = is_rook ? !(rows.exact_run > kRunInTolerances * exact) : !rows.meet;
    if (by_tolerance && !std::binary_search(borders.pairs().begin(), borders.pairs().end(), pair)) found.by_tolerance.push_back(pair);
    found.pairs.push_back(pair);
  }
  makeUnique(found.pairs);
  return found;
}

/// Rows of one outline, corner for corner, such as flats in one house: compared once, for all of them.
class SameOutlines {
 public:
  explicit SameOutlines(const Geometries& areas) {
    std::unordered_map<double, std::vector<std::uint32_t>> like;  // groups by a number that outlines of other places hardly share
    for (std::size_t row = 0; row < areas.size(); ++row) {
      if (areas.kind(row) != GeometryKind::Areas || !areas.hasVertex(row)) continue;
      const auto corners = cornersOf(areas, row);
      auto& groups = like[corners.front().x + 3 * corners.front().y + 7 * corners[corners.size() / 2].x];
      const auto same = std::ranges::find_if(groups, [&](std::uint32_t group) { return std::ranges::equal(cornersOf(areas, groups_[group].front()), corners); });
      if (same == groups.end()) groups.push_back(static_cast<std::uint32_t>(groups_.size())), groups_.push_back({static_cast<std::uint32_t>(row)});
      else groups_[*same].push_back(static_cast<std::uint32_t>(row)), any_ = true;
    }
  }

  bool any() const { return any_; }

  Geometries firsts(const Geometries& areas) const {
    Geometries firsts;
    for (const auto& group : groups_) firsts.addCopy(areas, group.front());
    return firsts;
  }

  /// Pairs of firsts as pairs of all rows.
  std::vector<RowPair> spread(const std::vector<RowPair>& pairs) const {
    std::vector<RowPair> all;
    for (const auto& [a, b] : pairs) {
      for (const std::uint32_t row : groups_[a]) {
        for (const std::uint32_t other : groups_[b]) all.push_back(ordered(row, other));
      }
    }
    return all;
  }

  /// Pairs within one group.
  void addWithin(std::vector<RowPair>& pairs) const {
    for (const auto& group : groups_) {
      for (std::size_t i = 0; i < group.size(); ++i) {
        for (std::size_t j = i + 1; j < group.size(); ++j) pairs.emplace_back(group[i], group[j]);
      }
    }
  }

 private:
  /// All corners of a row: its paths lie one behind the other.
  static std::span<const Point> cornersOf(const Geometries& areas, std::size_t row) {
    const auto last = areas.path(row, areas.paths(row) - 1);
    return {areas.path(row, 0).data(), last.data() + last.size()};
  }

  std::vector<std::vector<std::uint32_t>> groups_;
  bool any_ = false;
};

}  // namespace

Result<Contiguity> contiguity(const Geometries& areas, const ContiguityRequest& request, Progress& progress) {
  if (!(request.tolerance >= 0) || !std::isfinite(request.tolerance) || !(request.wrap >= 0) || !std::isfinite(request.wrap)) {
    return Problem{ProblemCode::InvalidArgument, "a tolerance can't be negative", "", "Give 0 or more"};
  }
  const SameOutlines same(areas);
  LEEWARD_ASSIGN(touching, same.any() ? touchingPairs(same.firsts(areas), request, progress) : touchingPairs(areas, request, progress));
  if (same.any()) {
    touching.pairs = same.spread(touching.pairs), touching.by_tolerance = same.spread(touching.by_tolerance);
    same.addWithin(touching.pairs);
  }
  Contiguity found;
  found.pairs = touching.pairs.size();
  found.pairs_by_tolerance = touching.by_tolerance.size();
  found.neighbours = Neighbours::fromPairs(areas.size(), touching.pairs);
  return found;
}

}  // namespace leeward::analysis
