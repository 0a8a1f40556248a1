#pragma once
/// What the bare-file use cases share: reading an input, naming a column, keeping rows.
#include <string>
#include <utility>
#include <vector>

#include "shared/layer/layer.h"
#include "shared/table/row_report.h"

namespace leeward::study {

/// What most of them give back.
struct FileAnswer {
  Layer layer;                      ///< the input's columns, then the new ones; one row an input row, in order
  std::vector<RefusedRow> refused;  ///< rows that a value keeps from an answer: they stand in `layer` with blanks
};

/// readLayer(), and BadData where there are headings but no rows.
Result<Layer> readInput(const LayerRequest& request, Progress& progress);
/// The column, or NotFound with the headings that are there, the nearest one first.
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
/// Two layers in one frame in metres, that of `second` (inMetres). CrsMismatch names the one that doesn't say where it lies.
/// Layers that turn out to be far apart (their boxes don't meet) get a remark.
struct TwoLayers {
  Layer first, second;
  double added_uncertainty_m = 0;  ///< of a datum shift without its grid
  std::vector<std::string> remarks;
};
Result<TwoLayers> inOneFrame(Layer first, const std::string& first_source, Layer second, const std::string& second_source);

/// Column names out of "a,b,\"c, d\"" (quotes around a name that holds a comma); blanks around names are dropped, empty names kept.
/// InvalidArgument for a quote that is not closed.
Result<std::vector<std::string>> columnList(const std::string& text, const std::string& option);
/// Appends `added` after the input's columns. A name that is taken, whatever its case, becomes name_2 (name_3 ...), and a remark
/// of the layer says so: most formats can't keep two such names apart.
void addColumns(Layer& layer, const Table& added);
/// A row of `table` that can't be used, with line and text as they stand in the file.
RefusedRow refusedRow(const Table& table, std::size_t row, const std::string& column, const std::string& reason);
/// The point of each row (of several, the first), nan without one; rows without a usable point are added to `refused`.
/// BadData if no row has one.
Result<std::vector<Point>> pointsOf(const Layer& layer, const std::string& source, std::vector<RefusedRow>& refused);
/// BadData if no row is an area.
Result<void> needAreas(const Layer& layer, const std::string& source);

}  // namespace leeward::study
