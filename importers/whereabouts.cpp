#include "importers/whereabouts.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "shared/geo/crs_guess.h"
#include "shared/geo/longitudes.h"

namespace leeward::importers {
namespace {

constexpr double kFarM = 50'000;

std::string kilometres(double metres) { return metres < 10'000 ? fmt::format("{:.1f} km", metres / 1000) : formatCount(std::llround(metres / 1000)) + " km"; }

std::string whereFromStudy(double distance_m) {
  return distance_m == 0 ? "inside the study's area" : kilometres(distance_m) + " from the study";
}

/// The option that takes a guess.
std::string optionFor(const CrsGuess& guess) {
  const std::string code = guess.crs.authority().empty() ? guess.crs.definition() : guess.crs.authority();
  return "--crs " + code + (guess.swapped ? " --map axes=swapped" : "");
}

std::string described(const CrsGuess& guess) {
  std::string text = guess.crs.name();
  if (guess.swapped) text += guess.crs.isGeographic() ? " with latitude first" : " with north before east";
  return text;
}

/// How far the points' middle lies from the study if they are in `crs`; nothing if they can't be.
std::optional<double> distanceIn(const Crs& crs, bool swapped, std::span<const Point> points, const Bbox& study) {
  Point median = medianPoint(points);
  if (swapped) std::swap(median.x, median.y);
  if (crs.isLocal()) return 0;
  if (!canBeIn(crs, median)) return std::nullopt;
  const auto to_lon_lat = Transform::between(crs, Crs::wgs84());
  if (!to_lon_lat) return std::nullopt;
  const Point at = (*to_lon_lat)(median);
  if (!std::isfinite(at.x) || std::abs(at.y) > 90) return std::nullopt;
  return distanceToBoxM(at, study);
}

/// Whether the points' box, in longitude and latitude, meets the study's: a county around a town has its middle elsewhere.
bool coversStudy(const Crs& crs, std::span<const Point> points, const Bbox& study) {
  const auto to_lon_lat = Transform::between(crs, Crs::wgs84());
  if (!to_lon_lat || study.isEmpty()) return false;
  Bbox plane;
  for (const Point p : points) plane.add(p);
  std::vector<Point> corners = {{plane.min_x, plane.min_y}, {plane.max_x, plane.min_y}, {plane.min_x, plane.max_y}, {plane.max_x, plane.max_y}};
  to_lon_lat->apply(corners);
  return lonLatBox(corners).meets(study);
}

double farM(const Bbox& study) {
  return std::max(kFarM, study.isEmpty() ? 0 : geodesicDistanceM({study.min_x, study.min_y}, {study.max_x, study.max_y}));
}

/// Small numbers in a system of metres: probably degrees. Its own area of use then stands for the study.
bool looksLikeDegrees(const Crs& crs, Point median) {
  return !crs.isUnknown() && !crs.isGeographic() && !crs.isLocal() && std::abs(median.x) <= 180 && std::abs(median.y) <= 180;
}

Problem ask(const Crs& said, const std::vector<CrsGuess>& guesses, std::optional<double> distance, const std::string& file) {
  std::string what = said.isUnknown() ? "The file does not say in which reference system its coordinates are"
                     : distance       ? fmt::format("The coordinates would lie {} if they were in {}, as the file says", whereFromStudy(*distance), said.name())
                                      : fmt::format("The coordinates can't be in {}, as the file says", said.name());
  if (guesses.empty()) {
    return {ProblemCode::CrsMismatch, what, file, "Name it: --crs EPSG:..., or crs = \"EPSG:...\" in study.toml; a shapefile's .prj says it too"};
  }
  std::vector<std::string> options;
  for (const CrsGuess& guess : guesses) {
    if (options.size() == 4) break;
    options.push_back(fmt::format("{} ({}: {})", optionFor(guess), described(guess), whereFromStudy(guess.distance_m)));
  }
  return {ProblemCode::CrsMismatch, what + ", and more than one system would put them near the study", file, "Say which it is: " + join(options, "; or ")};
}

Believed taken(const CrsGuess& guess, const Crs& said, std::optional<double> distance) {
  Believed believed{guess.crs, guess.swapped, true, {}};
  const std::string why = said.isUnknown() ? "The file does not say in which reference system its coordinates are"
                          : distance       ? fmt::format("In {}, as the file says, the coordinates would lie {}", said.name(), whereFromStudy(*distance))
                                           : fmt::format("The coordinates can't be in {}, as the file says", said.name());
  believed.remark = fmt::format("{}. They are taken as {}, which alone puts their middle {}; --crs says otherwise", why, described(guess), whereFromStudy(guess.distance_m));
  if (guess.feet_doubt_m > 0) {
    believed.remark += fmt::format(". Were its feet of the other kind (US survey, international), positions would move by {:.1f} m", guess.feet_doubt_m);
  }
  return believed;
}

Result<Believed> asSaid(std::span<const Point> points, const Whereabouts& known, const std::string& file) {
  LEEWARD_ASSIGN(crs, Crs::parse(known.crs));
  Believed believed{crs, known.swapped, false, {}};
  const auto distance = distanceIn(crs, known.swapped, points, known.study);
  if (!distance && std::isfinite(medianPoint(points).x)) {
    return Problem{ProblemCode::CrsMismatch, fmt::format("The coordinates can't be in {}", crs.name()), file, "Name another system: --crs EPSG:..."};
  }
  if (distance && *distance > farM(known.study) && !coversStudy(crs, points, known.study)) {
    believed.remark = fmt::format("In {} the coordinates lie {}", crs.name(), whereFromStudy(*distance));
  }
  return believed;
}

}  // namespace

Result<Believed> believe(std::span<const Point> points, const Crs& said, const Whereabouts& known, const std::string& file) {
  const Point median = medianPoint(points);
  if (!known.crs.empty()) return asSaid(points, known, file);
  if (!std::isfinite(median.x)) return Believed{said, known.swapped, false, {}};
  const auto distance = said.isUnknown() ? std::nullopt : distanceIn(said, known.swapped, points, known.study);
  const bool degrees = looksLikeDegrees(said, median);
  if (distance && !degrees && (*distance <= farM(known.study) || coversStudy(said, points, known.study))) return Believed{said, known.swapped, false, {}};
  Bbox study = known.study;
  if (study.isEmpty() && degrees) study = said.areaOfUse();
  const auto guesses = guessCrs(points, study);
  if (guesses.size() == 1) return taken(guesses.front(), said, distance);
  if (guesses.empty() && distance) {  // in order by itself, only elsewhere
    Believed believed{said, known.swapped, false, {}};
    if (!known.study.isEmpty()) believed.remark = fmt::format("The layer lies {}: is it the right file?", whereFromStudy(*distance));
    return believed;
  }
  return ask(said, guesses, distance, file);
}

Result<std::optional<Believed>> settleCoordinates(Layer& layer, const Whereabouts& known, const std::string& file) {
  if (!layer.hasGeometry()) return std::optional<Believed>{};
  LEEWARD_ASSIGN(believed, believe(layer.geometry.vertices(), layer.crs, known, file));
  layer.crs = believed.crs;
  if (believed.swapped) {
    for (Point& p : layer.geometry.vertices()) std::swap(p.x, p.y);
    layer.geometry.windRings();
  }
  if (layer.crs.isGeographic()) joinAtAntimeridian(layer.geometry.vertices());
  return std::optional(std::move(believed));
}

}  // namespace leeward::importers
