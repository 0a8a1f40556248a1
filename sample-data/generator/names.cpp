#include <algorithm>
#include <array>
#include <map>

#include "sample-data/generator/town.h"

namespace leeward::town {

namespace {

constexpr std::array kTrees{"Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fir", "Hawthorn", "Juniper", "Larch", "Maple", "Oak", "Poplar", "Rowan",
                            "Spruce", "Walnut", "Willow"};
constexpr std::array kPlain{"Anvil", "Badger", "Barley", "Basalt", "Beacon", "Bellows", "Bobbin", "Bramble", "Brickyard", "Brook", "Candle", "Carder",
                            "Chandler", "Chapel", "Clover", "Cooper", "Copper", "Coral", "Cricket", "Dairy", "Drover", "Dyer", "Ember", "Falcon",
                            "Farrier", "Fennel", "Fiddle", "Finch", "Flax", "Flint", "Garnet", "Gravel", "Grist", "Harbor", "Harrow", "Hazel",
                            "Heather", "Hopper", "Ivory", "Jasper", "Kestrel", "Lantern", "Laurel", "Ledger", "Linden", "Linnet", "Locust",
                            "Loom", "Mallow", "Marble", "Meadow", "Miller", "Mulberry", "Nettle", "Nickel", "Orchard", "Osprey", "Otter", "Parsley",
                            "Pepper", "Pheasant", "Pine", "Plum", "Potter", "Prairie", "Quarry", "Quince", "Raven", "Reed", "Saddler", "Saffron",
                            "Sage", "School", "Shale", "Silver", "Slate", "Sorrel", "Sparrow", "Spring", "Starling", "Summit", "Sycamore", "Tallow",
                            "Teal", "Thatcher", "Thistle", "Thrush", "Timber", "Vine", "Wagon", "Weaver", "Wheat", "Wren", "Yarrow"};
constexpr std::array kFirst{"Amber", "Autumn", "Blue Heron", "Cedar", "Clear", "Copper", "Eagle", "Fern", "Fox", "Golden", "Hidden", "Hollow", "Indigo",
                            "Juniper", "Lake", "Maple", "Misty", "Oak", "Pebble", "Quail", "Rolling", "Rustling", "Shady", "Silver", "Stone", "Sunny",
                            "Timber", "Valley", "Whispering", "Wild Plum", "Willow"};
constexpr std::array kSecond{"Bend", "Brook", "Creek", "Crest", "Crossing", "Glen", "Grove", "Hill", "Hollow", "Knoll", "Meadow", "Ridge", "Run", "Spring",
                             "View"};

std::string ordinal(int n) {
  const int ten = n % 100;
  const char* tail = ten >= 11 && ten <= 13 ? "th" : n % 10 == 1 ? "st" : n % 10 == 2 ? "nd" : n % 10 == 3 ? "rd" : "th";
  return std::to_string(n) + tail;
}

struct Shape {
  int street = 0;
  Point mean;
  Bbox box;
  double length_m = 0;
  bool blind = false;
};

std::vector<Shape> shapesOf(const Plan& plan) {
  std::vector<Shape> shapes(plan.streets.size());
  std::vector<int> degree(plan.network.nodes.size(), 0);
  for (const Edge& e : plan.network.edges) {
    if (!e.gone) ++degree[static_cast<std::size_t>(e.a)], ++degree[static_cast<std::size_t>(e.b)];
  }
  for (const Edge& e : plan.network.edges) {
    if (e.gone || e.street < 0) continue;
    Shape& s = shapes[static_cast<std::size_t>(e.street)];
    const Point a = plan.network.nodes[static_cast<std::size_t>(e.a)];
    const Point b = plan.network.nodes[static_cast<std::size_t>(e.b)];
    const double l = distance(a, b);
    s.mean = s.mean + (a + b) * (l / 2);
    s.length_m += l;
    s.box.add(a);
    s.box.add(b);
    if (degree[static_cast<std::size_t>(e.a)] == 1 || degree[static_cast<std::size_t>(e.b)] == 1) s.blind = true;
  }
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    shapes[i].street = static_cast<int>(i);
    if (shapes[i].length_m > 0) shapes[i].mean = shapes[i].mean * (1 / shapes[i].length_m);
  }
  return shapes;
}

/// Numbered streets run north-south and tree streets east-west, counted afresh on either side of the zero point's axes,
/// so that N 3rd St and S 3rd St, or E and W Alder St, are two streets that nearly meet.
void nameOldTown(Plan& plan, const std::vector<Shape>& shapes) {
  for (int half = 0; half < 4; ++half) {
    const bool numbered = half < 2;
    const double sign = half % 2 == 0 ? 1 : -1;
    std::vector<const Shape*> here;
    for (const Shape& s : shapes) {
      const Street& street = plan.streets[static_cast<std::size_t>(s.street)];
      if (street.zone != Zone::Centre || !street.name.empty() || s.length_m == 0) continue;
      const bool north_south = s.box.height() > s.box.width();
      if (north_south != numbered || (numbered ? s.mean.y : s.mean.x) * sign < 0) continue;
      here.push_back(&s);
    }
    std::sort(here.begin(), here.end(), [&](const Shape* p, const Shape* q) { return numbered ? p->mean.x < q->mean.x : p->mean.y > q->mean.y; });
    for (std::size_t k = 0; k < here.size(); ++k) {
      Street& street = plan.streets[static_cast<std::size_t>(here[k]->street)];
      street.name = numbered ? ordinal(static_cast<int>(k) + 1) : kTrees[k % kTrees.size()];
      street.type = "St";
      street.directional = true;
    }
  }
}

}  // namespace

std::string fullName(const Street& street, Point p, bool east_west) {
  if (street.name.empty()) return {};
  std::string name = street.directional ? (east_west ? (p.x < 0 ? "W " : "E ") : (p.y < 0 ? "S " : "N ")) : "";
  name += street.name;
  return street.type.empty() ? name : name + " " + street.type;
}

void nameStreets(Plan& plan, Random& random) {
  const std::vector<Shape> shapes = shapesOf(plan);
  nameOldTown(plan, shapes);
  std::map<std::string, int> taken;
  int county_road = 11;
  const auto pick = [&](const auto& list) { return std::string(list[random.below(static_cast<std::uint32_t>(list.size()))]); };
  for (const Shape& s : shapes) {
    Street& street = plan.streets[static_cast<std::size_t>(s.street)];
    if (!street.name.empty() || s.length_m == 0) continue;
    if (street.zone == Zone::Field) {
      street.name = "Co Rd " + std::to_string(county_road++);
      continue;
    }
    if (street.zone == Zone::Trailer) {
      if (s.blind) continue;  // the lanes have no names
      street.name = "Larkspur";
      street.type = "Ct";
      continue;
    }
    constexpr std::array kInnerTypes{"St", "St", "Ave", "Ave", "Pl", "Ter"};
    constexpr std::array kSuburbTypes{"Dr", "Dr", "Ln", "Way", "Trl", "Rd", "Loop"};
    constexpr std::array kBlindTypes{"Ct", "Ct", "Cir", "Pl", "Ln"};
    constexpr std::array kWorksTypes{"Pkwy", "Rd", "Ave", "Dr"};
    for (int attempt = 0;; ++attempt) {
      if (street.zone == Zone::Suburb) {
        street.name = random.uniform() < 0.3 ? pick(kPlain) : pick(kFirst) + " " + pick(kSecond);
        street.type = s.blind && s.length_m < 420 ? pick(kBlindTypes) : pick(kSuburbTypes);
      } else {
        street.name = pick(kPlain);
        street.type = street.zone == Zone::Industry ? pick(kWorksTypes) : pick(kInnerTypes);
      }
      street.directional = street.zone == Zone::Inner && random.uniform() < 0.45;
      // one name may serve twice with different types, as in towns that grew together, but the pair is unique
      if (taken[street.name + " " + street.type] == 0 && (taken[street.name] < 1 || (taken[street.name] < 2 && attempt > 4))) break;
    }
    ++taken[street.name + " " + street.type];
    ++taken[street.name];
  }
}

}  // namespace leeward::town
