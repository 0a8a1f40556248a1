#include "analysis/sightings/clusters.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <utility>

#include "shared/geo/overlay.h"

namespace leeward::analysis {
namespace {

/// Points sorted into square cells whose diagonal is a radius, rows of cells from south to north; in a cell by time. All below this class speaks of
/// positions in that order, so that near points lie near each other in memory.
class Grid {
 public:
  struct Cell {
    std::int32_t y = 0, x = 0;
    std::size_t begin = 0, end = 0;  ///< positions
  };
  struct Positions {
    std::size_t begin = 0, end = 0;
    std::size_t size() const { return end - begin; }
  };
  /// A cell's neighbours within one row of cells: [begin, end) of cells().
  using Strip = Positions;
  using Strips = std::array<Strip, 5>;

  struct Placed {
    std::uint64_t cell;  ///< y, then x
    std::size_t row;
  };

  Grid(std::span<const Point> points, std::span<const double> days, const ClusterRequest& request) : within_days_(request.days.value_or(0)), is_timed_(request.days.has_value()) {
    radius2_ = request.radius_m * request.radius_m;
    // Points of a cell are then within reach of each other, which the bounding boxes confirm; reach is two cells at most.
    side_ = request.radius_m / std::sqrt(2.0) * (1 - 1e-7);
    for (std::size_t row = 0; row < points.size(); ++row) {
      const bool usable = std::isfinite(points[row].x) && std::isfinite(points[row].y);
      if (!usable || (is_timed_ && !std::isfinite(days[row]))) continue;
      row_.push_back(row);
      box_.add(points[row]);
    }
  }

  /// False if the cells are so many that rounding could put a point beyond the margin in side_.
  bool isFine() const { return std::max(box_.width(), box_.height()) / side_ < 1e8; }

  void build(std::span<const Point> points, std::span<const double> days) {
    std::vector<Placed> placed;
    placed.reserve(row_.size());
    for (const auto row : row_) {
      const auto y = static_cast<std::uint64_t>((points[row].y - box_.min_y) / side_), x = static_cast<std::uint64_t>((points[row].x - box_.min_x) / side_);
      placed.push_back({y << 32U | x, row});
    }
    if (is_timed_) std::stable_sort(placed.begin(), placed.end(), [&](const Placed& a, const Placed& b) { return days[a.row] < days[b.row]; });
    sortByCell(placed);
    at_.reserve(placed.size());
    for (std::size_t i = 0; i < placed.size(); ++i) {
      row_[i] = placed[i].row;
      at_.push_back(points[placed[i].row]);
      if (is_timed_) day_.push_back(days[placed[i].row]);
      if (i == 0 || placed[i].cell != placed[i - 1].cell) cells_.push_back({static_cast<std::int32_t>(placed[i].cell >> 32U), static_cast<std::int32_t>(placed[i].cell & 0xffffffffU), i, i});
      cells_.back().end = i + 1;
    }
  }

  bool timed() const { return is_timed_; }
  std::size_t size() const { return row_.size(); }
  const std::vector<Cell>& cells() const { return cells_; }
  std::size_t rowAt(std::size_t position) const { return row_[position]; }

  /// The up to five strips of cells that hold all points within reach of a cell's points. Cells asked for in order are found by going on from those of
  /// the last. `from`: the first row of cells, from -2, beside the cell's own.
  void around(const Cell& cell, Strips& strips, const Cell*& last, std::int32_t from = -2) const {
    const bool goes_on = last != nullptr && last->y == cell.y && last->x <= cell.x;
    for (std::int32_t dy = from; dy <= 2; ++dy) {
      auto& strip = strips[static_cast<std::size_t>(dy + 2)];
      const auto y = cell.y + dy;
      if (!goes_on) {
        const auto first = std::lower_bound(cells_.begin(), cells_.end(), std::pair(y, cell.x - 2), [](const Cell& c, const auto& key) { return std::pair(c.y, c.x) < key; });
        strip.begin = strip.end = static_cast<std::size_t>(first - cells_.begin());
      }
      while (strip.begin < cells_.size() && cells_[strip.begin].y == y && cells_[strip.begin].x < cell.x - 2) ++strip.begin;
      strip.end = std::max(strip.end, strip.begin);
      while (strip.end < cells_.size() && cells_[strip.end].y == y && cells_[strip.end].x <= cell.x + 2) ++strip.end;
    }
    last = &cell;
  }

  double distance2(std::size_t a, std::size_t b) const {
    const double dx = at_[a].x - at_[b].x;
    const double dy = at_[a].y - at_[b].y;
    return dx * dx + dy * dy;
  }
  bool isNear(std::size_t a, std::size_t b) const { return distance2(a, b) <= radius2_; }

  /// The cell's positions that can be within the day window of another (all, without times).
  Positions inTime(const Cell& cell, std::size_t position) const {
    if (!is_timed_) return {cell.begin, cell.end};
    const double t = day_[position];
    const auto all = std::span(day_).subspan(cell.begin, cell.end - cell.begin);
    const auto first = std::partition_point(all.begin(), all.end(), [&](double day) { return t - day > within_days_; });
    const auto last = std::partition_point(first, all.end(), [&](double day) { return day - t <= within_days_; });
    return {cell.begin + static_cast<std::size_t>(first - all.begin()), cell.begin + static_cast<std::size_t>(last - all.begin())};
  }

  /// Whether all of a cell's points are surely neighbours of each other.
  bool isClique(const Cell& cell) const {
    Bbox box;
    for (auto i = cell.begin; i < cell.end; ++i) box.add(at_[i]);
    if (is_timed_ && day_[cell.end - 1] - day_[cell.begin] > within_days_) return false;
    return box.width() * box.width() + box.height() * box.height() <= radius2_;
  }

 private:
  /// By eleven bits at a time, those of all alike left out; equal cells stay in their order.
  static void sortByCell(std::vector<Placed>& placed) {
    constexpr unsigned kDigit = 11, kDigits = 1U << kDigit;
    std::vector<Placed> other(placed.size());
    for (unsigned shift = 0; shift < 64; shift += kDigit) {
      std::array<std::size_t, kDigits> starts{};
      for (const auto& one : placed) ++starts[(one.cell >> shift) & (kDigits - 1)];
      if (std::ranges::find(starts, placed.size()) != starts.end()) continue;
      std::size_t sum = 0;
      for (auto& start : starts) sum += std::exchange(start, sum);
      for (const auto& one : placed) other[starts[(one.cell >> shift) & (kDigits - 1)]++] = one;
      placed.swap(other);
    }
  }

  double within_days_ = 0;
  bool is_timed_ = false;
  double radius2_ = 0;
  double side_ = 1;
  Bbox box_;
  std::vector<std::size_t> row_;
  std::vector<Point> at_;
  std::vector<double> day_;
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

/// Whether enough points are within reach; `own`: so many of its own cell are known to be, and are not looked at again.
bool isCore(const Grid& grid, const Grid::Strips& strips, const Grid::Cell& cell, std::size_t own, std::size_t position, std::size_t at_least) {
  std::size_t count = own;
  for (const auto& strip : strips) {
    for (std::size_t c = strip.begin; c < strip.end; ++c) {
      if (own > 0 && grid.cells()[c].begin == cell.begin) continue;
      const auto near = grid.inTime(grid.cells()[c], position);
      for (auto other = near.begin; other < near.end; ++other) {
        if (grid.isNear(position, other) && ++count >= at_least) return true;
      }
    }
  }
  return count >= at_least;
}

Result<void> markCores(const Grid& grid, std::size_t at_least, std::vector<ClusterRole>& role, Progress& progress) {
  return progress.parallelFor(grid.cells().size(), kCellsPerBatch, [&](std::size_t begin, std::size_t end) {
    Grid::Strips strips;
    const Grid::Cell* last = nullptr;
    for (std::size_t c = begin; c < end; ++c) {
      const auto& cell = grid.cells()[c];
      const std::size_t own = grid.isClique(cell) ? cell.end - cell.begin : 0;
      const bool all = own >= at_least;
      if (!all) grid.around(cell, strips, last);
      for (auto i = cell.begin; i < cell.end; ++i) {
        if (all || isCore(grid, strips, cell, own, i, at_least)) role[i] = ClusterRole::Core;
      }
    }
  });
}

/// Unites the cores of two cells (or of one with itself) that are within reach.
void joinCells(const Grid& grid, const Grid::Cell& a, const Grid::Cell& b, const std::vector<ClusterRole>& role, Sets& sets) {
  for (auto p = a.begin; p < a.end; ++p) {
    if (role[p] != ClusterRole::Core) continue;
    const auto near = grid.inTime(b, p);
    for (auto q = near.begin; q < near.end; ++q) {
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
  for (auto i = cell.begin; i < cell.end; ++i) {
    if (role[i] != ClusterRole::Core) continue;
    if (first) sets.unite(i, *first);
    first = i;
  }
}

Result<void> joinCores(const Grid& grid, const std::vector<ClusterRole>& role, Sets& sets, Progress& progress) {
  const auto& cells = grid.cells();
  std::vector<std::size_t> a_core(cells.size(), SIZE_MAX);
  // The points of one cell are in no other's sets yet: cells don't meet here.
  LEEWARD_TRY(progress.parallelFor(cells.size(), kCellsPerBatch, [&](std::size_t begin, std::size_t end) {
    for (std::size_t c = begin; c < end; ++c) {
      for (auto i = cells[c].begin; i < cells[c].end; ++i) {
        if (role[i] == ClusterRole::Core) a_core[c] = i;
      }
      if (a_core[c] != SIZE_MAX) joinWithin(grid, cells[c], role, sets);
    }
  }));
  Grid::Strips strips;
  const Grid::Cell* last = nullptr;
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (c % 256 == 0) LEEWARD_TRY(progress.checkStop());
    if (a_core[c] == SIZE_MAX) continue;
    grid.around(cells[c], strips, last, 0);
    for (const auto& strip : strips) {
      for (std::size_t d = std::max(strip.begin, c + 1); d < strip.end; ++d) {
        if (a_core[d] == SIZE_MAX) continue;
        if (!grid.timed() && sets.root(a_core[c]) == sets.root(a_core[d])) continue;
        joinCells(grid, cells[c], cells[d], role, sets);
      }
    }
  }
  return {};
}

/// The core within reach that is nearest to a point that isn't one (tie: the lowest row); SIZE_MAX if there is none.
std::size_t nearestCore(const Grid& grid, const Grid::Strips& strips, const std::vector<ClusterRole>& role, std::size_t position) {
  std::size_t core = SIZE_MAX;
  double nearest2 = 0;
  for (const auto& strip : strips) {
    for (std::size_t d = strip.begin; d < strip.end; ++d) {
      const auto near = grid.inTime(grid.cells()[d], position);
      for (auto other = near.begin; other < near.end; ++other) {
        if (role[other] != ClusterRole::Core || !grid.isNear(position, other)) continue;
        const double distance2 = grid.distance2(position, other);
        if (core != SIZE_MAX && std::pair(nearest2, grid.rowAt(core)) < std::pair(distance2, grid.rowAt(other))) continue;
        nearest2 = distance2;
        core = other;
      }
    }
  }
  return core;
}

/// The nearest core of every point that isn't one; a core's own position; SIZE_MAX for points alone.
Result<std::vector<std::size_t>> nearestCores(const Grid& grid, std::vector<ClusterRole>& role, Progress& progress) {
  std::vector<std::size_t> core(grid.size(), SIZE_MAX);
  LEEWARD_TRY(progress.parallelFor(grid.cells().size(), kCellsPerBatch, [&](std::size_t begin, std::size_t end) {
    Grid::Strips strips;
    const Grid::Cell* last = nullptr;
    for (std::size_t c = begin; c < end; ++c) {
      const auto& cell = grid.cells()[c];
      bool is_open = false;
      for (auto i = cell.begin; i < cell.end; ++i) {
        if (role[i] == ClusterRole::Core) core[i] = i;
        else is_open = true;
      }
      if (!is_open) continue;
      grid.around(cell, strips, last);
      for (auto i = cell.begin; i < cell.end; ++i) {
        if (core[i] == SIZE_MAX) core[i] = nearestCore(grid, strips, role, i);
      }
    }
  }));
  for (std::size_t i = 0; i < core.size(); ++i) {
    if (core[i] != SIZE_MAX && core[i] != i) role[i] = ClusterRole::Edge;
  }
  return core;
}

/// Clusters by their first rows, and roles by row.
void number(const Grid& grid, const std::vector<std::size_t>& core, const std::vector<ClusterRole>& role, Sets& sets, Clusters& clusters) {
  std::vector<std::size_t> position_of(clusters.cluster.size(), SIZE_MAX);
  for (std::size_t i = 0; i < grid.size(); ++i) position_of[grid.rowAt(i)] = i;
  std::vector<std::int32_t> of_root(grid.size(), -1);
  std::int32_t next = 0;
  for (std::size_t row = 0; row < position_of.size(); ++row) {
    const auto i = position_of[row];
    if (i == SIZE_MAX || core[i] == SIZE_MAX) continue;
    auto& cluster = of_root[sets.root(core[i])];
    if (cluster < 0) cluster = next++;
    clusters.cluster[row] = cluster;
    clusters.role[row] = role[i];
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
  grid.build(points, days);
  progress.report(0.2, "Finding dense points");
  auto marking = progress.part(0.2, 0.6);
  std::vector<ClusterRole> role(grid.size(), ClusterRole::Alone);
  LEEWARD_TRY(markCores(grid, request.at_least, role, marking));
  progress.report(0.6, "Joining clusters");
  Sets sets(grid.size());
  LEEWARD_TRY(joinCores(grid, role, sets, progress));
  progress.report(0.8, "Placing edge points");
  auto placing = progress.part(0.8, 0.95);
  LEEWARD_ASSIGN(core, nearestCores(grid, role, placing));
  number(grid, core, role, sets, clusters);
  summarise(points, days, clusters);
  progress.report(1.0);
  return clusters;
}

}  // namespace leeward::analysis
