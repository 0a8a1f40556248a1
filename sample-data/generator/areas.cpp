#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

#include "sample-data/generator/town.h"

namespace leeward::town {

namespace {

constexpr int kGroups = 16;

std::vector<std::set<int>> neighbours(const Plan& plan) {
  std::map<std::pair<int, int>, int> owner;
  for (std::size_t f = 0; f < plan.faces.size(); ++f) {
    const auto& ring = plan.faces[f].ring;
    for (std::size_t i = 0; i < ring.size(); ++i) owner[{ring[i], ring[(i + 1) % ring.size()]}] = static_cast<int>(f);
  }
  std::vector<std::set<int>> out(plan.faces.size());
  for (const auto& [way, face] : owner) {
    if (const auto other = owner.find({way.second, way.first}); other != owner.end()) out[static_cast<std::size_t>(face)].insert(other->second);
  }
  return out;
}

/// Seeds far from each other, by homes: the first in the middle, each next where homes are worst served.
std::vector<int> seeds(const Town& town) {
  std::vector<int> out;
  std::vector<double> far(town.blocks.size(), 1e9);
  int next = blockAt(town, {-200, 150});
  while (static_cast<int>(out.size()) < kGroups) {
    out.push_back(next);
    double best = -1;
    for (std::size_t b = 0; b < town.blocks.size(); ++b) {
      far[b] = std::min(far[b], distance(town.plan.faces[b].inner, town.plan.faces[static_cast<std::size_t>(out.back())].inner));
      const double worth = far[b] * std::sqrt(std::min(town.blocks[b].housing, 40));
      if (worth > best) best = worth, next = static_cast<int>(b);
    }
  }
  return out;
}

void grow(Town& town) {
  const auto next_to = neighbours(town.plan);
  const std::vector<int> start = seeds(town);
  std::vector<double> homes(kGroups, 0);
  std::vector<Point> middle;
  for (int g = 0; g < kGroups; ++g) {
    town.blocks[static_cast<std::size_t>(start[static_cast<std::size_t>(g)])].group = g;
    homes[static_cast<std::size_t>(g)] = town.blocks[static_cast<std::size_t>(start[static_cast<std::size_t>(g)])].housing;
    middle.push_back(town.plan.faces[static_cast<std::size_t>(start[static_cast<std::size_t>(g)])].inner);
  }
  std::vector<char> full(kGroups, 0);
  for (;;) {
    int least = -1;
    for (int g = 0; g < kGroups; ++g) {
      if (!full[static_cast<std::size_t>(g)] && (least < 0 || homes[static_cast<std::size_t>(g)] < homes[static_cast<std::size_t>(least)])) least = g;
    }
    if (least < 0) return;
    int best = -1;
    double nearest = 1e18;
    for (std::size_t b = 0; b < town.blocks.size(); ++b) {
      if (town.blocks[b].group != least) continue;
      for (int n : next_to[b]) {
        if (town.blocks[static_cast<std::size_t>(n)].group >= 0) continue;
        const double d = distance(town.plan.faces[static_cast<std::size_t>(n)].inner, middle[static_cast<std::size_t>(least)]);
        if (d < nearest) nearest = d, best = n;
      }
    }
    if (best < 0) {
      full[static_cast<std::size_t>(least)] = 1;
      continue;
    }
    town.blocks[static_cast<std::size_t>(best)].group = least;
    homes[static_cast<std::size_t>(least)] += town.blocks[static_cast<std::size_t>(best)].housing + 0.3;
  }
}

/// Groups numbered from the north-west, three or four to a tract; state and county codes are not assigned ones.
void nameGroups(Town& town) {
  std::vector<std::pair<Point, int>> centre(kGroups);
  for (int g = 0; g < kGroups; ++g) {
    Point sum;
    int n = 0;
    for (std::size_t b = 0; b < town.blocks.size(); ++b) {
      if (town.blocks[b].group == g) sum = sum + town.plan.faces[b].inner, ++n;
    }
    centre[static_cast<std::size_t>(g)] = {sum * (1.0 / n), g};
  }
  std::sort(centre.begin(), centre.end(), [](const auto& p, const auto& q) {
    const int row_p = static_cast<int>(std::floor(p.first.y / 1300));
    const int row_q = static_cast<int>(std::floor(q.first.y / 1300));
    return row_p != row_q ? row_p > row_q : p.first.x < q.first.x;
  });
  for (std::size_t k = 0; k < centre.size(); ++k) {
    town.groups[static_cast<std::size_t>(centre[k].second)].geoid = fmt::format("99001{:06}{}", (1 + k / 4) * 100, 1 + k % 4);
  }
  std::vector<int> next(kGroups, 0);
  for (Block& block : town.blocks) {
    block.geoid = fmt::format("{}{:03}", town.groups[static_cast<std::size_t>(block.group)].geoid, next[static_cast<std::size_t>(block.group)]++);
  }
}

double povertyAt(Point p, Zone zone) {
  double x = -2.1;
  x += 1.3 * std::exp(-std::pow(distance(p, {1350, 60}) / 750, 2));    // by the works
  x += 1.1 * std::exp(-std::pow(distance(p, {-750, 250}) / 520, 2));   // west end of the old town
  x += 0.9 * std::exp(-std::pow(distance(p, {-450, -1150}) / 560, 2));  // south bank
  x -= 0.8 * std::exp(-std::pow(distance(p, {-400, 2100}) / 900, 2));
  x -= 0.7 * std::exp(-std::pow(distance(p, {1450, 1200}) / 700, 2));
  if (zone == Zone::Trailer) x += 1.9;
  return 1 / (1 + std::exp(-x));
}

double heatOf(Zone zone) {
  switch (zone) {
    case Zone::Centre: return 5.5;
    case Zone::Inner: return 3.2;
    case Zone::Suburb: return 1.2;
    case Zone::Trailer: return 5.0;
    case Zone::Industry: return 7.5;
    case Zone::Park: return -2.5;
    case Zone::Water: return -6.5;
    case Zone::Field: return 0;
  }
  return 0;
}

}  // namespace

void parkAndCity(Town& town) {
  auto& faces = town.plan.faces;
  town.blocks.assign(faces.size(), {});
  for (Point p : {Point{-260, 160}, Point{420, -330}, Point{560, -1260}, Point{480, 1180}, Point{1500, 1180}, Point{-1400, 1250}, Point{-600, 2100},
                  Point{-500, -1200}, Point{1700, -600}}) {
    if (const int f = blockAt(town, p); f >= 0 && faces[static_cast<std::size_t>(f)].area_m2 < 90000) faces[static_cast<std::size_t>(f)].zone = Zone::Park;
  }
  for (Face& face : faces) {  // the green strips between the river and its roads
    const bool by_river = distanceToLine(face.inner, town.plan.river) < 110;
    if (face.zone == Zone::Field && by_river && face.inner.x > -1700 && face.inner.x < 2300) face.zone = Zone::Park;
  }
  for (std::size_t f = 0; f < faces.size(); ++f) {
    const Face& face = faces[f];
    Block& block = town.blocks[f];
    block.in_city = face.zone != Zone::Field && face.zone != Zone::Trailer && face.inner.x > -2000 && face.inner.x < 2900;
    if (face.zone == Zone::Water) block.in_city = face.inner.x > -1700 && face.inner.x < 2200;
    if (face.zone == Zone::Suburb && face.inner.x < -960 && face.inner.y < -1400) block.in_city = false;
    if (face.zone == Zone::Suburb && face.inner.x < -1000 && face.inner.y > 1600) block.in_city = false;
    if (face.zone == Zone::Field && length(face.inner) < 1750 && face.inner.y > -700) block.in_city = true;
    block.heat = heatOf(face.zone);
    block.poverty = povertyAt(face.inner, face.zone);
  }
}

void groupBlocks(Town& town, Random& random) {
  for (const Door& door : town.doors) {
    if (door.home) ++town.blocks[static_cast<std::size_t>(door.block)].housing;
  }
  town.groups.assign(kGroups, {});
  grow(town);
  std::vector<double> homes(kGroups, 0);
  for (Block& block : town.blocks) {
    block.poverty = std::clamp(block.poverty * std::exp(0.22 * random.normal()), 0.02, 0.65);
    Group& group = town.groups[static_cast<std::size_t>(block.group)];
    group.poverty += block.poverty * block.housing;
    homes[static_cast<std::size_t>(block.group)] += block.housing;
    // the census counts housing a little otherwise than the address list does
    block.people = static_cast<int>(random.poisson(block.housing * 0.93 * (2.1 + 1.2 * block.poverty)));
    if (block.housing > 3) block.housing = std::max(1, block.housing + static_cast<int>(std::lround(random.normal() * 1.2)));
  }
  for (std::size_t g = 0; g < town.groups.size(); ++g) {
    town.groups[g].poverty /= std::max(1.0, homes[g]);
    town.groups[g].renters = std::clamp(0.18 + 1.1 * town.groups[g].poverty + 0.05 * random.normal(), 0.08, 0.8);
  }
  nameGroups(town);
}

Town buildTown(std::uint64_t seed) {
  Random plan_draws(seed, 1);
  Random name_draws(seed, 2);
  Random door_draws(seed, 3);
  Random census_draws(seed, 4);
  Town town;
  town.plan = drawPlan(plan_draws);
  nameStreets(town.plan, name_draws);
  parkAndCity(town);
  numberStreets(town, door_draws);
  for (Door& door : town.doors) door.place = town.blocks[static_cast<std::size_t>(door.block)].in_city ? kCity : kCountyPlace;
  groupBlocks(town, census_draws);
  return town;
}

}  // namespace leeward::town
