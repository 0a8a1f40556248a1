#pragma once
/// What the bare-file use cases share: reading an input, naming a column, keeping rows.
#include <string>
#include <vector>

#include "shared/layer/layer.h"

namespace leeward::study {

/// The column, or NotFound with the headings that are there.
Result<const Column*> needColumn(const Table& table, const std::string& name, const std::string& source, const std::string& option);
/// As numbers; a value that is no number is BadData with its line (missing values become nan when allowed).
Result<std::vector<double>> needNumbers(const Table& table, const std::string& name, const std::string& source, const std::string& option,
                                        bool may_be_missing = false);
/// "line 7" where the file has lines, else "row 6" (1-based).
std::string rowName(const Table& table, std::size_t row);
/// A layer in plane metres: as it is if its CRS is true to scale on the spot, else reprojected to an equal-area frame centred on
/// it (or on `frame`, if that isn't unknown). CrsMismatch if its CRS is unknown. `metres_per_unit` of feet is taken care of.
Result<Layer> inMetres(Layer layer, const Crs& frame = {});
/// The frame that inMetres() chooses.
Result<Crs> frameFor(const Layer& layer);

}  // namespace leeward::study
