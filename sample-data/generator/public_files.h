#pragma once
/// The town's public files, as text or raster.
#include <map>
#include <string>

#include "shared/layer/layer.h"
#include "sample-data/generator/town.h"

namespace leeward::town {

using Files = std::map<std::string, std::string>;  ///< path below the output folder -> content

/// address_points.csv, streets, blocks, block_groups, water, parks, city_boundary, jurisdictions (GeoJSON), rules.csv.
void addMaps(const Town& town, Files& files);
/// acs_block_groups.csv: estimates with margins, special values, two groups missing.
void addCensus(const Town& town, Random& random, Files& files);

/// A day at the weather station.
struct Day {
  double tmax_c = 0, tmin_c = 0, rain_mm = 0, humidity = 0;
};
/// From kFirstDay to kLastDay.
std::vector<Day> weather(Random& random);
void addWeather(const std::vector<Day>& days, Files& files);

/// Land surface temperature of a summer noon, °C, 30 m cells, EPSG:32624; clouds are missing.
Raster heat(const Town& town, Random& random);

}  // namespace leeward::town
