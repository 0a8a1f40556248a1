#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "sample-data/generator/crews.h"

namespace leeward::town {

namespace {
constexpr int kSightings = 1190;
constexpr std::array kWhat{"dog", "dog", "dog", "dog", "dog", "house", "chain", "pen", "heard", "sign"};
constexpr std::array kCallerNotes{"barks all night", "no water since Monday", "skinny", "tangled again", "neighbor worried", "out in the rain", ""};
}  // namespace

std::vector<std::string> sightingHeadings() {
  return {"sighting_id", "date", "time", "lon", "lat", "address", "place", "postcode", "what", "count", "description", "source", "notes"};
}

std::vector<SightingRow> sightings(const Town& town, const Population& population, const std::vector<char>& looked, Random& random) {
  std::vector<char> worked(town.blocks.size(), 0);
  for (std::size_t d = 0; d < looked.size(); ++d) {
    if (looked[d]) worked[static_cast<std::size_t>(town.doors[d].block)] = 1;
  }
  std::vector<Date> dates;
  for (int k = 0; k < kSightings; ++k) dates.push_back(kFirstDay + static_cast<int>(random.below(kDays)));
  std::sort(dates.begin(), dates.end());
  std::vector<SightingRow> out;
  for (Date date : dates) {
    const double draw = random.uniform();
    const std::string source = draw < 0.58 ? "crew" : draw < 0.88 ? "caller" : "post";
    const Dog* dog = nullptr;
    while (dog == nullptr) {
      const Dog& some = population.dogs[random.below(static_cast<std::uint32_t>(population.dogs.size()))];
      const bool near = worked[static_cast<std::size_t>(town.doors[static_cast<std::size_t>(some.door)].block)] != 0;
      // crews drive where they work; callers and posts come from elsewhere too, seldom
      if (some.outside(date) && (near || (source != "crew" && random.uniform() < 0.04))) dog = &some;
    }
    SightingRow row;
    const Door& door = town.doors[static_cast<std::size_t>(dog->door)];
    const bool stray = random.uniform() < 0.04;
    const double blur = stray ? 400 : source == "crew" ? 9 : source == "caller" ? 22 : 55;
    row.door = stray ? -1 : dog->door;
    std::string lon, lat;
    Typed words;
    if (source != "caller" || random.uniform() < 0.35) {
      const Point at = lonLat(door.at + Point{blur * random.normal(), blur * random.normal()});
      lon = fmt::format("{:.5f}", at.x);
      lat = fmt::format("{:.5f}", at.y);
    }
    if (!stray && source != "post" && (lon.empty() || random.uniform() < 0.3)) words = typed(town, door, random);
    if (lon.empty() && words.address.empty()) words = typed(town, door, random), row.door = dog->door;
    int count = 0;
    for (int d : population.at_door[static_cast<std::size_t>(dog->door)]) count += population.dogs[static_cast<std::size_t>(d)].outside(date) ? 1 : 0;
    const std::string what = pickOf(kWhat, random);
    row.fields = {fmt::format("S{:05}", out.size() + 1), toIso(date),
                  random.uniform() < 0.7 ? fmt::format("{:02}:{:02}", 7 + random.below(13), random.below(60)) : "", lon, lat, words.address, words.place,
                  words.postcode, what, std::to_string(what == "dog" && !stray ? count : 1), what == "dog" && random.uniform() < 0.7 ? dog->coat : "", source,
                  source == "caller" ? pickOf(kCallerNotes, random) : ""};
    out.push_back(std::move(row));
  }
  return out;
}

}  // namespace leeward::town
