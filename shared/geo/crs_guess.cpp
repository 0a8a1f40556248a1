#include "shared/geo/crs_guess.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <fmt/format.h>
#include <proj.h>

#include "shared/base/missing.h"
#include "shared/geo/longitudes.h"

namespace leeward {
namespace {

constexpr double kLeastReachM = 5000;
constexpr double kSameM = 10;

double reachOf(const Bbox& box) {
  return std::max(kLeastReachM, geodesicDistanceM({box.min_x, box.min_y}, {box.max_x, box.max_y}));
}

/// Codes of the projected systems that are used where the study lies, plain datums first.
std::vector<std::string> projectedCodes(const Bbox& study) {
  const std::unique_ptr<PJ_CONTEXT, PJ_CONTEXT* (*)(PJ_CONTEXT*)> context(proj_context_create(), proj_context_destroy);
  proj_context_set_enable_network(context.get(), 0);
  PROJ_CRS_LIST_PARAMETERS* wanted = proj_get_crs_list_parameters_create();
  const PJ_TYPE type = PJ_TYPE_PROJECTED_CRS;
  wanted->types = &type;
  wanted->typesCount = 1;
  wanted->bbox_valid = 1;
  wanted->crs_area_of_use_contains_bbox = 0;
  const Point middle = study.center();
  wanted->west_lon_degree = wanted->east_lon_degree = plainLongitude(middle.x);
  wanted->south_lat_degree = wanted->north_lat_degree = middle.y;
  int count = 0;
  PROJ_CRS_INFO** list = proj_get_crs_info_list_from_database(context.get(), "EPSG", wanted, &count);
  std::vector<std::pair<int, std::string>> found;
  for (int i = 0; i < count; ++i) {
    const std::string_view name = list[i]->name;
    const bool plain = name.starts_with("NAD83 /") || name.starts_with("WGS 84 /");
    found.emplace_back(plain ? 0 : 1, fmt::format("EPSG:{}", list[i]->code));
  }
  proj_crs_info_list_destroy(list);
  proj_get_crs_list_parameters_destroy(wanted);
  std::ranges::stable_sort(found, {}, &std::pair<int, std::string>::first);
  std::vector<std::string> codes = {"EPSG:3857"};
  for (auto& [order, code] : found) {
    if (code != codes.front()) codes.push_back(std::move(code));
  }
  return codes;
}

struct Candidate {
  CrsGuess guess;
  Point lon_lat;
};

/// Keeps a candidate that lies near enough and is no twin of an earlier one.
void consider(std::vector<Candidate>& kept, CrsGuess guess, Point lon_lat, const Bbox& study, double reach_m) {
  if (!std::isfinite(lon_lat.x) || !std::isfinite(lon_lat.y) || std::abs(lon_lat.y) > 90) return;
  guess.distance_m = distanceToBoxM(lon_lat, study);
  if (guess.distance_m > reach_m) return;
  const bool twin = std::ranges::any_of(kept, [&](const Candidate& other) { return geodesicDistanceM(other.lon_lat, lon_lat) <= kSameM; });
  if (!twin) kept.push_back({std::move(guess), lon_lat});
}

}  // namespace

Point medianPoint(std::span<const Point> points) {
  std::vector<double> x, y;
  for (const Point p : points) {
    if (std::isfinite(p.x) && std::isfinite(p.y)) x.push_back(p.x), y.push_back(p.y);
  }
  if (x.empty()) return {kNan, kNan};
  const auto middle = static_cast<std::ptrdiff_t>(x.size() / 2);
  std::ranges::nth_element(x, x.begin() + middle);
  std::ranges::nth_element(y, y.begin() + middle);
  return {x[static_cast<std::size_t>(middle)], y[static_cast<std::size_t>(middle)]};
}

double distanceToBoxM(Point lon_lat, const Bbox& box) {
  if (box.isEmpty()) return 0;
  const Point p = nearBox(lon_lat, box);
  const Point nearest{std::clamp(p.x, box.min_x, box.max_x), std::clamp(p.y, box.min_y, box.max_y)};
  return nearest == p ? 0 : geodesicDistanceM(p, nearest);
}

bool canBeIn(const Crs& crs, Point median) {
  if (!std::isfinite(median.x) || !std::isfinite(median.y)) return false;
  if (crs.isGeographic()) return std::abs(median.x) <= 360 && std::abs(median.y) <= 90;
  const double metres = crs.metresPerUnit() > 0 ? crs.metresPerUnit() : 1;
  return std::hypot(median.x, median.y) * metres < 6e7;  // farther than round the earth: no coordinate of a map
}

std::vector<CrsGuess> guessCrs(std::span<const Point> points, const Bbox& study) {
  std::vector<CrsGuess> guesses;
  const Point median = medianPoint(points);
  if (study.isEmpty() || !std::isfinite(median.x)) return guesses;
  const double reach_m = reachOf(study);
  std::vector<Candidate> kept;
  const Point swapped{median.y, median.x};
  if (canBeIn(Crs::wgs84(), median)) consider(kept, {.crs = Crs::wgs84()}, median, study, reach_m);
  if (canBeIn(Crs::wgs84(), swapped)) consider(kept, {.crs = Crs::wgs84(), .swapped = true}, swapped, study, reach_m);
  if (std::abs(median.x) > 400 || std::abs(median.y) > 400) {  // else degrees: no map has its origin in a town
    for (const std::string& code : projectedCodes(study)) {
      const auto crs = Crs::parse(code);
      if (!crs || crs->isGeographic()) continue;
      const auto to_lon_lat = Transform::between(*crs, Crs::wgs84());
      if (!to_lon_lat) continue;
      CrsGuess guess{.crs = *crs};
      if (const double unit = crs->metresPerUnit(); std::abs(unit - 0.3048) < 1e-5) guess.feet_doubt_m = std::hypot(median.x, median.y) * 2e-6 * unit;
      consider(kept, guess, (*to_lon_lat)(median), study, reach_m);
      guess.swapped = true;
      consider(kept, std::move(guess), (*to_lon_lat)(swapped), study, reach_m);
    }
  }
  std::ranges::stable_sort(kept, {}, [](const Candidate& one) { return one.guess.distance_m; });
  for (Candidate& one : kept) guesses.push_back(std::move(one.guess));
  return guesses;
}

}  // namespace leeward
