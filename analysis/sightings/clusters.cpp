#include "analysis/sightings/clusters.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "shared/geo/overlay.h"

namespace leeward::analysis {
namespace {

/// Points sorted into square cells whose diagonal is a radius, rows of cells from south to north; in a cell by time.
class Grid {
 public:
  struct Cell {
    std::int64_t y = 0, x = 0;
    std::size_t begin = 0, end = 0;  ///< in `order`
  };
  /// A cell's neighbours within one row of cells: [begin, end) of cells().
  struct Strip {
    std::size_t begin = 0, end = 0;
  };

  Grid(std::span<const Point> points, std::span<const double> days, const ClusterRequest& request)
      : points_(points), days_(request.days ? days : std::span<const double>()), within_days_(request.days.value_or(0)) {
    radius2_ = request.radius_m * request.radius_m;
    // Points of a cell are then within reach of each other, which the bounding boxes confirm; reach is two cells at most.
    side_ = request.radius_m / std::sqrt(2.0) * (1 - 1e-7);
    for (std::size_t row = 0; row < points.size(); ++row) {
      const bool usable = std::isfinite(points[row].x) && std::isfinite(points[row].y);
      if (!usable || (timed() && !std::isfinite(days_[row]))) continue;
      order_.push_back(row);
      box_.add(points[row]);
    }
  }

  /// False if the cells are so many that rounding could put a point beyond the margin in side_.
  bool isFine() const { return std::max(box_.width(), box_.height()) / side_ < 1e8; }

  void build() {
    std::vector<Cell> of(points_.size());
    for (const auto row : order_) of[row] = cellOf(points_[row]);
    std::sort(order_.begin(), order_.end(), [&](std::size_t a, std::size_t b) {
      if (of[a].y != of[b].y) return of[a].y < of[b].y;
      if (of[a].x != of[b].x) return of[a].x < of[b].x;
      if (timed() && days_[a] != days_[b]) return days_[a] < days_[b];
      return a < b;
    });
    for (std::size_t i = 0; i < order_.size(); ++i) {
      const auto& here = of[order_[i]];
      if (cells_.empty() || cells_.back().y != here.y || cells_.back().x != here.x) cells_.push_back({here.y, here.x, i, i});
      cells_.back().end = i + 1;
    }
  }

  bool timed() const { return !days_.empty(); }
  const std::vector<Cell>& cells() const { return cells_; }
  std::span<const std::size_t> rows(const Cell& cell) const {
    return std::span(order_).subspan(cell.begin, cell.end - cell.begin);
  }

  /// The up to five strips of cells that hold all points within reach of a cell's points.
  std::array<Strip, 5> around(const Cell& cell) const {
    std::array<Strip, 5> strips;
    for (std::int64_t dy = -2; dy <= 2; ++dy) {
      auto first = std::lower_bound(cells_.begin(), cells_.end(), std::pair(cell.y + dy, cell.x - 2),
                                    [](const Cell& c, const auto& key) { return std::pair(c.y, c.x) < key; });
      auto last = first;
      while (last != cells_.end() && last->y == cell.y + dy && last->x <= cell.x + 2) ++last;
      strips[static_cast<std::size_t>(dy + 2)] = {static_cast<std::size_t>(first - cells_.begin()),
                                                  static_cast<std::size_t>(last - cells_.begin())};
    }
    return strips;
  }

  double distance2(std::size_t a, std::size_t b) const {
    const double dx = points_[a].x - points_[b].x;
    const double dy = points_[a].y - points_[b].y;
    return dx * dx + dy * dy;
  }
  bool isNear(std::size_t a, std::size_t b) const { return distance2(a, b) <= radius2_; }

  /// The cell's rows that can be within the day window of `row` (all, without times).
  std::span<const std::size_t> inTime(const Cell& cell, std::size_t row) const {
    const auto all = rows(cell);
    if (!timed()) return all;
    const double t = days_[row];
    const auto first = std::partition_point(all.begin(), all.end(), [&](std::size_t r) { return t - days_[r] > within_days_; });
    const auto last = std::partition_point(first, all.end(), [&](std::size_t r) { return days_[r] - t <= within_days_; });
    return {first, last};
  }

  /// Whether all of a cell's points are surely neighbours of each other.
  bool isClique(const Cell& cell) const {
    Bbox box;
    for (const auto row : rows(cell)) box.add(points_[row]);
    const auto times = rows(cell);
    if (timed() && days_[times.back()] - days_[times.front()] > within_days_) return false;
    return box.width() * box.width() + box.height() * box.height() <= radius2_;
  }

 private:
  Cell cellOf(Point p) const {
    return {static_cast<std::int64_t>(std::floor((p.y - box_.min_y) / side_)),
            static_cast<std::int64_t>(std::floor((p.x - box_.min_x) / side_)), 0, 0};
  }

  std::span<const Point> points_;
  std::span<const double> days_;
  double within_days_ = 0;
  double radius2_ = 0;
  double side_ = 1;
  Bbox box_;
  std::vector<std::size_t> order_;
  std::vector<Cell> cells_;
};

/// Disjoint sets with path halving; which root stands for a set does not matter here.
class Sets {
 public:
  explicit Sets(std::size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), std::size_t{0}); }
  std::size_t root(std::size_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void unite(std::size_t a, std::size_t b) { parent_[root(a)] = root(b); }

 private:
  std::vector<std::size_t> parent_;
};

constexpr std::size_t kCellsPerBatch = 256;

bool isCore(const Grid& grid, const std::array<Grid::Strip, 5>& strips, std::size_t row, std::size_t at_least) {
  std::size_t count = 0;
  for (const auto& strip : strips) {
    for (std::size_t c = strip.begin; c < strip.end; ++c) {
      for (const auto other : grid.inTime(grid.cells()[c], row)) {
        if (grid.isNear(row, other) && ++count >= at_least) return true;
      }
    }
  }
  return false;
}

Result<void> markCores(const Grid& grid, std::size_t at_least, std::vector<ClusterRole>& role, Progress& progress) {
  return progress.parallelFor(grid.cells().size(), kCellsPerBatch, [&](std::size_t begin, std::size_t end) {
    for (std::size_t c = begin; c < end; ++c) {
      const auto& cell = grid.cells()[c];
      const auto rows = grid.rows(cell);
      const bool all = rows.size() >= at_least && grid.isClique(cell);
      const auto strips = all ? std::array<Grid::Strip, 5>{} : grid.around(cell);
      for (const auto row : rows) {
        if (all || isCore(grid, strips, row, at_least)) role[row] = ClusterRole::Core;
      }
    }
  });
}

/// Unites the cores of two cells (or of one with itself) that are within reach.
void joinCells(const Grid& grid, const Grid::Cell& a, const Grid::Cell& b, const std::vector<ClusterRole>& role, Sets& sets) {
  for (const auto p : grid.rows(a)) {
    if (role[p] != ClusterRole::Core) continue;
    for (const auto q : grid.inTime(b, p)) {
      if (role[q] != ClusterRole::Core || !grid.isNear(p, q) || sets.root(p) == sets.root(q)) continue;
      sets.unite(p, q);
      // Without times the cores of one cell are one set already: a single link between two cells says all.
      if (!grid.timed() && &a != &b) return;
    }
  }
}

void joinWithin(const Grid& grid, const Grid::Cell& cell, const std::vector<ClusterRole>& role, Sets& sets) {
  if (!grid.isClique(cell)) return joinCells(grid, cell, cell, role, sets);
  std::optional<std::size_t> first;
  for (const auto row : grid.rows(cell)) {
    if (role[row] != ClusterRole::Core) continue;
    if (first) sets.unite(row, *first);
    first = row;
  }
}

Result<void> joinCores(const Grid& grid, const std::vector<ClusterRole>& role, Sets& sets, Progress& progress) {
  const auto& cells = grid.cells();
  std::vector<std::size_t> a_core(cells.size(), SIZE_MAX);
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (c % 1024 == 0) LEEWARD_TRY(progress.checkStop());
    for (const auto row : grid.rows(cells[c])) {
      if (role[row] == ClusterRole::Core) a_core[c] = row;
    }
    if (a_core[c] != SIZE_MAX) joinWithin(grid, cells[c], role, sets);
  }
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (c % 256 == 0) LEEWARD_TRY(progress.checkStop());
    if (a_core[c] == SIZE_MAX) continue;
    for (const auto& strip : grid.around(cells[c])) {
      for (std::size_t d = std::max(strip.begin, c + 1); d < strip.end; ++d) {
        if (a_core[d] == SIZE_MAX) continue;
        if (!grid.timed() && sets.root(a_core[c]) == sets.root(a_core[d])) continue;
        joinCells(grid, cells[c], cells[d], role, sets);
      }
    }
  }
  return {};
}

/// The nearest core of every point that isn't one; its own row for cores, SIZE_MAX for points alone.
Result<std::vector<std::size_t>> nearestCores(const Grid& grid, std::size_t count, std::vector<ClusterRole>& role,
                                              Progress& progress) {
  std::vector<std::size_t> core(count, SIZE_MAX);
  const auto work = [&](std::size_t begin, std::size_t end) {
    for (std::size_t c = begin; c < end; ++c) {
      const auto& cell = grid.cells()[c];
      const auto strips = grid.around(cell);
      for (const auto row : grid.rows(cell)) {
        if (role[row] == ClusterRole::Core) {
          core[row] = row;
          continue;
        }
        double nearest2 = 0;
        for (const auto& strip : strips) {
          for (std::size_t d = strip.begin; d < strip.end; ++d) {
            for (const auto other : grid.inTime(grid.cells()[d], row)) {
              if (role[other] != ClusterRole::Core || !grid.isNear(row, other)) continue;
              const double distance2 = grid.distance2(row, other);
              if (core[row] != SIZE_MAX && std::pair(nearest2, core[row]) < std::pair(distance2, other)) continue;
              nearest2 = distance2;
              core[row] = other;
            }
          }
        }
      }
    }
  };
  LEEWARD_TRY(progress.parallelFor(grid.cells().size(), kCellsPerBatch, work));
  for (std::size_t row = 0; row < count; ++row) {
    if (core[row] != SIZE_MAX && core[row] != row) role[row] = ClusterRole::Edge;
  }
  return core;
}

void number(const std::vector<std::size_t>& core, Sets& sets, Clusters& clusters) {
  std::vector<std::int32_t> of_root(core.size(), -1);
  std::int32_t next = 0;
  for (std::size_t row = 0; row < core.size(); ++row) {
    if (core[row] == SIZE_MAX) continue;
    auto& cluster = of_root[sets.root(core[row])];
    if (cluster < 0) cluster = next++;
    clusters.cluster[row] = cluster;
  }
  clusters.summary.resize(static_cast<std::size_t>(next));
}

void summarise(std::span<const Point> points, std::span<const double> days, Clusters& clusters) {
  std::vector<std::vector<Point>> members(clusters.summary.size());
  for (std::size_t row = 0; row < points.size(); ++row) {
    if (clusters.cluster[row] < 0) continue;
    const auto index = static_cast<std::size_t>(clusters.cluster[row]);
    auto& summary = clusters.summary[index];
    members[index].push_back(points[row]);
    ++summary.points;
    if (clusters.role[row] == ClusterRole::Core) ++summary.cores;
    if (days.empty() || !std::isfinite(days[row])) continue;
    summary.first_day = std::isnan(summary.first_day) ? days[row] : std::min(summary.first_day, days[row]);
    summary.last_day = std::isnan(summary.last_day) ? days[row] : std::max(summary.last_day, days[row]);
  }
  for (const auto& points_of : members) clusters.hulls.addCopy(convexHull(points_of), 0);
}

Result<void> validate(std::span<const Point> points, std::span<const double> days, const ClusterRequest& request) {
  const auto wrong = [](std::string what, std::string mend) {
    return Problem{ProblemCode::InvalidArgument, std::move(what), "", std::move(mend)};
  };
  if (!(request.radius_m > 0) || !std::isfinite(request.radius_m)) {
    return wrong("the distance within which points are neighbours must be above 0", "Give it in metres");
  }
  if (request.at_least == 0) return wrong("a cluster needs at least 1 point", "Give 1 or more");
  if (!days.empty() && days.size() != points.size()) return wrong("there must be one time a point", "");
  if (!request.days) return {};
  if (!(*request.days >= 0)) return wrong("the days within which points are neighbours must be 0 or more", "");
  if (days.empty() && !points.empty())
    return wrong("clusters in space and time need a time for each point", "Name the time column");
  return {};
}

}  // namespace

Result<Clusters> findClusters(std::span<const Point> points, std::span<const double> days, const ClusterRequest& request,
                              Progress& progress) {
  LEEWARD_TRY(validate(points, days, request));
  Clusters clusters;
  clusters.cluster.assign(points.size(), -1);
  clusters.role.assign(points.size(), ClusterRole::Alone);

  Grid grid(points, days, request);
  if (!grid.isFine()) {
    return Problem{ProblemCode::InvalidArgument, "the distance is too small for the extent of the points", "",
                   "Give a larger distance, or look for points placed far off"};
  }
  progress.report(0, "Sorting points");
  grid.build();
  progress.report(0.2, "Finding dense points");
  auto marking = progress.part(0.2, 0.6);
  LEEWARD_TRY(markCores(grid, request.at_least, clusters.role, marking));
  progress.report(0.6, "Joining clusters");
  Sets sets(points.size());
  LEEWARD_TRY(joinCores(grid, clusters.role, sets, progress));
  progress.report(0.8, "Placing edge points");
  auto placing = progress.part(0.8, 0.95);
  LEEWARD_ASSIGN(core, nearestCores(grid, points.size(), clusters.role, placing));
  number(core, sets, clusters);
  summarise(points, days, clusters);
  progress.report(1.0);
  return clusters;
}

}  // namespace leeward::analysis
