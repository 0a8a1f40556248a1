#include "sample-data/generator/network.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace leeward::town {

namespace {

Point rounded(Point p) { return {std::round(p.x * 10) / 10, std::round(p.y * 10) / 10}; }

/// Directed edges leaving each node, by angle.
using Fans = std::vector<std::vector<int>>;

Fans fansOf(const std::vector<Point>& nodes, const std::vector<std::pair<int, int>>& directed) {
  Fans fans(nodes.size());
  for (const auto& [from, to] : directed) fans[static_cast<std::size_t>(from)].push_back(to);
  for (std::size_t n = 0; n < fans.size(); ++n) {
    const auto angle = [&](int to) {
      const Point d = nodes[static_cast<std::size_t>(to)] - nodes[n];
      return std::atan2(d.y, d.x);
    };
    std::sort(fans[n].begin(), fans[n].end(), [&](int p, int q) { return angle(p) < angle(q); });
  }
  return fans;
}

/// Rings that keep their left side: at each node the first way clockwise from where we came.
std::vector<std::vector<int>> rings(const std::vector<Point>& nodes, const std::vector<std::pair<int, int>>& directed) {
  const Fans fans = fansOf(nodes, directed);
  std::map<std::pair<int, int>, bool> used;
  for (const auto& way : directed) used[way] = false;
  std::vector<std::vector<int>> out;
  for (const auto& start : directed) {
    if (used[start]) continue;
    std::vector<int> ring;
    auto [from, to] = start;
    while (!used[{from, to}]) {
      used[{from, to}] = true;
      ring.push_back(from);
      const auto& fan = fans[static_cast<std::size_t>(to)];
      const Point here = nodes[static_cast<std::size_t>(to)];
      const Point back = nodes[static_cast<std::size_t>(from)] - here;
      double best = 1e9;
      int next = from;
      for (int candidate : fan) {
        const Point d = nodes[static_cast<std::size_t>(candidate)] - here;
        double turn = std::atan2(cross(d, back), dot(d, back));  // clockwise angle from back to d
        if (turn <= 1e-12) turn += 2 * 3.14159265358979323846;
        if (turn < best) {
          best = turn;
          next = candidate;
        }
      }
      from = to;
      to = next;
    }
    out.push_back(std::move(ring));
  }
  return out;
}

}  // namespace

Line Network::points(const std::vector<int>& path) const {
  Line out;
  for (int n : path) out.push_back(nodes[static_cast<std::size_t>(n)]);
  return out;
}

int Network::split(std::size_t edge, Point p) {
  const auto node = static_cast<int>(nodes.size());
  nodes.push_back(rounded(p));
  Edge second = edges[edge];
  second.a = node;
  edges[edge].b = node;
  edges.push_back(second);
  return node;
}

int Network::nodeAt(Point p, double snap_m) {
  double best = snap_m;
  int node = -1;
  for (std::size_t n = 0; n < nodes.size(); ++n) {
    if (std::abs(nodes[n].x - p.x) > best || std::abs(nodes[n].y - p.y) > best) continue;
    if (const double d = distance(nodes[n], p); d < best) {
      best = d;
      node = static_cast<int>(n);
    }
  }
  if (node >= 0) return node;
  std::size_t edge = edges.size();
  for (std::size_t e = 0; e < edges.size(); ++e) {
    if (edges[e].gone) continue;
    const double d = distanceToSegment(p, nodes[static_cast<std::size_t>(edges[e].a)], nodes[static_cast<std::size_t>(edges[e].b)]);
    if (d < best) {
      best = d;
      edge = e;
    }
  }
  if (edge < edges.size()) {
    const Point a = nodes[static_cast<std::size_t>(edges[edge].a)];
    const Point d = nodes[static_cast<std::size_t>(edges[edge].b)] - a;
    return split(edge, a + d * std::clamp(dot(p - a, d) / dot(d, d), 0.0, 1.0));
  }
  nodes.push_back(rounded(p));
  return static_cast<int>(nodes.size()) - 1;
}

void Network::join(int a, int b, Way way, int street) {
  if (a == b) return;
  for (const Edge& e : edges) {
    if (!e.gone && ((e.a == a && e.b == b) || (e.a == b && e.b == a))) return;
  }
  edges.push_back({a, b, way, street});
}

void Network::add(const Line& line, Way way, int street, double snap_m) {
  std::vector<int> path{nodeAt(line.front(), snap_m)};
  for (std::size_t i = 1; i < line.size(); ++i) {
    const int end = nodeAt(line[i], snap_m);
    const Point a = nodes[static_cast<std::size_t>(path.back())];
    const Point b = nodes[static_cast<std::size_t>(end)];
    std::vector<std::pair<double, int>> stops;
    const std::size_t before = edges.size();
    for (std::size_t e = 0; e < before; ++e) {
      const Edge& edge = edges[e];
      if (edge.gone || edge.a == path.back() || edge.b == path.back() || edge.a == end || edge.b == end) continue;
      const Point c = nodes[static_cast<std::size_t>(edge.a)];
      const Point d = nodes[static_cast<std::size_t>(edge.b)];
      const auto cut = crossing(a, b, c, d);
      if (!cut) continue;
      const Point at = c + (d - c) * cut->u;
      if (distance(at, c) < snap_m) stops.emplace_back(cut->t, edge.a);
      else if (distance(at, d) < snap_m) stops.emplace_back(cut->t, edge.b);
      else stops.emplace_back(cut->t, split(e, at));
    }
    std::sort(stops.begin(), stops.end());
    for (const auto& stop : stops) path.push_back(stop.second);
    path.push_back(end);
  }
  for (std::size_t i = 1; i < path.size(); ++i) join(path[i - 1], path[i], way, street);
}

std::vector<Chain> Network::chains() const {
  std::vector<std::vector<int>> at(nodes.size());
  for (std::size_t e = 0; e < edges.size(); ++e) {
    if (edges[e].gone) continue;
    at[static_cast<std::size_t>(edges[e].a)].push_back(static_cast<int>(e));
    at[static_cast<std::size_t>(edges[e].b)].push_back(static_cast<int>(e));
  }
  const auto passes = [&](int node, int street) {
    const auto& here = at[static_cast<std::size_t>(node)];
    if (here.size() != 2) return false;
    for (int e : here) {
      if (edges[static_cast<std::size_t>(e)].street != street || !isStreet(edges[static_cast<std::size_t>(e)].way)) return false;
    }
    return true;
  };
  std::vector<char> done(edges.size(), 0);
  const auto follow = [&](Chain& chain, int node, int edge) {
    while (passes(node, chain.street)) {
      const auto& here = at[static_cast<std::size_t>(node)];
      const int next = here[0] == edge ? here[1] : here[0];
      if (done[static_cast<std::size_t>(next)]) return;
      done[static_cast<std::size_t>(next)] = 1;
      const Edge& e = edges[static_cast<std::size_t>(next)];
      node = e.a == node ? e.b : e.a;
      edge = next;
      chain.nodes.push_back(node);
      chain.edges.push_back(next);
    }
  };
  std::vector<Chain> out;
  for (std::size_t e = 0; e < edges.size(); ++e) {
    if (edges[e].gone || done[e] || !isStreet(edges[e].way)) continue;
    done[e] = 1;
    Chain chain{edges[e].street, edges[e].way, {edges[e].b, edges[e].a}, {static_cast<int>(e)}};
    follow(chain, edges[e].a, static_cast<int>(e));
    std::reverse(chain.nodes.begin(), chain.nodes.end());
    std::reverse(chain.edges.begin(), chain.edges.end());
    follow(chain, edges[e].b, static_cast<int>(e));
    out.push_back(std::move(chain));
  }
  return out;
}

std::vector<std::vector<int>> Network::faces() const {
  std::vector<int> degree(nodes.size(), 0);
  std::vector<char> live(edges.size(), 0);
  for (std::size_t e = 0; e < edges.size(); ++e) {
    live[e] = edges[e].gone ? 0 : 1;
    if (live[e]) ++degree[static_cast<std::size_t>(edges[e].a)], ++degree[static_cast<std::size_t>(edges[e].b)];
  }
  for (bool changed = true; changed;) {
    changed = false;
    for (std::size_t e = 0; e < edges.size(); ++e) {
      if (!live[e] || (degree[static_cast<std::size_t>(edges[e].a)] > 1 && degree[static_cast<std::size_t>(edges[e].b)] > 1)) continue;
      live[e] = 0;
      --degree[static_cast<std::size_t>(edges[e].a)];
      --degree[static_cast<std::size_t>(edges[e].b)];
      changed = true;
    }
  }
  std::vector<std::pair<int, int>> directed;
  for (std::size_t e = 0; e < edges.size(); ++e) {
    if (!live[e]) continue;
    directed.emplace_back(edges[e].a, edges[e].b);
    directed.emplace_back(edges[e].b, edges[e].a);
  }
  std::vector<std::vector<int>> out;
  for (auto& ring : rings(nodes, directed)) {
    if (signedArea(points(ring)) > 0) out.push_back(std::move(ring));
  }
  return out;
}

std::vector<std::vector<int>> Network::outline(const std::vector<std::vector<int>>& faces, const std::vector<int>& marks, int mark,
                                               const std::vector<Point>& nodes) {
  std::map<std::pair<int, int>, int> ways;
  for (std::size_t f = 0; f < faces.size(); ++f) {
    if (marks[f] != mark) continue;
    for (std::size_t i = 0; i < faces[f].size(); ++i) ++ways[{faces[f][i], faces[f][(i + 1) % faces[f].size()]}];
  }
  std::vector<std::pair<int, int>> border;
  for (const auto& [way, count] : ways) {
    if (!ways.contains({way.second, way.first})) border.push_back(way);
  }
  return rings(nodes, border);
}

int Network::faults() const {
  int count = 0;
  for (std::size_t i = 0; i < edges.size(); ++i) {
    if (edges[i].gone) continue;
    for (std::size_t j = i + 1; j < edges.size(); ++j) {
      const Edge& e = edges[i];
      const Edge& f = edges[j];
      if (f.gone || e.a == f.a || e.a == f.b || e.b == f.a || e.b == f.b) continue;
      if (crossing(nodes[static_cast<std::size_t>(e.a)], nodes[static_cast<std::size_t>(e.b)], nodes[static_cast<std::size_t>(f.a)],
                   nodes[static_cast<std::size_t>(f.b)])) {
        ++count;
      }
    }
  }
  return count;
}

}  // namespace leeward::town
