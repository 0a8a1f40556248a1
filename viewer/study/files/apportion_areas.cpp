#include "viewer/study/files/apportion_areas.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "analysis/overlay/apportion.h"
#include "importers/public_parts.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"

namespace leeward::study {
namespace {

/// Medians are refused before anything is read; the rest of the call is held against itself.
Result<void> checkCall(const ApportionAreasRequest& request) {
  std::vector<std::string> figures = request.counts;
  figures.insert(figures.end(), request.means.begin(), request.means.end());
  if (figures.empty()) return Problem{ProblemCode::InvalidArgument, "no figure is named", "apportion", "Add --counts COLUMN,... or --means COLUMN,..."};
  std::set<std::string> once;
  for (const auto& name : figures) {
    if (name.empty()) return Problem{ProblemCode::InvalidArgument, "a column has no name", "--counts, --means", "Write names like a,b,c"};
    if (analysis::isMedian(name)) {
      return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is a median by its name, and a median is neither a count nor a mean", name), "apportion",
                     "Leave it on its own areas, or apportion the counts that it was made from; a column that is no median can be renamed"};
    }
    if (!once.insert(name).second) return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is named twice", name), "--counts, --means", "A figure is a count or a mean"};
  }
  if (!request.weight.empty() && request.points.source.empty()) return Problem{ProblemCode::InvalidArgument, "weights are of points, and none are named", "--weight", "Add --by points:FILE"};
  if (!request.margins.empty() && request.margins.size() != figures.size()) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("{} margins for {} figures", request.margins.size(), figures.size()), "--margins",
                   "Name one for each column of --counts and then of --means, with nothing between the commas where there is none: a_moe,,c_moe"};
  }
  return {};
}

/// A column of numbers in which the census's special values ("-666666666", "(X)", "250,000+") are missing, which is said.
Result<std::vector<double>> censusNumbers(const Table& table, const std::string& name, const std::string& source, const char* option, std::vector<std::string>& remarks) {
  LEEWARD_ASSIGN(column, needColumn(table, name, source, option));
  std::vector<double> values = column->toReals();
  std::size_t special = 0;
  for (std::size_t row = 0; row < values.size(); ++row) {
    const std::string text{trim(column->asText(row))};
    if (text.empty()) continue;
    if (importers::specialValue(text)) {
      values[row] = kNan;
      ++special;
    } else if (std::isnan(values[row])) {
      return Problem{ProblemCode::BadData, fmt::format("\"{}\" is not a number", text), fmt::format("{}, {}, column {}", source, rowName(table, row), column->name()),
                     "Correct the value or leave it empty"};
    }
  }
  if (special > 0) remarks.push_back(fmt::format("{}, column {}: {} special values of the census were taken as missing", source, column->name(), special));
  return values;
}

Result<analysis::SourceFigure> figureOf(const Table& table, const std::string& name, const std::string& margin, const std::string& source, const char* option,
                                        std::vector<std::string>& remarks) {
  analysis::SourceFigure figure{name, {}, {}};
  LEEWARD_ASSIGN(values, censusNumbers(table, name, source, option, remarks));
  figure.values = std::move(values);
  figure.name = table.find(name)->name();
  if (analysis::isMedian(figure.name)) return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is a median by its name", figure.name), source, "Leave it on its own areas"};
  if (margin.empty()) return figure;
  LEEWARD_ASSIGN(margins, censusNumbers(table, margin, source, "--margins", remarks));
  for (std::size_t row = 0; row < margins.size(); ++row) {
    if (margins[row] >= 0 || std::isnan(margins[row])) continue;
    return Problem{ProblemCode::BadData, "a margin of error is below 0", fmt::format("{}, {}, column {}", source, rowName(table, row), margin),
                   "Correct the value or leave it empty"};
  }
  figure.margins = std::move(margins);
  return figure;
}

Result<analysis::ApportionRequest> figuresOf(const Table& table, const ApportionAreasRequest& request, std::vector<std::string>& remarks) {
  analysis::ApportionRequest figures;
  const auto marginAt = [&](std::size_t i) { return request.margins.empty() ? std::string() : request.margins[i]; };
  for (std::size_t i = 0; i < request.counts.size(); ++i) {
    LEEWARD_ASSIGN(figure, figureOf(table, request.counts[i], marginAt(i), request.from.source, "--counts", remarks));
    for (std::size_t row = 0; row < figure.values.size(); ++row) {
      if (figure.values[row] >= 0 || std::isnan(figure.values[row])) continue;
      return Problem{ProblemCode::BadData, "a count is below 0", fmt::format("{}, {}, column {}", request.from.source, rowName(table, row), figure.name),
                     "If it is no count, name it with --means"};
    }
    figures.counts.push_back(std::move(figure));
  }
  for (std::size_t i = 0; i < request.means.size(); ++i) {
    LEEWARD_ASSIGN(figure, figureOf(table, request.means[i], marginAt(request.counts.size() + i), request.from.source, "--means", remarks));
    figures.means.push_back(std::move(figure));
  }
  return figures;
}

Geometries mended(Geometries areas, const std::string& source, std::vector<std::string>& remarks) {
  std::vector<RepairNote> notes;
  Geometries sound = repairAreas(areas, notes);
  if (!notes.empty()) remarks.push_back(fmt::format("{}: {} outlines were mended, the first in row {}: {}", source, notes.size(), notes.front().row + 1, notes.front().what));
  return sound;
}

/// Points, or a table whose headings say longitude and latitude: what was taken is said.
Result<Layer> readReferencePoints(LayerRequest points, std::vector<std::string>& remarks, Progress& progress) {
  LEEWARD_ASSIGN(layer, readInput(points, progress));
  if (layer.hasGeometry()) return layer;
  const auto named = [&](std::initializer_list<const char*> names) -> const Column* {
    for (const char* name : names) {
      if (const Column* column = layer.table.find(name)) return column;
    }
    return nullptr;
  };
  const Column *lon = named({"lon", "lng", "long", "longitude"}), *lat = named({"lat", "latitude"});
  if (lon == nullptr || lat == nullptr) {
    return Problem{ProblemCode::BadData, "there are no points in this file", points.source, "Give a file of points, or a table with columns lon and lat"};
  }
  remarks.push_back(fmt::format("{}: points from the columns {} and {}", points.source, lon->name(), lat->name()));
  points.x_column = lon->name(), points.y_column = lat->name();
  points.crs = "";  // these headings mean degrees, whatever the areas are in
  return readInput(points, progress);
}

Result<analysis::AreaShares> sharesOf(const Geometries& from, const Geometries& to, const Crs& frame, const ApportionAreasRequest& request,
                                      std::vector<std::string>& remarks, Progress& progress) {
  if (request.points.source.empty()) return analysis::sharesByArea(from, to, progress);
  auto reading = progress.part(0, 0.3);
  LEEWARD_ASSIGN(layer, readReferencePoints(request.points, remarks, reading));
  std::vector<double> weights;
  if (!request.weight.empty()) {
    LEEWARD_ASSIGN(given, censusNumbers(layer.table, request.weight, request.points.source, "--weight", remarks));
    weights = std::move(given);
    if (std::ranges::any_of(weights, [](double weight) { return weight < 0; })) return Problem{ProblemCode::BadData, "a weight is below 0", request.points.source + ", column " + request.weight, "Correct the value or leave it empty"};
  }
  if (needAreas(layer, "").ok()) {
    Geometries inside;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      if (layer.geometry.kind(row) == GeometryKind::Areas) inside.addPoint(pointInside(layer.geometry, row));
      else inside.addNone();
    }
    layer.geometry = std::move(inside);
    remarks.push_back(fmt::format("{}: each area stands at a point inside it", request.points.source));
  }
  std::vector<RefusedRow> without;
  LEEWARD_ASSIGN(as_read, pointsOf(layer, request.points.source, without));
  if (!without.empty()) remarks.push_back(fmt::format("{}: {} rows have no point and don't count", request.points.source, without.size()));
  if (layer.crs.isUnknown()) return Problem{ProblemCode::CrsMismatch, "the file doesn't say in which coordinates it is", request.points.source, "Add --crs EPSG:n"};
  LEEWARD_ASSIGN(moved, inMetres(std::move(layer), frame));
  std::vector<RefusedRow> lost;
  LEEWARD_ASSIGN(points, pointsOf(moved, request.points.source, lost));
  auto working = progress.part(0.3, 1);
  LEEWARD_ASSIGN(found, analysis::sharesByPoints(from, to, points, working, weights));
  if (found.sources_without_points > 0) {
    remarks.push_back(fmt::format("{} areas of {} hold no point: their counts are spread by area, and they don't weigh in means", found.sources_without_points, request.from.source));
  }
  return std::move(found.shares);
}

void addFigure(Table& added, ApportionedAreas& out, const analysis::TargetFigure& figure, bool is_mean, const std::string& margin) {
  added.add(Column::reals(figure.name, figure.values));
  if (!figure.margins.empty()) added.add(Column::reals(margin, figure.margins));
  out.figures.push_back({figure.name, is_mean, figure.source_total, figure.placed_total, figure.missing_sources});
}

}  // namespace

Result<ApportionedAreas> apportionAreas(const ApportionAreasRequest& request, Progress& progress) {
  LEEWARD_TRY(checkCall(request));
  auto reading = progress.part(0, 0.4);
  LEEWARD_ASSIGN(from, readInput(request.from, reading));
  std::vector<std::string> remarks;
  for (const auto& remark : from.remarks) remarks.push_back(request.from.source + ": " + remark);
  LEEWARD_ASSIGN(figures, figuresOf(from.table, request, remarks));
  LEEWARD_TRY(needAreas(from, request.from.source));
  LEEWARD_ASSIGN(to, readInput(request.to, reading));
  LEEWARD_TRY(needAreas(to, request.to.source));
  Layer from_shape, to_shape;
  from_shape.geometry = from.geometry, from_shape.crs = from.crs;
  to_shape.geometry = to.geometry, to_shape.crs = to.crs;
  LEEWARD_ASSIGN(both, inOneFrame(std::move(to_shape), request.to.source, std::move(from_shape), request.from.source));
  ApportionedAreas out;
  out.layer = std::move(to);
  remarks.insert(remarks.end(), both.remarks.begin(), both.remarks.end());
  const Geometries sources = mended(std::move(both.second.geometry), request.from.source, remarks);
  const Geometries targets = mended(std::move(both.first.geometry), request.to.source, remarks);
  auto working = progress.part(0.4, 1);
  LEEWARD_ASSIGN(shares, sharesOf(sources, targets, both.second.crs, request, remarks, working));
  LEEWARD_ASSIGN(spread, analysis::apportion(shares, sources.size(), targets.size(), figures));
  Table added;
  const auto marginName = [&](std::size_t i) { return request.margins.empty() || request.margins[i].empty() ? std::string() : from.table.find(request.margins[i])->name(); };
  for (std::size_t i = 0; i < spread.counts.size(); ++i) addFigure(added, out, spread.counts[i], false, marginName(i));
  for (std::size_t i = 0; i < spread.means.size(); ++i) addFigure(added, out, spread.means[i], true, marginName(request.counts.size() + i));
  out.layer.remarks.insert(out.layer.remarks.end(), remarks.begin(), remarks.end());
  const std::size_t before = out.layer.table.width();
  addColumns(out.layer, added);
  std::vector<FigureColumns> named;
  for (std::size_t i = 0; i < out.figures.size(); ++i) {
    auto& figure = out.figures[i];
    const std::size_t at = *added.indexOf(figure.column);
    figure.column = out.layer.table.column(before + at).name();
    const bool has_margin = !request.margins.empty() && !request.margins[i].empty();
    named.push_back({figure.column, has_margin ? out.layer.table.column(before + at + 1).name() : ""});
  }
  LEEWARD_TRY(addDerived(out.layer, request.derived, named));
  if (request.with_reliability) addReliability(out.layer, named, request.reliability);
  return out;
}

}  // namespace leeward::study
