#include "sample-data/generator/plan.h"

#include <algorithm>
#include <cmath>
#include <array>
#include <map>

namespace leeward::town {

namespace {

struct Pattern {
  Point inside;      ///< a point in the quarter that it fills
  Zone zone;
  double angle_deg;  ///< of its first family of streets
  double along_m;    ///< between streets of the first family
  double across_m;   ///< and of the second
  double bend_m;     ///< how far streets leave the straight
  double cut_share;  ///< of street pieces that are left out or end blind
  double turn_m;     ///< length of a bend
};

// clang-format off
const Pattern kPatterns[] = {
    // the old town between river and rail
    {{-600, 250}, Zone::Centre, -6, 134, 176, 2, 0.05, 900},
    {{-600, -280}, Zone::Centre, -6, 134, 176, 2, 0.05, 900},
    {{500, 280}, Zone::Centre, -3, 136, 172, 2, 0.06, 900},
    {{500, -300}, Zone::Centre, -3, 136, 172, 2, 0.06, 900},
    // quarters of the tramway years, north of the rail and on the south bank
    {{-550, 1150}, Zone::Inner, 2, 158, 250, 5, 0.16, 700},
    {{500, 1050}, Zone::Inner, -9, 162, 250, 6, 0.16, 700},
    {{-1400, 1300}, Zone::Inner, 24, 155, 240, 16, 0.20, 600},
    {{1400, -450}, Zone::Inner, -16, 165, 250, 16, 0.20, 620},
    {{-450, -1150}, Zone::Inner, 8, 150, 225, 10, 0.18, 600},
    // newer suburbs
    {{550, -1250}, Zone::Suburb, -14, 185, 250, 45, 0.30, 620},
    {{-450, -1950}, Zone::Suburb, 18, 195, 270, 60, 0.34, 560},
    {{450, -2000}, Zone::Suburb, -10, 190, 270, 60, 0.32, 600},
    {{1450, 1150}, Zone::Suburb, 22, 190, 260, 65, 0.32, 640},
    {{-500, 2050}, Zone::Suburb, 12, 190, 280, 55, 0.32, 620},
    {{800, 2080}, Zone::Suburb, -12, 190, 270, 60, 0.32, 560},
    {{-1400, -900}, Zone::Suburb, -28, 200, 285, 55, 0.34, 540},
    {{-1500, -1950}, Zone::Suburb, -12, 230, 320, 60, 0.36, 620},
    // works along the rail, east
    {{1450, 60}, Zone::Industry, -14, 190, 300, 4, 0.12, 900},
    {{2450, -400}, Zone::Industry, -20, 250, 360, 5, 0.15, 900},
    // farm roads
    {{2400, 1300}, Zone::Field, 8, 640, 720, 25, 0.10, 900},
    {{-2450, -1000}, Zone::Field, -4, 600, 700, 25, 0.10, 900},
    {{-2450, -2000}, Zone::Field, 4, 620, 700, 25, 0.10, 900},
    {{-2400, 1700}, Zone::Field, 14, 600, 640, 25, 0.10, 900},
    {{1900, -1600}, Zone::Field, -24, 560, 640, 30, 0.10, 900},
};
// clang-format on

class Drawing {
 public:
  explicit Drawing(Random& random) : random_(random) {}

  Plan draw() {
    skeleton();
    fillQuarters();
    trailerCourt();
    thin();
    mergeSlivers();
    dropLooseEnds();
    plan_.faces = facesWithZones();
    return std::move(plan_);
  }

 private:
  int street(Zone zone, std::string name = {}, std::string type = {}, bool directional = false) {
    plan_.streets.push_back({std::move(name), std::move(type), directional, zone});
    return static_cast<int>(plan_.streets.size()) - 1;
  }

  void road(const Line& through, const char* name, const char* type, bool directional = false, double snap_m = 14) {
    plan_.network.add(curve(through, 55), Way::Main, street(Zone::Inner, name, type, directional), snap_m);
  }

  void skeleton() {
    Network& net = plan_.network;
    plan_.limits = {{-3000, -2300}, {-1200, -2500}, {900, -2450}, {2900, -2250}, {3050, -300}, {2950, 1500},
                    {2300, 2350},   {300, 2500},    {-1700, 2450}, {-2950, 1950}, {-3050, 200}};
    Line limits = plan_.limits;
    limits.push_back(limits.front());
    net.add(limits, Way::Limit, -1, 5);
    plan_.river = curve({{-3200, 1240}, {-2750, 1130}, {-2300, 900}, {-1950, 520}, {-1650, 120}, {-1330, -240}, {-900, -560},
                         {-350, -700},  {150, -640},   {600, -610},  {1050, -790}, {1450, -1130}, {1900, -1330}, {2450, -1420}, {3150, -1700}}, 45);
    plan_.rail = curve({{-3150, 1900}, {-2400, 1480}, {-1700, 1010}, {-1000, 660}, {-300, 530}, {400, 490}, {1100, 330}, {1900, 130}, {3150, -260}}, 90);
    for (double side : {kRiverHalfWidth, -kRiverHalfWidth}) {
      for (const Line& piece : clipped(offset(plan_.river, side), plan_.limits)) net.add(piece, Way::Bank, -1, 10);
    }
    for (const Line& piece : clipped(plan_.rail, plan_.limits)) net.add(piece, Way::Rail, -1, 10);
    road({{-2950, 1950}, {-2300, 1860}, {-1500, 1740}, {-700, 1600}, {0, 1560}, {900, 1640}, {1700, 1800}, {2578, 1985}}, "State Route 9", "");
    road({{-3030, -400}, {-2500, -180}, {-2000, -60}, {-1560, 40}, {-1000, 60}, {0, 0}, {930, -50}, {1500, -180}, {2150, -430}, {2994, -900}}, "Main", "St", true);
    road({{150, 2500}, {80, 2050}, {0, 1560}, {-40, 1000}, {-20, 540}, {0, 0}, {-20, -600}, {20, -780}, {30, -1200}, {-60, -1700}, {-100, -2480}}, "Center", "Ave", true);
    road({{-960, 1655}, {-1010, 1200}, {-1000, 660}, {-940, 60}, {-900, -430}}, "Sallow", "Ave", true);
    road({{1180, 2435}, {1060, 2000}, {960, 1650}, {930, 900}, {960, 370}, {930, -50}, {900, -600}, {960, -860}, {1010, -1300}, {1030, -1700}, {900, -2450}}, "Foundry", "Ave", true);
    road({{2120, 2370}, {2020, 1870}, {2060, 1200}, {1990, 500}, {1960, 110}, {1980, -350}}, "Kiln", "Rd");
    road({{-1900, 1810}, {-1950, 1500}, {-1870, 1120}}, "Heron", "Rd");
    Line north_bank = clipped(offset(plan_.river, 120), plan_.limits).front();
    Line river_road;
    for (Point p : north_bank) {
      if (p.x > -1420 && p.x < 2500) river_road.push_back(p);
    }
    river_road.insert(river_road.begin(), Point{-1480, 50});
    river_road.push_back({2820, -790});
    net.add(river_road, Way::Main, street(Zone::Inner, "River", "Rd"), 22);
    road({{-2050, -90}, {-1750, -300}, {-1300, -520}, {-900, -760}, {-350, -840}, {25, -800}}, "Ferry", "Rd");
    road({{25, -800}, {350, -775}, {640, -760}, {960, -900}}, "Ferry", "Rd");
    road({{-3015, -1500}, {-2300, -1460}, {-1700, -1420}, {-1000, -1480}, {-30, -1580}, {500, -1640}, {1030, -1700}, {1700, -1850}, {2916, -1990}}, "Sandpit", "Rd");
    road({{-2130, -2397}, {-2060, -1900}, {-2000, -1440}, {-2020, -800}, {-2040, -90}}, "Marl", "Rd");
    road({{-960, -1485}, {-900, -1100}, {-900, -760}}, "Tannery", "Rd");
    road({{-1010, -2494}, {-980, -2000}, {-960, -1485}}, "Tannery", "Rd");
  }

  void fillQuarters() {
    std::vector<Line> quarters;
    for (const auto& ring : plan_.network.faces()) quarters.push_back(plan_.network.points(ring));
    std::map<std::array<int, 3>, int> named;
    for (const Line& quarter : quarters) {
      std::size_t which = std::size(kPatterns);
      for (std::size_t k = 0; k < std::size(kPatterns); ++k) {
        if (inside(quarter, kPatterns[k].inside)) which = k;
      }
      if (which == std::size(kPatterns)) continue;
      quarters_.push_back({quarter, which});
      const Pattern& pattern = kPatterns[which];
      const double phase[2] = {random_.uniform() * 6.28, random_.uniform() * 6.28};
      for (int family = 0; family < 2; ++family) {
        const double gap = family == 0 ? pattern.along_m : pattern.across_m;
        for (int k = -40; k <= 40; ++k) {
          const double at = k * gap + (random_.uniform() - 0.5) * gap * 0.12 + gap * 0.5;
          Line line;
          for (int s = -60; s <= 60; ++s) {
            const Point flat = family == 0 ? Point{s * 55.0, at} : Point{at, s * 55.0};
            const double bend = pattern.bend_m * (std::sin(6.283 * (flat.x + flat.y * 0.35) / pattern.turn_m + phase[0]) +
                                                  0.6 * std::sin(6.283 * (flat.x * 0.3 - flat.y) / (pattern.turn_m * 1.35) + phase[1]));
            const Point p = family == 0 ? Point{flat.x, flat.y + bend} : Point{flat.x + bend * 0.8, flat.y};
            line.push_back(pattern.inside + turned(p, pattern.angle_deg));
          }
          addPieces(line, quarter, pattern, named, {static_cast<int>(which), family, k});
        }
      }
    }
  }

  void addPieces(const Line& line, const Line& quarter, const Pattern& pattern, std::map<std::array<int, 3>, int>& named,
                 std::array<int, 3> key) {
    for (const Line& piece : clipped(line, quarter)) {
      const double l = length(piece);
      if (l < 70) continue;
      Line closed = quarter;
      closed.push_back(quarter.front());
      const double clear = std::min({distanceToLine(along(piece, l * 0.5), closed), distanceToLine(along(piece, l * 0.3), closed),
                                     distanceToLine(along(piece, l * 0.7), closed)});
      if (clear < std::min(pattern.along_m * 0.42, l * 0.22)) continue;
      if (!named.contains(key)) named[key] = street(pattern.zone);
      plan_.network.add(piece, Way::Local, named[key], 16);
    }
  }

  /// A court of mobile homes off Marl Road: a road round it and lanes that end blind.
  void trailerCourt() {
    plan_.network.add(curve({{-2032, -300}, {-2200, -300}, {-2285, -330}, {-2300, -480}, {-2285, -650}, {-2200, -690}, {-2024, -690}}, 45),
                      Way::Local, street(Zone::Trailer), 12);
    const int lanes = street(Zone::Trailer);
    for (int k = 0; k < 8; ++k) {
      const double y = -345 - 43.0 * k;
      plan_.network.add(curve({{-2028, y}, {-2140, y + 6}, {-2245, y}}, 60), Way::Lane, lanes, 6);
    }
  }

  void thin() {
    Network& net = plan_.network;
    for (const Chain& chain : net.chains()) {
      if (chain.way != Way::Local) continue;
      const Line line = net.points(chain.nodes);
      const double l = length(line);
      const std::size_t pattern = patternAt(along(line, l / 2));
      if (pattern == std::size(kPatterns) || random_.uniform() >= kPatterns[pattern].cut_share) continue;
      const bool blind = kPatterns[pattern].zone == Zone::Suburb && l > 130 && random_.uniform() < 0.75;
      if (!blind) {
        for (int e : chain.edges) net.edges[static_cast<std::size_t>(e)].gone = true;
      } else {
        cutShort(chain, l * (0.45 + 0.2 * random_.uniform()));
      }
    }
  }

  /// Keeps the first `keep_m` of a chain, as a street that ends blind.
  void cutShort(const Chain& chain, double keep_m) {
    Network& net = plan_.network;
    double walked = 0;
    for (std::size_t i = 0; i < chain.edges.size(); ++i) {
      Edge& edge = net.edges[static_cast<std::size_t>(chain.edges[i])];
      const int from = chain.nodes[i];
      const int to = chain.nodes[i + 1];
      const double l = distance(net.nodes[static_cast<std::size_t>(from)], net.nodes[static_cast<std::size_t>(to)]);
      if (walked >= keep_m) {
        edge.gone = true;
      } else if (walked + l > keep_m) {
        const Point a = net.nodes[static_cast<std::size_t>(from)];
        const Point end = a + (net.nodes[static_cast<std::size_t>(to)] - a) * ((keep_m - walked) / l);
        net.nodes.push_back({std::round(end.x * 10) / 10, std::round(end.y * 10) / 10});
        edge.a = from;
        edge.b = static_cast<int>(net.nodes.size()) - 1;
      }
      walked += l;
    }
  }

  /// Faces too small for a block join a neighbour across a local street.
  void mergeSlivers() {
    constexpr double kSmallestBlockM2 = 5000;
    Network& net = plan_.network;
    for (int round = 0; round < 200; ++round) {
      bool changed = false;
      for (const auto& ring : net.faces()) {
        if (signedArea(net.points(ring)) >= kSmallestBlockM2) continue;
        changed = openLongestSide(ring);
        if (changed) break;
      }
      if (!changed) return;
    }
  }

  bool openLongestSide(const std::vector<int>& ring) {
    Network& net = plan_.network;
    std::map<int, double> sides;
    const auto each = [&](auto&& use) {
      for (std::size_t i = 0; i < ring.size(); ++i) {
        const int a = ring[i];
        const int b = ring[(i + 1) % ring.size()];
        for (Edge& e : net.edges) {
          if (!e.gone && e.way == Way::Local && ((e.a == a && e.b == b) || (e.a == b && e.b == a))) use(e);
        }
      }
    };
    each([&](Edge& e) { sides[e.street] += distance(net.nodes[static_cast<std::size_t>(e.a)], net.nodes[static_cast<std::size_t>(e.b)]); });
    if (sides.empty()) return false;
    const auto longest = std::max_element(sides.begin(), sides.end(), [](auto& p, auto& q) { return p.second < q.second; });
    each([&](Edge& e) { e.gone = e.gone || e.street == longest->first; });
    return true;
  }

  /// Blind ends too short to be streets, and streets that nothing joins to the rest.
  void dropLooseEnds() {
    Network& net = plan_.network;
    for (int round = 0; round < 3; ++round) {
      std::vector<int> degree(net.nodes.size(), 0);
      for (const Edge& e : net.edges) {
        if (!e.gone) ++degree[static_cast<std::size_t>(e.a)], ++degree[static_cast<std::size_t>(e.b)];
      }
      for (const Chain& chain : net.chains()) {
        const bool blind = degree[static_cast<std::size_t>(chain.nodes.front())] == 1 || degree[static_cast<std::size_t>(chain.nodes.back())] == 1;
        if (chain.way != Way::Local || !blind || length(net.points(chain.nodes)) > 48) continue;
        for (int e : chain.edges) net.edges[static_cast<std::size_t>(e)].gone = true;
      }
    }
    std::vector<char> reached(net.nodes.size(), 0);
    reached[0] = 1;
    for (bool changed = true; changed;) {
      changed = false;
      for (const Edge& e : net.edges) {
        char& a = reached[static_cast<std::size_t>(e.a)];
        char& b = reached[static_cast<std::size_t>(e.b)];
        if (!e.gone && a != b) a = b = 1, changed = true;
      }
    }
    for (Edge& e : net.edges) e.gone = e.gone || !reached[static_cast<std::size_t>(e.a)];
  }

  std::size_t patternAt(Point p) const {
    for (const Quarter& q : quarters_) {
      if (inside(q.outline, p)) return q.pattern;
    }
    return std::size(kPatterns);
  }

  std::vector<Face> facesWithZones() {
    std::vector<Face> out;
    for (auto& ring : plan_.network.faces()) {
      Face face;
      face.outline = plan_.network.points(ring);
      face.ring = std::move(ring);
      face.inner = innerPoint(face.outline);
      face.area_m2 = signedArea(face.outline);
      const std::size_t pattern = patternAt(face.inner);
      if (distanceToLine(face.inner, plan_.river) < kRiverHalfWidth + 4) face.zone = Zone::Water;
      else if (inside(face.outline, {-2150, -480})) face.zone = Zone::Trailer;
      else if (pattern < std::size(kPatterns)) face.zone = kPatterns[pattern].zone;
      out.push_back(std::move(face));
    }
    return out;
  }

  struct Quarter {
    Line outline;
    std::size_t pattern;
  };
  Random& random_;
  Plan plan_;
  std::vector<Quarter> quarters_;
};

}  // namespace

Plan drawPlan(Random& random) { return Drawing(random).draw(); }

}  // namespace leeward::town
