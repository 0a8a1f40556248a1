#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "sample-data/generator/town.h"

namespace leeward::town {

namespace {

struct Laid {
  Chain chain;
  Line line;
  bool east_west = false;
  int half = 1;   ///< -1 west or south of the zero point on streets with directions
  double near = 0;  ///< key of the end with the lower numbers
};

double lotWidth(Zone zone, Way way) {
  switch (zone) {
    case Zone::Centre: return 20.5;
    case Zone::Inner: return 26;
    case Zone::Suburb: return way == Way::Main ? 56 : 33;
    case Zone::Trailer: return way == Way::Lane ? 13 : 0;
    case Zone::Industry: return 62;
    case Zone::Field: return way == Way::Main ? 120 : 190;
    default: return 0;
  }
}

/// Chains street by street, each turned so that house numbers grow along it, ordered by where they begin.
std::map<std::pair<int, int>, std::vector<Laid>> laidOut(const Plan& plan) {
  std::map<int, Bbox> boxes;
  std::vector<Chain> chains = plan.network.chains();
  for (const Chain& chain : chains) {
    for (Point p : plan.network.points(chain.nodes)) boxes[chain.street].add(p);
  }
  std::map<std::pair<int, int>, std::vector<Laid>> streets;
  for (Chain& chain : chains) {
    Laid laid;
    const Bbox& box = boxes[chain.street];
    laid.east_west = box.width() >= box.height();
    laid.line = plan.network.points(chain.nodes);
    const Point mid = along(laid.line, length(laid.line) / 2);
    const bool directional = plan.streets[static_cast<std::size_t>(chain.street)].directional;
    if (directional) laid.half = (laid.east_west ? mid.x : mid.y) < 0 ? -1 : 1;
    const auto key = [&](Point p) {
      const double coordinate = laid.east_west ? p.x : p.y;
      if (directional) return std::abs(coordinate);
      const bool from_low = std::abs(laid.east_west ? box.min_x : box.min_y) < std::abs(laid.east_west ? box.max_x : box.max_y);
      const double low = laid.east_west ? box.min_x : box.min_y;
      const double high = laid.east_west ? box.max_x : box.max_y;
      return from_low ? coordinate - low : high - coordinate;
    };
    if (key(laid.line.front()) > key(laid.line.back())) std::reverse(laid.line.begin(), laid.line.end());
    laid.near = key(laid.line.front());
    laid.chain = std::move(chain);
    streets[{laid.chain.street, laid.half}].push_back(std::move(laid));
  }
  for (auto& [street, list] : streets) {
    std::stable_sort(list.begin(), list.end(), [](const Laid& p, const Laid& q) { return p.near < q.near; });
  }
  return streets;
}

class Numbering {
 public:
  Numbering(Town& town, Random& random) : town_(town), random_(random) {}

  void run() {
    for (const auto& [key, list] : laidOut(town_.plan)) {
      const Street& street = town_.plan.streets[static_cast<std::size_t>(key.first)];
      int next = street.directional ? 1 : 1 + static_cast<int>(random_.below(street.zone == Zone::Field ? 60 : 12));
      const int base = next - 1;
      for (const Laid& laid : list) {
        const int hundred = std::max(next, base + 1 + static_cast<int>(laid.near / 150));
        const int hundreds = std::max(1, static_cast<int>(std::ceil(length(laid.line) / 340)));
        if (street.name.empty()) lane(laid, street);
        else segment(laid, street, hundred, hundreds);
        next = hundred + hundreds;
      }
    }
  }

 private:
  void segment(const Laid& laid, const Street& street, int hundred, int hundreds) {
    Segment s;
    s.id = 6100000 + static_cast<int>(town_.segments.size()) * 7;
    s.street = laid.chain.street;
    s.way = laid.chain.way;
    s.line = laid.line;
    const double l = length(s.line);
    const Point mid = along(s.line, l / 2);
    s.name = fullName(street, mid, laid.east_west);
    // even numbers keep to one side of the compass on both halves of a street
    const bool even_left = laid.half > 0;
    const auto index = static_cast<int>(town_.segments.size());
    for (int side : {1, -1}) {
      const bool even = (side > 0) == even_left;
      const Range range = doors(s, side, even ? 0 : 1, hundred * 100, hundreds, index);
      (side > 0 ? s.left : s.right) = range;
      const Point beside = mid + Point{-heading(s.line, l / 2).y, heading(s.line, l / 2).x} * (side * 20.0);
      (side > 0 ? s.postcode_left : s.postcode_right) = postcodeAt(beside);
    }
    if (random_.uniform() < 0.15) {  // digitised the other way: numbers then fall along the line
      std::reverse(s.line.begin(), s.line.end());
      std::swap(s.left, s.right);
      std::swap(s.left.from, s.left.to);
      std::swap(s.right.from, s.right.to);
      std::swap(s.postcode_left, s.postcode_right);
    }
    town_.segments.push_back(std::move(s));
  }

  /// Puts doors along one side and returns the range that the street file gives for it.
  Range doors(const Segment& s, int side, int parity, int first, int hundreds, int index) {
    const double l = length(s.line);
    int last = first + parity - 2;
    int low = 0;
    int high = 0;
    for (double d = 11 + 5 * random_.uniform(); d < l - 9;) {
      const Point on = along(s.line, d);
      const Point h = heading(s.line, d);
      const Point at = on + Point{-h.y, h.x} * (side * (15 + 6 * random_.uniform()));
      const int block = blockAt(town_, at);
      const Zone zone = block < 0 ? Zone::Water : town_.plan.faces[static_cast<std::size_t>(block)].zone;
      const double width = lotWidth(zone, s.way);
      if (width == 0) {
        d += 15;
        continue;
      }
      d += width * (0.85 + 0.3 * random_.uniform());
      if (random_.uniform() < 0.05 || nearOtherStreet(at, s.street)) continue;
      const int slot = first + parity + 2 * static_cast<int>(std::min(0.999, distanceAlong(s.line, on) / l) * hundreds * 50);
      const int number = std::max(last + 2, slot);
      if (number > first + hundreds * 100 - 1) break;
      last = number;
      if (low == 0) low = number;
      high = number;
      addDoors(s, at, number, block, zone, index);
    }
    const Range potential{first + parity, first + parity + hundreds * 100 - 2};
    if (low == 0) return random_.uniform() < 0.6 ? Range{} : potential;
    const double draw = random_.uniform();
    if (draw < 0.015) return {low, low + 2 * static_cast<int>((high - low) * 0.35)};  // the file stops short of the last houses
    return draw < 0.30 ? Range{low, high} : potential;
  }

  double distanceAlong(const Line& line, Point p) const {
    double walked = 0;
    for (std::size_t i = 1; i < line.size(); ++i) {
      if (distanceToSegment(p, line[i - 1], line[i]) < 0.01) return walked + distance(line[i - 1], p);
      walked += distance(line[i - 1], line[i]);
    }
    return walked;
  }

  bool nearOtherStreet(Point p, int street) const {
    const Network& net = town_.plan.network;
    for (const Edge& e : net.edges) {
      if (e.gone || e.street == street || e.way == Way::Limit) continue;
      const Point a = net.nodes[static_cast<std::size_t>(e.a)];
      const Point b = net.nodes[static_cast<std::size_t>(e.b)];
      if (std::abs(a.x - p.x) < 120 && std::abs(a.y - p.y) < 120 && distanceToSegment(p, a, b) < 9) return true;
    }
    return false;
  }

  void addDoors(const Segment& s, Point at, int number, int block, Zone zone, int index) {
    Door door;
    door.number = number;
    door.street = s.name;
    door.at = at;
    door.block = block;
    door.segment = index;
    door.home = zone != Zone::Industry && !(zone == Zone::Centre && random_.uniform() < 0.12);
    const bool flats = door.home && random_.uniform() < (zone == Zone::Centre ? 0.035 : zone == Zone::Inner ? 0.01 : 0.002);
    if (flats) {
      const int units = 3 + static_cast<int>(random_.below(7));
      for (int u = 1; u <= units; ++u) {
        door.unit = "Apt " + std::to_string(u);
        add(door);
      }
      return;
    }
    add(door);
    if (door.home && (zone == Zone::Centre || zone == Zone::Inner) && random_.uniform() < 0.018) {
      door.suffix = random_.uniform() < 0.5 ? " 1/2" : "-A";
      door.at = at + Point{3.5, -4};
      add(door);
    }
  }

  void lane(const Laid& laid, const Street&) {
    const double l = length(laid.line);
    for (double d = 14; d < l - 4; d += lotWidth(Zone::Trailer, Way::Lane)) {
      for (int side : {1, -1}) {
        const Point h = heading(laid.line, d);
        Door door;
        door.number = 780;
        door.street = "Marl Rd";
        door.unit = fmt::format("Lot {}", ++lots_);
        door.at = along(laid.line, d) + Point{-h.y, h.x} * (side * 10.0);
        door.block = blockAt(town_, door.at);
        if (door.block >= 0) add(door);
      }
    }
  }

  void add(Door door) {
    door.id = fmt::format("P{:05}", town_.doors.size() + 1);
    door.postcode = postcodeAt(door.at);
    town_.doors.push_back(std::move(door));
  }

  Town& town_;
  Random& random_;
  int lots_ = 0;
};

}  // namespace

const char* postcodeAt(Point p) {
  if (p.x < -1900 || p.x > 2120 || p.y < -1600) return "00004";
  if (p.y > 560) return "00001";
  return p.y > -720 ? "00002" : "00003";
}

int blockAt(const Town& town, Point p) {
  for (std::size_t f = 0; f < town.plan.faces.size(); ++f) {
    if (inside(town.plan.faces[f].outline, p)) return static_cast<int>(f);
  }
  return -1;
}

void numberStreets(Town& town, Random& random) { Numbering(town, random).run(); }

}  // namespace leeward::town
