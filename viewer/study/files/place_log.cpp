#include "viewer/study/files/place_log.h"

#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/place/place.h"
#include "importers/public_layer.h"
#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

Result<Layer> reference(importers::Kind kind, const std::string& file, const std::string& map, const std::string& crs, PlacedLog& out, Progress& progress) {
  LEEWARD_ASSIGN(overrides, importers::parseOverrides(map));
  LEEWARD_ASSIGN(read, importers::importPublic(kind, {.source = file, .crs = crs}, overrides, progress));
  out.taken += file + ":\n" + read.map.describe();
  for (const auto& remark : read.report.remarks) out.remarks.push_back(file + ": " + remark);
  if (!read.report.refused.empty()) out.remarks.push_back(fmt::format("{}: {} rows could not be used", file, read.report.refused.size()));
  return std::move(read.layer);
}

void addPlacements(Layer& log, const std::vector<analysis::Placement>& placements, const Transform& to_lon_lat, PlacedLog& out) {
  std::vector<double> lon, lat, score, uncertainty, runner_up;
  std::vector<std::string> decision, placed_by, matched_address, matched_id, why;
  log.geometry = {};
  for (const auto& one : placements) {
    const bool found = one.placed_by != analysis::PlacedBy::None;
    const Point at = found ? to_lon_lat(one.position) : one.position;
    if (found) log.geometry.addPoint(at);
    else log.geometry.addNone();
    lon.push_back(at.x), lat.push_back(at.y), score.push_back(one.score), uncertainty.push_back(one.uncertainty_m), runner_up.push_back(one.runner_up_score);
    decision.emplace_back(name(one.decision)), placed_by.emplace_back(name(one.placed_by));
    matched_address.push_back(one.matched_address), matched_id.push_back(one.matched_id), why.push_back(one.why);
    ++(one.decision == analysis::PlaceDecision::Placed ? out.placed : one.decision == analysis::PlaceDecision::Undecided ? out.undecided : out.none);
  }
  const Table added = TableMaker{}
      .reals("lon", lon).reals("lat", lat).texts("decision", decision).texts("placed_by", placed_by).reals("score", score)
      .reals("uncertainty_m", uncertainty).named("matched_address", matched_address).named("matched_id", matched_id)
      .reals("runner_up_score", runner_up).texts("why", why).done();
  addColumns(log, added);
  log.crs = Crs::wgs84();
}

}  // namespace

Result<PlacedLog> placeLog(const PlaceLogRequest& request, Progress& progress) {
  if (request.points.empty() && request.streets.empty()) {
    return Problem{ProblemCode::InvalidArgument, "there is nothing to place the addresses on", "place", "Add --points FILE, --streets FILE, or both"};
  }
  PlacedLog out;
  auto reading = progress.part(0, 0.3);
  LEEWARD_ASSIGN(log, readInput({.source = request.log, .x_column = "", .y_column = "", .crs = ""}, reading));
  LEEWARD_ASSIGN(address, needColumn(log.table, request.address, request.log, "--address"));
  const Column* city = nullptr;
  const Column* postcode = nullptr;
  if (!request.city.empty()) {
    LEEWARD_ASSIGN(column, needColumn(log.table, request.city, request.log, "--city"));
    city = column;
  }
  if (!request.postcode.empty()) {
    LEEWARD_ASSIGN(column, needColumn(log.table, request.postcode, request.log, "--postcode"));
    postcode = column;
  }
  std::vector<analysis::PlaceQuery> queries(log.rows());
  for (std::size_t row = 0; row < log.rows(); ++row) {
    queries[row].text = address->asText(row);
    if (trim(queries[row].text).empty()) out.refused.push_back(refusedRow(log.table, row, address->name(), "no address"));
    if (city != nullptr) queries[row].place = city->asText(row);
    if (postcode != nullptr) queries[row].postcode = postcode->asText(row);
  }
  Layer points, streets;
  Crs frame;
  if (!request.points.empty()) {
    LEEWARD_ASSIGN(read, reference(importers::Kind::Premises, request.points, request.points_map, request.crs, out, reading));
    LEEWARD_ASSIGN(chosen, frameFor(read));
    frame = chosen;
    LEEWARD_ASSIGN(moved, inMetres(std::move(read), frame));
    points = std::move(moved);
  }
  if (!request.streets.empty()) {
    LEEWARD_ASSIGN(read, reference(importers::Kind::Streets, request.streets, request.streets_map, request.crs, out, reading));
    if (frame.isUnknown()) {
      LEEWARD_ASSIGN(chosen, frameFor(read));
      frame = chosen;
    }
    LEEWARD_ASSIGN(moved, inMetres(std::move(read), frame));
    streets = std::move(moved);
  }
  auto building = progress.part(0.3, 0.5);
  LEEWARD_ASSIGN(index, analysis::AddressIndex::build(addressPoints(points), streetRanges(streets), building));
  auto placing = progress.part(0.5, 1);
  LEEWARD_ASSIGN(placements, analysis::placeAddresses(index, queries, placing));
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(frame, Crs::wgs84()));
  addPlacements(log, placements, to_lon_lat, out);
  out.layer = std::move(log);
  return out;
}

}  // namespace leeward::study
