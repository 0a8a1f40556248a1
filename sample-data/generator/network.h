#pragma once
/// A plane graph of streets, rail, banks and limits: what the blocks are the faces of.
#include <cstdint>
#include <vector>

#include "sample-data/generator/plane.h"

namespace leeward::town {

enum class Way : std::uint8_t { Main, Local, Lane, Rail, Bank, Limit };
inline bool isStreet(Way way) { return way == Way::Main || way == Way::Local || way == Way::Lane; }

struct Edge {
  int a = 0;
  int b = 0;
  Way way = Way::Local;
  int street = -1;  ///< index of a street; -1 for what is none
  bool gone = false;
};

/// A run of edges of one street between two corners (or ends).
struct Chain {
  int street = -1;
  Way way = Way::Local;
  std::vector<int> nodes;
  std::vector<int> edges;
};

class Network {
 public:
  std::vector<Point> nodes;
  std::vector<Edge> edges;

  /// Adds a line, splitting what it crosses; points nearer than snap_m to a node or edge join it.
  void add(const Line& line, Way way, int street, double snap_m);
  std::vector<Chain> chains() const;
  /// Faces as rings of nodes, counter-clockwise, outer face left out; dead ends do not show.
  std::vector<std::vector<int>> faces() const;
  /// Rings round the union of the faces whose mark is `mark`; outer rings counter-clockwise, holes clockwise.
  static std::vector<std::vector<int>> outline(const std::vector<std::vector<int>>& faces, const std::vector<int>& marks, int mark,
                                               const std::vector<Point>& nodes);
  Line points(const std::vector<int>& path) const;
  /// Pairs of live edges that cross without a node: none in a sound plan.
  int faults() const;

 private:
  int nodeAt(Point p, double snap_m);
  int split(std::size_t edge, Point p);
  void join(int a, int b, Way way, int street);
};

}  // namespace leeward::town
