#include "viewer/study/files/cluster_points.h"

#include <cstdint>
#include <limits>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/sightings/clusters.h"
#include "shared/base/dates.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/files/input.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {


/// Days since any origin: ISO dates with the time of day as a fraction, or plain numbers.
Result<std::vector<double>> daysIn(const Table& table, const std::string& name, const std::string& source) {
  LEEWARD_ASSIGN(column, needColumn(table, name, source, "--when"));
  std::vector<double> days(column->size(), kNan);
  for (std::size_t row = 0; row < column->size(); ++row) {
    const std::string text{trim(column->asText(row))};
    if (text.empty()) continue;
    if (const auto number = parseNumber(text)) {
      days[row] = *number;
    } else if (const auto date = parseIsoDate(text)) {
      days[row] = date->days;
      if (text.size() >= 16) {
        const auto hours = parseNumber(text.substr(11, 2)), minutes = parseNumber(text.substr(14, 2));
        if (hours && minutes) days[row] += (*hours * 60 + *minutes) / 1440;
      }
    } else {
      return Problem{ProblemCode::BadData, fmt::format("\"{}\" is neither an ISO date nor a number of days", text),
                     fmt::format("{}, {}, column {}", source, rowName(table, row), name), "Write dates like 2025-09-30"};
    }
  }
  return days;
}

}  // namespace

const char* roleName(analysis::ClusterRole role) {
  return role == analysis::ClusterRole::Core ? "core" : role == analysis::ClusterRole::Edge ? "edge" : "alone";
}

Result<ClusteredPoints> clusterPoints(const ClusterPointsRequest& request, Progress& progress) {
  if (request.days && request.when.empty()) return Problem{ProblemCode::InvalidArgument, "--days needs a column with times", "--days", "Add --when COLUMN"};
  auto reading = progress.part(0, 0.4);
  LEEWARD_ASSIGN(read, readLayer(request.points, reading));
  if (!read.hasGeometry()) {
    return Problem{ProblemCode::BadData, "there are no points in this file", request.points.source, "For a table add --x COLUMN --y COLUMN --crs EPSG:n"};
  }
  std::vector<double> days;
  if (request.days) {
    LEEWARD_ASSIGN(times, daysIn(read.table, request.when, request.points.source));
    days = std::move(times);
  }
  LEEWARD_ASSIGN(plane, inMetres(read));
  std::vector<Point> points(plane.rows(), Point{kNan, kNan});
  for (std::size_t row = 0; row < plane.rows(); ++row) {
    if (plane.geometry.kind(row) == GeometryKind::Points && plane.geometry.hasVertex(row)) points[row] = plane.geometry.point(row);
  }
  auto clustering = progress.part(0.4, 1);
  LEEWARD_ASSIGN(found, analysis::findClusters(points, days, {request.within_m, request.at_least, request.days}, clustering));
  ClusteredPoints out;
  out.clusters = found.summary.size();
  out.frame = plane.crs.name();
  std::vector<std::optional<std::int64_t>> cluster(points.size());
  std::vector<std::string> role(points.size());
  for (std::size_t row = 0; row < points.size(); ++row) {
    if (found.cluster[row] >= 0) cluster[row] = found.cluster[row];
    role[row] = roleName(found.role[row]);
  }
  const Table added = TableMaker{}.integers("cluster", cluster).texts("role", role).done();
  for (const auto& column : added.columns()) read.table.add(column);
  out.layer = std::move(read);
  return out;
}

}  // namespace leeward::study
