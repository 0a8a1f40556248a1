#include "viewer/study/files/neighbour_lists.h"

#include <charconv>
#include <cmath>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "analysis/patterns/contiguity.h"
#include "analysis/patterns/distance_neighbours.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/longitudes.h"
#include "shared/geo/overlay.h"

namespace leeward::study {
namespace {

constexpr double kMetresADegree = 111'195;  // of a great circle of a sphere of 6,371 km; along parallels a degree is shorter, so the gap too
constexpr const char* kKinds = "Say queen, rook, nearest:K, within:METRES or edges:FILE";

std::optional<double> plainNumber(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

/// Rows by the name that edges call them.
Result<std::unordered_map<std::string, std::size_t>> rowsByName(const Table& table, const std::string& source, const std::string& id) {
  const Column* ids = nullptr;
  if (!id.empty()) {
    LEEWARD_ASSIGN(column, needColumn(table, id, source, "--id"));
    ids = column;
  }
  std::unordered_map<std::string, std::size_t> row_of;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string name = ids != nullptr ? ids->asText(row) : std::to_string(row + 1);
    if (row_of.emplace(name, row).second) continue;
    return Problem{ProblemCode::BadData, fmt::format("two rows are called \"{}\"", name), fmt::format("{}, {}", source, rowName(table, row)), "Name a column with --id whose values differ"};
  }
  return row_of;
}

Result<analysis::Neighbours> fromFile(const Table& areas, const std::string& source, const NeighboursRequest& request, const std::string& file, Progress& progress) {
  LEEWARD_ASSIGN(edges, readInput({.source = file, .x_column = "", .y_column = "", .crs = ""}, progress));
  LEEWARD_ASSIGN(from, needColumn(edges.table, "from", file, "from"));
  LEEWARD_ASSIGN(to, needColumn(edges.table, "to", file, "to"));
  const Column* weight = edges.table.find("weight");
  LEEWARD_ASSIGN(row_of, rowsByName(areas, source, request.id));
  std::vector<analysis::Neighbours::Edge> list;
  for (std::size_t row = 0; row < edges.rows(); ++row) {
    const auto where = [&] { return fmt::format("{}, {}", file, rowName(edges.table, row)); };
    const auto a = row_of.find(from->asText(row)), b = row_of.find(to->asText(row));
    if (a == row_of.end() || b == row_of.end()) {
      return Problem{ProblemCode::BadData, fmt::format("no area is called \"{}\"", a == row_of.end() ? from->asText(row) : to->asText(row)), where(),
                     request.id.empty() ? "Edges name rows by number, from 1; or name a column with --id" : "Check the ids"};
    }
    const auto given = weight != nullptr ? weight->asReal(row) : 1;
    if (!given || !(*given > 0) || !std::isfinite(*given)) {
      return Problem{ProblemCode::BadData, fmt::format("\"{}\" is no weight of a neighbour", weight->asText(row)), where() + ", column weight", "Weights are above 0; leave out pairs that should not count"};
    }
    list.push_back({a->second, b->second, *given});
  }
  auto made = analysis::Neighbours::fromWeightedEdges(areas.rows(), list);
  if (!made) {
    Problem problem = std::move(made).problem();
    problem.code = ProblemCode::BadData;  // the file says so, not the call
    return std::move(problem).at(file);
  }
  return made;
}

Result<analysis::Contiguity> touching(const Layer& layer, const std::string& source, const NeighboursRequest& request, analysis::Touch touch, std::vector<std::string>& remarks, Progress& progress) {
  if (auto areas = needAreas(layer, source); !areas) {
    return Problem{ProblemCode::BadData, "there are no areas in this file, so none can touch", source, "Give a file with polygons, or say who is next to whom: --neighbours edges:FILE (or nearest:K for points)"};
  }
  analysis::ContiguityRequest how{.touch = touch};
  if (layer.crs.isUnknown()) remarks.push_back("the file doesn't say in which coordinates it is: only borders that meet exactly count as touching");
  else if (!layer.crs.isGeographic()) how.tolerance = request.gap_m / layer.crs.metresPerUnit();
  if (!layer.crs.isGeographic()) return analysis::contiguity(layer.geometry, how, progress);
  how.tolerance = request.gap_m / kMetresADegree;
  how.wrap = 360;
  Geometries areas = layer.geometry;
  joinAtAntimeridian(areas.vertices());
  return analysis::contiguity(areas, how, progress);
}

Result<std::vector<Point>> centresOf(const Layer& layer, const std::string& source) {
  if (!layer.hasGeometry()) {
    return Problem{ProblemCode::BadData, "rows of this table have no place, so none is near another", source, "For a table add --x COLUMN --y COLUMN --crs EPSG:n, or --neighbours edges:FILE"};
  }
  Layer places;
  places.name = source;
  places.crs = layer.crs;
  places.geometry = layer.geometry;
  if (layer.crs.isGeographic()) joinAtAntimeridian(places.geometry.vertices());
  LEEWARD_ASSIGN(plane, inMetres(std::move(places)));
  std::vector<Point> points;
  for (std::size_t row = 0; row < plane.geometry.size(); ++row) points.push_back(plane.geometry.hasVertex(row) ? centroidOf(plane.geometry, row) : Point{kNan, kNan});
  return points;
}

/// "rows 3, 7 and 12 more".
std::string someRows(const std::vector<std::size_t>& rows, const Table& table, const std::string& id) {
  constexpr std::size_t kMostShown = 5;
  const Column* ids = id.empty() ? nullptr : table.find(id);
  std::vector<std::string> shown;
  for (std::size_t i = 0; i < std::min(rows.size(), kMostShown); ++i) shown.push_back(ids != nullptr ? ids->asText(rows[i]) : std::to_string(rows[i] + 1));
  std::string text = (ids != nullptr ? id + " " : rows.size() == 1 ? "row " : "rows ") + join(shown, ", ");
  if (rows.size() > kMostShown) text += fmt::format(" and {} more", rows.size() - kMostShown);
  return text;
}

}  // namespace

Result<NeighbourKind> neighbourKind(const std::string& text) {
  using By = NeighbourKind::By;
  const auto wrong = [&](const char* what) { return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" {}", text, what), "--neighbours", kKinds}; };
  if (text == "queen") return NeighbourKind{};
  if (text == "rook") return NeighbourKind{.by = By::Rook};
  const std::size_t colon = text.find(':');
  const std::string kind = text.substr(0, colon), rest = colon == std::string::npos ? "" : text.substr(colon + 1);
  if (kind == "edges") return rest.empty() ? Result<NeighbourKind>(wrong("names no file")) : NeighbourKind{.by = By::Edges, .file = rest};
  const auto number = plainNumber(rest);
  if (kind == "nearest") {
    if (!number || *number < 1 || *number > 1e6 || *number != std::floor(*number)) return wrong("is no number of neighbours");
    return NeighbourKind{.by = By::Nearest, .count = static_cast<std::size_t>(*number)};
  }
  if (kind == "within") {
    if (!number || !(*number > 0)) return wrong("is no distance in metres");
    return NeighbourKind{.by = By::Within, .distance_m = *number};
  }
  return wrong("is no kind of neighbours");
}

Result<NeighbourLists> neighbourLists(const Layer& layer, const std::string& source, const NeighboursRequest& request, Progress& progress) {
  using By = NeighbourKind::By;
  LEEWARD_ASSIGN(kind, neighbourKind(request.kind));
  progress.report(0, "Finding neighbours");
  NeighbourLists lists;
  if (kind.by == By::Queen || kind.by == By::Rook) {
    LEEWARD_ASSIGN(found, touching(layer, source, request, kind.by == By::Rook ? analysis::Touch::Rook : analysis::Touch::Queen, lists.remarks, progress));
    if (found.pairs_by_tolerance > 0) {
      lists.remarks.push_back(fmt::format("{} of {} pairs of neighbours don't meet exactly, but within {} m", found.pairs_by_tolerance, found.pairs, request.gap_m));
    }
    lists.neighbours = std::move(found.neighbours);
    lists.in_words = kind.by == By::Rook ? "areas that share a length of border" : "areas that touch, at a corner too";
  } else if (kind.by == By::Edges) {
    LEEWARD_ASSIGN(made, fromFile(layer.table, source, request, kind.file, progress));
    lists.neighbours = std::move(made);
    lists.in_words = "pairs of " + kind.file;
    const std::size_t one_way = analysis::oneWayLinks(lists.neighbours);
    if (one_way > 0) lists.remarks.push_back(fmt::format("{} of {} pairs in {} stand one way only: they count for the area in \"from\" alone", one_way, lists.neighbours.links(), kind.file));
  } else {
    LEEWARD_ASSIGN(points, centresOf(layer, source));
    auto made = kind.by == By::Nearest ? analysis::nearestNeighbours(points, kind.count, progress) : analysis::neighboursWithin(points, kind.distance_m, progress);
    if (!made) return std::move(made).problem();
    lists.neighbours = std::move(*made);
    lists.in_words = kind.by == By::Nearest ? fmt::format("the {} nearest", kind.count) : fmt::format("all within {} m", kind.distance_m);
  }
  const auto islands = analysis::islandsOf(lists.neighbours);
  lists.islands = islands.size();
  if (!islands.empty()) lists.remarks.push_back(fmt::format("{} of {} areas {} no neighbour ({})", islands.size(), lists.neighbours.size(), islands.size() == 1 ? "has" : "have", someRows(islands, layer.table, request.id)));
  return lists;
}

}  // namespace leeward::study
