#pragma once
/// The whole sample: every text file by its path below the folder, and the heat raster.
#include "sample-data/generator/public_files.h"

namespace leeward::town {

inline constexpr std::uint64_t kSeed = 7;

struct Sample {
  Files files;
  Raster heat;  ///< its CRS is named in heat_crs
  std::string picture;
};
inline constexpr const char* kHeatCrs = "EPSG:32624";
Sample makeSample(std::uint64_t seed);

}  // namespace leeward::town
