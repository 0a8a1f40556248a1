// What can be told of a heat raster before it is used.
#include <algorithm>
#include <cmath>

#include "importers/oddities.h"
#include "importers/public_parts.h"
#include "shared/base/text.h"

namespace leeward::importers {

Result<std::vector<std::string>> checkRaster(const LayerRequest& request, const std::string& unit, Progress& progress) {
  LEEWARD_ASSIGN(raster, readRaster(fileOf(request.source), progress));
  if (raster.crs.isUnknown() && request.crs.empty()) {
    return Problem{ProblemCode::CrsMismatch, "The raster does not say in which reference system it is", request.source,
                   "Name it: crs = \"EPSG:...\" in study.toml, or --crs EPSG:..."};
  }
  const auto missing = static_cast<std::size_t>(std::ranges::count_if(raster.values, [](float value) { return std::isnan(value); }));
  if (missing == raster.values.size()) {
    return Problem{ProblemCode::BadData, "No cell of the raster holds a value", request.source, "Check its no-data value and its band"};
  }
  std::vector<std::string> remarks;
  remarks.push_back(fmt::format("{} x {} cells, {:.1f} % without data", raster.columns, raster.rows,
                                100.0 * static_cast<double>(missing) / static_cast<double>(raster.values.size())));
  float low = std::numeric_limits<float>::infinity();
  float high = -low;
  for (const float value : raster.values) {
    if (std::isnan(value)) continue;
    low = std::min(low, value);
    high = std::max(high, value);
  }
  for (const OddConstant& odd : oddConstants(std::span<const float>(raster.values))) {
    remarks.push_back(fmt::format("{} cells are {} while nearly all others lie between {:.4g} and {:.4g}: probably no data that is not marked as such",
                                  formatCount(static_cast<std::int64_t>(odd.count)), formatNumber(odd.value), odd.low, odd.high));
  }
  if (low == high) remarks.push_back(fmt::format("All cells hold the same value, {:.4g}", low));
  if (unit.empty()) remarks.push_back(fmt::format("The unit of the values ({:.4g} to {:.4g}) is not said: unit = \"...\" in study.toml", low, high));
  const bool celsius = unit.empty() || unit == "°C" || unit == "C";
  if (celsius && low > 200 && high < 400) remarks.push_back("The values look like kelvin");
  else if (celsius && high > 1000) remarks.push_back("The values look like raw sensor numbers, not temperatures: apply the product's scale and offset first");
  return remarks;
}

}  // namespace leeward::importers
