#include "analysis/patterns/near_edges.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>


namespace leeward::analysis {
namespace {

double cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }
double dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
Point minus(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }

double squaredToSegment(Point p, Point a, Point b) {
  const Point along = minus(b, a), off = minus(p, a);
  const double squared = dot(along, along);
  const double at = squared > 0 ? std::clamp(dot(off, along) / squared, 0.0, 1.0) : 0;
  const Point rest{off.x - at * along.x, off.y - at * along.y};
  return dot(rest, rest);
}

double squaredBetween(const BorderPiece& p, const BorderPiece& q) {
  if (!p.isCorner() && !q.isCorner()) {
    const Point u = minus(p.b, p.a), v = minus(q.b, q.a);
    const double q_a = cross(u, minus(q.a, p.a)), q_b = cross(u, minus(q.b, p.a)), p_a = cross(v, minus(p.a, q.a)), p_b = cross(v, minus(p.b, q.a));
    if (q_a * q_b < 0 && p_a * p_b < 0) return 0;  // they cross
  }
  return std::min({squaredToSegment(p.a, q.a, q.b), squaredToSegment(p.b, q.a, q.b), squaredToSegment(q.a, p.a, p.b), squaredToSegment(q.b, p.a, p.b)});
}

/// Where an edge of the pair's first row runs beside one of its second.
struct Beside {
  std::uint32_t first, second, edge;
  bool exact;
  Stretch stretch;
};

/// What the cells find, before it is gathered by pairs of rows.
struct Found {
  std::vector<std::tuple<std::uint32_t, std::uint32_t, bool>> near;  ///< first, second, not exact
  std::vector<Beside> beside;
};

/// Calls for the boxes of short steps along a piece, each grown by a margin.
template <class Call>
void alongPiece(const BorderPiece& piece, double step_length, double margin, const Call& call) {
  const auto steps = piece.isCorner() ? 1 : static_cast<std::size_t>(std::hypot(piece.b.x - piece.a.x, piece.b.y - piece.a.y) / step_length) + 1;
  Point from = piece.a;
  for (std::size_t step = 1; step <= steps; ++step) {
    const double share = static_cast<double>(step) / static_cast<double>(steps);
    const Point to{piece.a.x + share * (piece.b.x - piece.a.x), piece.a.y + share * (piece.b.y - piece.a.y)};
    call(Bbox{std::min(from.x, to.x) - margin, std::min(from.y, to.y) - margin, std::max(from.x, to.x) + margin, std::max(from.y, to.y) + margin});
    from = to;
  }
}

/// A table of square cells in which pieces lie, cut short so that each lies in few.
class Cells {
 public:
  struct Entry {
    std::uint64_t cell;
    std::uint32_t piece;
    bool operator==(const Entry&) const = default;
    auto operator<=>(const Entry&) const = default;
  };

  Cells(std::span<const BorderPiece> pieces, double within) {
    Bbox box;
    double length = 0, count = 0;
    for (const BorderPiece& piece : pieces) {
      box.add(piece.a), box.add(piece.b);
      if (piece.isCorner()) continue;
      length += std::hypot(piece.b.x - piece.a.x, piece.b.y - piece.a.y);
      count += 1;
    }
    if (box.isEmpty()) return;
    box = box.grownBy(within);
    const double side = std::max({4 * within, count > 0 ? length / count : 0, std::max(box.width(), box.height()) * 1e-6});
    const auto cell = [&](double offset) { return static_cast<std::uint64_t>(std::max(0.0, offset / side)); };
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      alongPiece(pieces[i], side, within, [&](const Bbox& step) {
        for (std::uint64_t y = cell(step.min_y - box.min_y); y <= cell(step.max_y - box.min_y); ++y) {
          for (std::uint64_t x = cell(step.min_x - box.min_x); x <= cell(step.max_x - box.min_x); ++x) {
            entries_.push_back({y << 32U | x, static_cast<std::uint32_t>(i)});
          }
        }
      });
    }
    std::sort(entries_.begin(), entries_.end());
    entries_.erase(std::unique(entries_.begin(), entries_.end()), entries_.end());
  }

  const std::vector<Entry>& entries() const { return entries_; }

 private:
  std::vector<Entry> entries_;
};

void compare(const BorderPiece& p, const BorderPiece& q, double within, double exact, bool measure, Found& found) {
  if (p.row == q.row || (p.known && (q.known || q.isCorner())) || (q.known && p.isCorner())) return;
  if (std::max(p.a.x, p.b.x) + within < std::min(q.a.x, q.b.x) || std::max(q.a.x, q.b.x) + within < std::min(p.a.x, p.b.x)) return;
  if (std::max(p.a.y, p.b.y) + within < std::min(q.a.y, q.b.y) || std::max(q.a.y, q.b.y) + within < std::min(p.a.y, p.b.y)) return;
  const double squared = squaredBetween(p, q);
  if (!(squared <= within * within)) return;
  const BorderPiece& first = p.row < q.row ? p : q;
  const BorderPiece& second = p.row < q.row ? q : p;
  found.near.emplace_back(first.row, second.row, squared > exact * exact);
  if (!measure || p.isCorner() || q.isCorner()) return;
  for (const bool is_exact : {false, true}) {
    const Stretch stretch = stretchNear(first.a, first.b, second.a, second.b, is_exact ? exact : within);
    if (stretch.end > stretch.begin) found.beside.push_back({first.row, second.row, first.edge, is_exact, stretch});
  }
}

/// Adds up the stretches of each pair of rows, those that overlap once.
void addRuns(std::vector<Beside>& beside, std::vector<NearRows>& rows) {
  std::sort(beside.begin(), beside.end(), [](const Beside& a, const Beside& b) {
    return std::tie(a.first, a.second, a.exact, a.edge, a.stretch.begin) < std::tie(b.first, b.second, b.exact, b.edge, b.stretch.begin);
  });
  auto pair = rows.begin();
  double reached = 0;
  for (std::size_t i = 0; i < beside.size(); ++i) {
    const Beside& one = beside[i];
    const bool goes_on = i > 0 && std::tie(one.first, one.second, one.exact, one.edge) == std::tie(beside[i - 1].first, beside[i - 1].second, beside[i - 1].exact, beside[i - 1].edge);
    if (!goes_on) reached = one.stretch.begin;
    while (pair->first != one.first || pair->second != one.second) ++pair;  // both are in order, and each pair is there
    const double from = std::max(reached, one.stretch.begin);
    (one.exact ? pair->exact_run : pair->run) += std::max(0.0, one.stretch.end - from);
    reached = std::max(reached, one.stretch.end);
  }
}

}  // namespace

RoughPicture::RoughPicture(std::span<const BorderPiece> pieces, double within) {
  for (const BorderPiece& piece : pieces) {
    if (!piece.known && !piece.isCorner()) box_.add(piece.a), box_.add(piece.b);
  }
  if (box_.isEmpty()) return;
  box_ = box_.grownBy(within);
  cell_ = std::max(box_.width(), box_.height()) / static_cast<double>(kSide);
  marks_.assign(kSide * kSide, false);
  for (const BorderPiece& piece : pieces) {
    if (piece.known || piece.isCorner()) continue;
    alongPiece(piece, cell_, within, [&](const Bbox& step) {
      overCells(step, [&](std::size_t at) {
        marks_[at] = true;
        return false;
      });
    });
  }
}

bool RoughPicture::mayMeet(Point a, Point b) const {
  const Bbox box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
  return !marks_.empty() && box.meets(box_) && overCells(box, [&](std::size_t at) { return marks_[at]; });
}

/// Calls for the cells of a box until one call says true.
template <class Call>
bool RoughPicture::overCells(const Bbox& box, const Call& call) const {
  const auto at = [&](double offset) { return static_cast<std::size_t>(std::clamp(offset / cell_, 0.0, static_cast<double>(kSide - 1))); };
  const std::size_t first_x = at(box.min_x - box_.min_x), last_x = at(box.max_x - box_.min_x), last_y = at(box.max_y - box_.min_y);
  for (std::size_t y = at(box.min_y - box_.min_y); y <= last_y; ++y) {
    for (std::size_t x = first_x; x <= last_x; ++x) {
      if (call(y * kSide + x)) return true;
    }
  }
  return false;
}

Stretch stretchNear(Point a, Point b, Point c, Point d, double distance) {
  const Point edge = minus(b, a);
  const double length = std::hypot(edge.x, edge.y);
  if (!(length > 0)) return {};
  const Point u{edge.x / length, edge.y / length};
  // What lies within a distance of a segment is convex, so its part of a line is one stretch: that of the strip along the segment
  // and of the discs about its ends together.
  double begin = std::numeric_limits<double>::infinity(), end = -begin;
  for (const Point center : {c, d}) {
    const Point off = minus(center, a);
    const double beside = cross(u, off), at = dot(off, u), half2 = distance * distance - beside * beside;
    if (half2 < 0) continue;
    begin = std::min(begin, at - std::sqrt(half2)), end = std::max(end, at + std::sqrt(half2));
  }
  const Point other = minus(d, c);
  const double other_length = std::hypot(other.x, other.y);
  if (other_length > 0) {
    const Point w{other.x / other_length, other.y / other_length}, off = minus(a, c);
    double low = -std::numeric_limits<double>::infinity(), high = -low;
    const auto clip = [&](double start, double slope, double least, double most) {  // least <= start + s slope <= most
      if (slope == 0) {
        if (start < least || start > most) high = low - 1;
        return;
      }
      const double s0 = (least - start) / slope, s1 = (most - start) / slope;
      low = std::max(low, std::min(s0, s1)), high = std::min(high, std::max(s0, s1));
    };
    clip(dot(off, w), dot(u, w), 0, other_length);
    if (low <= high) clip(cross(w, off), cross(w, u), -distance, distance);
    if (low <= high) begin = std::min(begin, low), end = std::max(end, high);
  }
  return {std::max(begin, 0.0), std::min(end, length)};
}

Result<std::vector<NearRows>> nearRows(std::span<const BorderPiece> pieces, double within, double exact, bool measure, Progress& progress) {
  const Cells cells(pieces, within);
  const auto& entries = cells.entries();
  LEEWARD_TRY(progress.checkStop());
  constexpr std::size_t kBatch = 1U << 15U;
  std::vector<Found> found(entries.size() / kBatch + 1);
  LEEWARD_TRY(progress.parallelFor(entries.size(), kBatch, [&](std::size_t begin, std::size_t end) {
    Found& mine = found[begin / kBatch];
    for (std::size_t i = begin; i < end; ++i) {
      for (std::size_t j = i + 1; j < entries.size() && entries[j].cell == entries[i].cell; ++j) {
        compare(pieces[entries[i].piece], pieces[entries[j].piece], within, exact, measure, mine);
      }
    }
  }));
  Found all;
  for (const Found& some : found) {
    all.near.insert(all.near.end(), some.near.begin(), some.near.end());
    all.beside.insert(all.beside.end(), some.beside.begin(), some.beside.end());
  }
  std::sort(all.near.begin(), all.near.end());  // of a pair what is exact comes first
  std::vector<NearRows> rows;
  for (const auto& [first, second, not_exact] : all.near) {
    if (rows.empty() || rows.back().first != first || rows.back().second != second) rows.push_back({first, second, !not_exact});
  }
  addRuns(all.beside, rows);
  return rows;
}

}  // namespace leeward::analysis
