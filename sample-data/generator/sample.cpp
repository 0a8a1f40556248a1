#include "sample-data/generator/crews.h"
#include "sample-data/generator/dogs.h"
#include "sample-data/generator/make_town.h"
#include "sample-data/generator/picture.h"
#include "sample-data/generator/truth.h"

namespace leeward::town {

Sample makeSample(std::uint64_t seed) {
  Random census_draws(seed, 10), weather_draws(seed, 11), heat_draws(seed, 12), dog_draws(seed, 13), crew_draws(seed, 14), sighting_draws(seed, 15);
  const Town town = buildTown(seed);
  Sample sample;
  addMaps(town, sample.files);
  addCensus(town, census_draws, sample.files);
  const std::vector<Day> days = weather(weather_draws);
  addWeather(days, sample.files);
  sample.heat = heat(town, heat_draws);
  Population population = populate(town, dog_draws);
  const Record record = keepRecord(town, population, days, crew_draws);
  const std::vector<SightingRow> seen = sightings(town, population, record.looked, sighting_draws);
  addCrewFiles(record, seen, sample.files);
  addTruth(town, population, record, seen, sample.files);
  std::vector<Point> dots;
  for (const Door& door : town.doors) dots.push_back(door.at);
  sample.picture = picture(town.plan, dots);
  return sample;
}

}  // namespace leeward::town
