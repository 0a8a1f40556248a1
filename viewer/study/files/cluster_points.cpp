#include "viewer/study/files/cluster_points.h"

#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/sightings/clusters.h"
#include "analysis/sightings/hierarchy.h"
#include "shared/base/dates.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
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

Result<void> checkMethod(const ClusterPointsRequest& request) {
  const auto wrong = [](std::string what, std::string where, std::string mend) { return Problem{ProblemCode::InvalidArgument, std::move(what), std::move(where), std::move(mend)}; };
  if (request.method == ClusterMethod::Density) {
    if (!request.within_m) return wrong("clusters by density need a reach", "--within", "Add --within METRES, or --method hierarchy, which needs none");
    if (request.days && request.when.empty()) return wrong("--days needs a column with times", "--days", "Add --when COLUMN");
    return {};
  }
  if (request.within_m) return wrong("a hierarchy holds the clusters of every reach", "--within", "Leave --within out, or use --method density");
  if (request.days || !request.when.empty()) return wrong("a hierarchy is of places alone, not of times", request.days ? "--days" : "--when", "Leave it out, or use --method density");
  if (request.at_least < 2) return wrong("a hierarchy needs at least 2 points a cluster", "--at-least", "Give 2 or more");
  return {};
}

}  // namespace

const char* roleName(analysis::ClusterRole role) {
  return role == analysis::ClusterRole::Core ? "core" : role == analysis::ClusterRole::Edge ? "edge" : "alone";
}

Result<ClusteredPoints> clusterPoints(const ClusterPointsRequest& request, Progress& progress) {
  LEEWARD_TRY(checkMethod(request));
  auto reading = progress.part(0, 0.4);
  LEEWARD_ASSIGN(read, readInput(request.points, reading));
  ClusteredPoints out;
  LEEWARD_ASSIGN(as_read, pointsOf(read, request.points.source, out.refused));
  std::vector<double> days;
  if (request.days) {
    LEEWARD_ASSIGN(times, daysIn(read.table, request.when, request.points.source));
    days = std::move(times);
  }
  if (read.crs.isUnknown()) return Problem{ProblemCode::CrsMismatch, "the file doesn't say in which coordinates it is", request.points.source, "Add --crs EPSG:n, or --crs local for plane metres"};
  LEEWARD_ASSIGN(plane, inMetres(read));
  std::vector<Point> points(plane.rows(), Point{kNan, kNan});
  std::vector<bool> is_refused(plane.rows(), false);
  for (std::size_t row = 0; row < plane.rows(); ++row) {
    is_refused[row] = !std::isfinite(as_read[row].x);
    if (!is_refused[row]) points[row] = plane.geometry.point(row);
    if (is_refused[row] || days.empty() || std::isfinite(days[row])) continue;
    out.refused.push_back(refusedRow(read.table, row, request.when, "no time"));
    is_refused[row] = true;
  }
  auto clustering = progress.part(0.4, 1);
  analysis::HierarchyClusters found;
  if (request.method == ClusterMethod::Hierarchy) {
    LEEWARD_ASSIGN(hierarchy, analysis::findHierarchy(points, request.at_least, clustering));
    out.clusters = hierarchy.summary.size();
    found = std::move(hierarchy);
  } else {
    LEEWARD_ASSIGN(dense, analysis::findClusters(points, days, {*request.within_m, request.at_least, request.days}, clustering));
    out.clusters = dense.summary.size();
    found.cluster = std::move(dense.cluster), found.role = std::move(dense.role);
  }
  out.frame = plane.crs.name();
  std::vector<std::optional<std::int64_t>> cluster(points.size());
  std::vector<std::optional<std::string>> role(points.size());
  for (std::size_t row = 0; row < points.size(); ++row) {
    if (found.cluster[row] >= 0) cluster[row] = found.cluster[row], ++out.in_clusters;
    if (!is_refused[row]) role[row] = roleName(found.role[row]);
  }
  TableMaker added;
  added.integers("cluster", cluster).texts("role", role);
  if (request.method == ClusterMethod::Hierarchy) added.reals("outlier_score", found.outlier_score);
  addColumns(read, added.done());
  out.layer = std::move(read);
  return out;
}

}  // namespace leeward::study
