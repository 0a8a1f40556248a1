#include "analysis/patterns/distance_neighbours.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>

#include <nanoflann.hpp>

namespace leeward::analysis {
namespace {

constexpr std::size_t kPointsABatch = 1024;
constexpr std::size_t kMostLinks = 20'000'000;

Problem tooMany(const char* mend) { return {ProblemCode::ResourceExhausted, "nearly everything would be next to everything: over 20 million neighbours", "", mend}; }

/// Points as the library's tree wants them. Indices are those of the points with a place.
struct PlacedPoints {
  std::vector<Point> at;
  std::vector<std::uint32_t> row;

  explicit PlacedPoints(std::span<const Point> points) {
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (std::isfinite(points[i].x) && std::isfinite(points[i].y)) at.push_back(points[i]), row.push_back(static_cast<std::uint32_t>(i));
    }
  }
  std::size_t kdtree_get_point_count() const { return at.size(); }
  double kdtree_get_pt(std::size_t index, std::size_t axis) const { return axis == 0 ? at[index].x : at[index].y; }
  template <class Box>
  bool kdtree_get_bbox(Box&) const {
    return false;
  }
};

using Tree = nanoflann::KDTreeSingleIndexAdaptor<nanoflann::L2_Simple_Adaptor<double, PlacedPoints>, PlacedPoints, 2, std::uint32_t>;
using Hits = std::vector<std::pair<std::uint32_t, double>>;  // the library's own shape: index, squared distance

/// All within a squared distance, which counts as inside.
void hitsWithin(const Tree& tree, Point p, double squared, Hits& hits) {
  const double query[2] = {p.x, p.y};
  // The library takes what is nearer than the radius.
  tree.radiusSearch(query, std::nextafter(squared, std::numeric_limits<double>::infinity()), hits, nanoflann::SearchParams(32, 0, false));
}

void nearestOf(const Tree& tree, const PlacedPoints& placed, std::size_t i, std::size_t count, Hits& hits, std::vector<std::uint32_t>& nearest) {
  const double query[2] = {placed.at[i].x, placed.at[i].y};
  std::vector<std::uint32_t> index(count + 1);  // itself is among them, or as many others at its own place
  std::vector<double> squared(count + 1);
  const std::size_t found = tree.knnSearch(query, count + 1, index.data(), squared.data());
  // Which of equally far ones the tree finds first is not ours to say: all up to the last distance are looked at.
  hitsWithin(tree, placed.at[i], squared[found - 1], hits);
  std::erase_if(hits, [&](const auto& hit) { return hit.first == i; });
  std::sort(hits.begin(), hits.end(), [](const auto& a, const auto& b) { return a.second != b.second ? a.second < b.second : a.first < b.first; });
  nearest.clear();
  for (std::size_t k = 0; k < std::min(count, hits.size()); ++k) nearest.push_back(placed.row[hits[k].first]);
}

Result<Neighbours> fromLists(std::size_t rows, const PlacedPoints& placed, const std::vector<std::vector<std::uint32_t>>& lists) {
  std::vector<Neighbours::Edge> edges;
  for (std::size_t i = 0; i < lists.size(); ++i) {
    for (const std::uint32_t other : lists[i]) edges.push_back({placed.row[i], other});
  }
  return Neighbours::fromWeightedEdges(rows, edges);
}

}  // namespace

Result<Neighbours> nearestNeighbours(std::span<const Point> points, std::size_t count, Progress& progress) {
  if (count == 0) return Problem{ProblemCode::InvalidArgument, "no neighbour at all was asked for", "", "Give 1 or more"};
  const PlacedPoints placed(points);
  count = std::min(count, placed.at.size());
  if (count * placed.at.size() > kMostLinks) return tooMany("Take fewer");
  std::vector<std::vector<std::uint32_t>> lists(placed.at.size());
  if (placed.at.size() > 1) {
    const Tree tree(2, placed);
    LEEWARD_TRY(progress.parallelFor(placed.at.size(), kPointsABatch, [&](std::size_t begin, std::size_t end) {
      Hits hits;
      for (std::size_t i = begin; i < end; ++i) nearestOf(tree, placed, i, count, hits, lists[i]);
    }));
  }
  return fromLists(points.size(), placed, lists);
}

Result<Neighbours> neighboursWithin(std::span<const Point> points, double distance, Progress& progress) {
  if (!(distance > 0) || !std::isfinite(distance)) return Problem{ProblemCode::InvalidArgument, "a distance must be above 0", "", "Give it in metres"};
  const PlacedPoints placed(points);
  std::vector<std::vector<std::uint32_t>> lists(placed.at.size());
  std::atomic<std::size_t> links = 0;
  if (placed.at.size() > 1) {
    const Tree tree(2, placed);
    LEEWARD_TRY(progress.parallelFor(placed.at.size(), kPointsABatch, [&](std::size_t begin, std::size_t end) {
      Hits hits;
      for (std::size_t i = begin; i < end && links <= kMostLinks; ++i) {
        hitsWithin(tree, placed.at[i], distance * distance, hits);
        for (const auto& hit : hits) {
          if (hit.first != i) lists[i].push_back(placed.row[hit.first]);
        }
        links += lists[i].size();
      }
    }));
  }
  if (links > kMostLinks) return tooMany("Take a shorter distance");
  return fromLists(points.size(), placed, lists);
}

}  // namespace leeward::analysis
