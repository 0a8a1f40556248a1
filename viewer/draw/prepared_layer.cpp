#include "viewer/draw/prepared_layer.h"

namespace leeward::draw {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

double ringArea(std::span<const Point> ring) {
  double twice = 0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    twice += (ring[i].x - ring[0].x) * (ring[i + 1].y - ring[0].y) - (ring[i + 1].x - ring[0].x) * (ring[i].y - ring[0].y);
  }
  return twice / 2;
}

Point ringCentroid(std::span<const Point> ring) {
  double twice = 0, x = 0, y = 0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const double ax = ring[i].x - ring[0].x, ay = ring[i].y - ring[0].y;
    const double bx = ring[i + 1].x - ring[0].x, by = ring[i + 1].y - ring[0].y;
    const double cross = ax * by - bx * ay;
    twice += cross;
    x += (ax + bx) * cross;
    y += (ay + by) * cross;
  }
  if (twice == 0) return ring[0];
  return {ring[0].x + x / (3 * twice), ring[0].y + y / (3 * twice)};
}

/// Stretches inside the row's rings at height y, as sorted crossings.
std::vector<double> crossingsAt(const Geometries& geometry, std::size_t row, double y) {
  std::vector<double> crossings;
  for (std::size_t p = 0; p < geometry.paths(row); ++p) {
    const std::span<const Point> ring = geometry.path(row, p);
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
      if ((ring[i].y <= y) == (ring[i + 1].y <= y)) continue;
      crossings.push_back(ring[i].x + (y - ring[i].y) / (ring[i + 1].y - ring[i].y) * (ring[i + 1].x - ring[i].x));
    }
  }
  std::sort(crossings.begin(), crossings.end());
  return crossings;
}

QPainterPath pathOf(const Geometries& geometry, std::size_t row, Point origin) {
  QPainterPath path;
  path.setFillRule(Qt::OddEvenFill);
  const bool closed = geometry.kind(row) == GeometryKind::Areas;
  for (std::size_t p = 0; p < geometry.paths(row); ++p) {
    const std::span<const Point> line = geometry.path(row, p);
    for (std::size_t i = 0; i < line.size(); ++i) {
      const QPointF at(line[i].x - origin.x, line[i].y - origin.y);
      if (i == 0)
        path.moveTo(at);
      else
        path.lineTo(at);
    }
    if (closed) path.closeSubpath();
  }
  return path;
}

using End = std::pair<std::int64_t, std::int64_t>;
End endKey(QPointF p) { return {std::llround(p.x() * 2), std::llround(p.y() * 2)}; }  // half a metre

/// How far the way bends where `next` follows a line that ends in a -> b; radians.
double bend(QPointF a, QPointF b, QPointF next) {
  const double turn = std::atan2(next.y() - b.y(), next.x() - b.x()) - std::atan2(b.y() - a.y(), b.x() - a.x());
  return std::abs(std::remainder(turn, 2 * std::numbers::pi));
}

/// Grows `chain` at its end by the unused piece that bends least (below 60 degrees); false if there is none.
bool growAtEnd(std::vector<QPointF>& chain, const std::vector<std::vector<QPointF>>& pieces,
               const std::multimap<End, std::size_t>& ends, std::vector<bool>& used) {
  const QPointF before = chain[chain.size() - 2], tip = chain.back();
  double least = std::numbers::pi / 3;
  std::optional<std::pair<std::size_t, bool>> best;  // piece, and whether it is walked backwards
  const auto [first, last] = ends.equal_range(endKey(tip));
  for (auto it = first; it != last; ++it) {
    if (used[it->second]) continue;
    const std::vector<QPointF>& piece = pieces[it->second];
    const bool backwards = endKey(piece.front()) != endKey(tip);
    const double turn = bend(before, tip, backwards ? piece[piece.size() - 2] : piece[1]);
    if (turn < least) {
      least = turn;
      best = {it->second, backwards};
    }
  }
  if (!best) return false;
  used[best->first] = true;
  std::vector<QPointF> piece = pieces[best->first];
  if (best->second) std::reverse(piece.begin(), piece.end());
  chain.insert(chain.end(), piece.begin() + 1, piece.end());
  return true;
}

std::vector<NameChain> chainsOf(const MapLayer& layer, Point origin) {
  std::map<QString, std::vector<std::vector<QPointF>>> by_name;
  const Geometries& geometry = *layer.geometry;
  for (std::size_t row = 0; row < geometry.size() && row < layer.labels.size(); ++row) {
    if (layer.labels[row].isEmpty() || geometry.kind(row) != GeometryKind::Lines) continue;
    for (std::size_t p = 0; p < geometry.paths(row); ++p) {
      std::vector<QPointF> line;
      for (const Point& v : geometry.path(row, p)) line.emplace_back(v.x - origin.x, v.y - origin.y);
      if (line.size() >= 2) by_name[layer.labels[row]].push_back(std::move(line));
    }
  }
  std::vector<NameChain> chains;
  for (const auto& [name, pieces] : by_name) {
    std::multimap<End, std::size_t> ends;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      ends.emplace(endKey(pieces[i].front()), i);
      ends.emplace(endKey(pieces[i].back()), i);
    }
    std::vector<bool> used(pieces.size(), false);
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      if (used[i]) continue;
      used[i] = true;
      NameChain chain{name, pieces[i], 0, {}};
      for (int end = 0; end < 2; ++end) {
        while (growAtEnd(chain.line, pieces, ends, used)) {
        }
        std::reverse(chain.line.begin(), chain.line.end());
      }
      for (std::size_t k = 0; k < chain.line.size(); ++k) {
        chain.box.add(Point{chain.line[k].x() + origin.x, chain.line[k].y() + origin.y});
        if (k > 0)
          chain.length_m += std::hypot(chain.line[k].x() - chain.line[k - 1].x(), chain.line[k].y() - chain.line[k - 1].y());
      }
      chains.push_back(std::move(chain));
    }
  }
  std::stable_sort(chains.begin(), chains.end(), [](const NameChain& a, const NameChain& b) { return a.length_m > b.length_m; });
  return chains;
}

}  // namespace

Point anchorInside(const Geometries& geometry, std::size_t row) {
  if (!geometry.hasVertex(row)) return {kNan, kNan};
  if (geometry.kind(row) != GeometryKind::Areas) {
    const std::span<const Point> line = geometry.path(row, 0);
    return line[line.size() / 2];
  }
  std::size_t largest = 0;
  for (std::size_t p = 1; p < geometry.paths(row); ++p) {
    if (ringArea(geometry.path(row, p)) > ringArea(geometry.path(row, largest))) largest = p;
  }
  const Point centroid = ringCentroid(geometry.path(row, largest));
  const std::vector<double> crossings = crossingsAt(geometry, row, centroid.y);
  Point anchor = centroid;
  double widest = -1;
  for (std::size_t i = 0; i + 1 < crossings.size(); i += 2) {
    if (crossings[i] <= centroid.x && centroid.x <= crossings[i + 1]) return centroid;
    if (crossings[i + 1] - crossings[i] > widest) {
      widest = crossings[i + 1] - crossings[i];
      anchor = {(crossings[i] + crossings[i + 1]) / 2, centroid.y};
    }
  }
  return anchor;
}

PreparedLayer prepareLayer(const MapLayer& layer, Point origin) {
  PreparedLayer ready;
  ready.plan = layer;
  ready.plan.geometry = nullptr;
  if (layer.geometry == nullptr) return ready;
  const Geometries& geometry = *layer.geometry;
  ready.place_of_row.assign(geometry.size(), std::string::npos);
  const bool anchored = !layer.labels.empty() && layer.label_kind != LabelKind::Street;
  if (anchored) ready.anchors.assign(geometry.size(), Point{kNan, kNan});
  for (std::size_t row = 0; row < geometry.size(); ++row) {
    if (anchored && row < layer.labels.size() && !layer.labels[row].isEmpty()) ready.anchors[row] = anchorInside(geometry, row);
    const int sign = layer.sign_of_row.empty() ? 0 : layer.sign_of_row[row];
    if (sign < 0 || !geometry.hasVertex(row)) continue;
    if (geometry.kind(row) == GeometryKind::Points) {
      for (std::size_t p = 0; p < geometry.paths(row); ++p) {
        for (const Point& at : geometry.path(row, p)) ready.spots.push_back({row, sign, at});
      }
      continue;
    }
    ready.is_area = ready.is_area || geometry.kind(row) == GeometryKind::Areas;
    ready.place_of_row[row] = ready.rows.size();
    ready.rows.push_back({row, sign, pathOf(geometry, row, origin), geometry.bbox(row)});
  }
  if (!layer.labels.empty() && layer.label_kind == LabelKind::Street) ready.chains = chainsOf(layer, origin);
  return ready;
}

}  // namespace leeward::draw
