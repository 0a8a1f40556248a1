/// How fast messy lines are placed on a large reference, and what its index costs: an invented county of 1 M address points.
///   leeward-place-bench [POINTS=1000000] [LINES=100000]
#include <sys/resource.h>

#include <chrono>
#include <cstdlib>
#include <ctime>
#include <iostream>
#include <set>

#include "analysis/place/place.h"
#include "shared/base/heap.h"
#include "tests/reference/place/mess.h"

using namespace leeward;

namespace {

constexpr std::size_t kTowns = 40;
constexpr std::size_t kDoorsAStreet = 80;

std::string inventedName(Random& random) {
  static const std::vector<std::string> beginnings = {"Al", "Bar", "Cor", "Dun", "El", "Far", "Gran", "Hal", "Il", "Jor", "Kel", "Lor", "Mar", "Nor", "Ol", "Per", "Quin", "Ros", "Sten", "Tor", "Ul", "Ver", "Wil", "Yar"};
  static const std::vector<std::string> middles = {"a", "be", "ca", "de", "fi", "ga", "hi", "le", "mo", "ne", "pa", "ri", "so", "ta", "vi", ""};
  static const std::vector<std::string> ends = {"bury", "dale", "field", "ford", "grove", "ham", "land", "ley", "mont", "ness", "rick", "stead", "ton", "ville", "wick", "worth"};
  const auto one = [&](const std::vector<std::string>& from) { return from[random.below(static_cast<std::uint32_t>(from.size()))]; };
  return one(beginnings) + one(middles) + one(ends);
}

struct County {
  analysis::AddressPoints points;
  analysis::StreetRanges ranges;
  std::vector<test::CleanAddress> clean;
};

County countyOf(std::size_t points, Random& random) {
  static const std::vector<std::string> types = {"St", "Ave", "Rd", "Ln", "Ct", "Dr", "Pl"};
  County county;
  std::set<std::string> used;
  for (std::size_t street = 0; county.points.size() < points; ++street) {
    test::CleanAddress base;
    base.town = "Town" + std::string(1, static_cast<char>('a' + street % kTowns / 26)) + static_cast<char>('a' + street % kTowns % 26);
    base.postcode = std::to_string(10001 + street % kTowns);
    base.state = "XX";
    do {
      base.name = inventedName(random);
      base.type = types[random.below(static_cast<std::uint32_t>(types.size()))];
      base.direction = random.below(4) == 0 ? std::string(1, "NESW"[random.below(4)]) : "";
    } while (!used.insert(base.direction + base.name + base.type + base.town).second);
    const std::string name = (base.direction.empty() ? "" : base.direction + " ") + base.name + " " + base.type;
    const Point start{random.uniform() * 40'000, random.uniform() * 40'000};
    for (std::size_t door = 0; door < kDoorsAStreet; ++door) {
      base.number = std::to_string(101 + door);
      county.clean.push_back(base);
      county.points.id.push_back(std::to_string(county.points.id.size()));
      county.points.number.push_back(base.number);
      county.points.street.push_back(name);
      county.points.place.push_back(base.town);
      county.points.postcode.push_back(base.postcode);
      county.points.position.push_back({start.x + 10 * static_cast<double>(door), start.y + (door % 2 == 0 ? 12 : -12)});
    }
    county.ranges.id.push_back(std::to_string(street));
    county.ranges.name.push_back(name);
    county.ranges.l_from.push_back("101"), county.ranges.l_to.push_back("199"), county.ranges.r_from.push_back("100"), county.ranges.r_to.push_back("198");
    county.ranges.l_place.push_back(base.town), county.ranges.r_place.push_back(base.town);
    county.ranges.lines.addLine(std::vector<Point>{start, {start.x + 800, start.y}});
  }
  return county;
}

double peakMegabytes() {
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  return static_cast<double>(used.ru_maxrss) / 1024;
}

double cpuSeconds() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

}  // namespace

int main(int argc, char** argv) {
  useLargePages();  // as the command does
  const std::size_t points = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 1'000'000;
  const std::size_t lines = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 100'000;
  Random random(5);
  County county = countyOf(points, random);
  std::vector<analysis::PlaceQuery> queries;
  std::vector<std::string> wanted;
  while (queries.size() < lines) {
    const std::size_t row = random.below(static_cast<std::uint32_t>(county.clean.size()));
    queries.push_back({test::spoil(county.clean[row], random).text, "", ""});
    wanted.push_back(county.points.id[row]);
  }
  county.clean = {};
  std::cout << county.points.size() << " points, " << county.ranges.size() << " ranges; before the index " << peakMegabytes() << " MB\n";
  Progress progress;
  double start = cpuSeconds();
  const auto index = analysis::AddressIndex::build(std::move(county.points), std::move(county.ranges), progress);
  if (!index) return 3;
  std::cout << "index: " << cpuSeconds() - start << " s of a core, peak " << peakMegabytes() << " MB\n";
  start = cpuSeconds();
  const auto placed = analysis::placeAddresses(*index, queries, progress);
  if (!placed) return 4;
  const double took = cpuSeconds() - start;
  double right = 0;
  for (std::size_t i = 0; i < placed->size(); ++i) right += (*placed)[i].matched_id == wanted[i];
  std::cout << static_cast<double>(lines) / took << " lines a second of a core, " << right / static_cast<double>(lines) << " at the right door, peak " << peakMegabytes() << " MB\n";
  return 0;
}
