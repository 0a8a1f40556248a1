/// One piece of work on the files that other libraries get too, in a process of its own so that its memory is its own.
///   leeward-peers-bench make FOLDER           writes the files
///   leeward-peers-bench TASK FOLDER small|large [THREADS]   prints TASK, best seconds of five (of a scan: one), most memory in MB; files are read before
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <functional>
#include <iostream>
#include <memory>
#include <string>

#include <fmt/format.h>
#include <sys/resource.h>

#include "analysis/overlay/locate.h"
#include "analysis/patterns/contiguity.h"
#include "analysis/patterns/local_patterns.h"
#include "analysis/scans/scan.h"
#include "analysis/sightings/clusters.h"
#include "shared/base/heap.h"
#include "shared/layer/layer.h"
#include "tests/bench/invented.h"

using namespace leeward;
using namespace leeward::analysis;

namespace {

void orStop(const Result<void>& done) {
  if (done) return;
  std::cerr << done.problem().what << '\n';
  std::exit(1);
}
template <class T>
T orStop(Result<T> found) {
  if (found) return std::move(*found);
  std::cerr << found.problem().what << ' ' << found.problem().where << '\n';
  std::exit(1);
}

constexpr const char* kCrs = "EPSG:26910";

/// Areas with events among doors, points over them, and a raster of warmth beneath them.
void makeFiles(const std::string& folder, const std::string& size, Progress& progress) {
  const bool large = size == "large";
  Layer areas, points;
  areas.geometry = bench::blocks(large ? 155 : 49, false);
  areas.crs = points.crs = *Crs::parse(kCrs);
  Random random(5);
  std::vector<double> events, doors, centre_x, centre_y;
  for (std::size_t i = 0; i < areas.geometry.size(); ++i) {
    doors.push_back(5 + random.below(116));
    events.push_back(random.poisson(0.02 * doors.back()));
    const Point p = areas.geometry.path(i, 0)[0];
    centre_x.push_back(p.x + 50), centre_y.push_back(p.y + 50);
  }
  for (const auto& [name, values] : {std::pair{"doors", &doors}, {"events", &events}, {"x", &centre_x}, {"y", &centre_y}}) areas.table.add(Column::reals(name, *values));
  orStop(writeLayer(areas, folder + "/areas_" + size + ".gpkg", progress));
  const auto box = areas.geometry.bbox();
  std::vector<double> x, y, area_x, area_y;
  for (const Point p : bench::reports(large ? 500'000 : 50'000)) {
    x.push_back(p.x), y.push_back(p.y);
    area_x.push_back(box.min_x + p.x / 40'000 * (box.max_x - box.min_x)), area_y.push_back(box.min_y + p.y / 40'000 * (box.max_y - box.min_y));
  }
  for (const auto& [name, values] : {std::pair{"x", &x}, {"y", &y}, {"area_x", &area_x}, {"area_y", &area_y}}) points.table.add(Column::reals(name, *values));
  points.geometry = {}, points.crs = {};
  orStop(writeLayer(points, folder + "/points_" + size + ".csv", progress));
  Raster raster;
  raster.columns = raster.rows = large ? 2370 : 775;
  raster.cell_x = (box.max_x - box.min_x + 20) / static_cast<double>(raster.columns), raster.cell_y = (box.max_y - box.min_y + 20) / static_cast<double>(raster.rows);
  raster.left = box.min_x - 10, raster.top = box.max_y + 10;
  raster.crs = areas.crs;
  for (std::size_t i = 0; i < raster.columns * raster.rows; ++i) raster.values.push_back(static_cast<float>(30 + 5 * std::sin(static_cast<double>(i % raster.columns) / 90) + random.uniform()));
  orStop(writeRaster(raster, folder + "/warmth_" + size + ".tif", progress));
}

std::vector<double> numbers(const Table& table, const std::string& name) { return table.find(name)->toReals(); }

std::vector<Point> pointsOf(const Table& table, const std::string& x, const std::string& y) {
  const auto xs = numbers(table, x), ys = numbers(table, y);
  std::vector<Point> points;
  for (std::size_t i = 0; i < xs.size(); ++i) points.push_back({xs[i], ys[i]});
  return points;
}

/// What is timed; the files are read here, before.
std::function<bool()> work(const std::string& task, const std::string& folder, const std::string& size, Progress& progress) {
  const auto read = [&](const std::string& file) { return orStop(readLayer({.source = folder + "/" + file}, progress)); };
  if (task == "dbscan") {
    return [points = pointsOf(read("points_" + size + ".csv").table, "x", "y"), &progress] { return findClusters(points, {}, {.radius_m = 50, .at_least = 8, .days = {}}, progress).ok(); };
  }
  const auto areas = std::make_shared<Layer>(read("areas_" + size + ".gpkg"));
  if (task == "points") {
    return [points = pointsOf(read("points_" + size + ".csv").table, "area_x", "area_y"), areas, &progress] { return locate(points, {}, areas->geometry, progress).ok(); };
  }
  const auto touching = [areas, &progress] { return orStop(contiguity(areas->geometry, {.touch = Touch::Queen, .tolerance = 0.2}, progress)).neighbours; };
  if (task == "queen") return [touching] { return touching().size() > 0; };
  std::vector<double> rates;
  const auto events = numbers(areas->table, "events"), doors = numbers(areas->table, "doors");
  if (task == "moran" || task == "gistar") {  // both come out of one reckoning
    for (std::size_t i = 0; i < events.size(); ++i) rates.push_back(events[i] / doors[i]);
    return [rates, neighbours = touching(), &progress] { return localPatterns(rates, neighbours, {.permutations = 999}, progress).ok(); };
  }
  if (task == "scan") {
    ScanAreas scanned;
    scanned.places = pointsOf(areas->table, "x", "y"), scanned.events = events, scanned.exposure = doors;
    return [scanned, &progress] { return scanAreas(scanned, {}, progress).ok(); };
  }
  std::cerr << "no such task\n";
  std::exit(2);
}

}  // namespace

int main(int argc, char** argv) {
  useLargePages();
  if (argc < 3) return 2;
  const std::string task = argv[1], folder = argv[2], size = argc > 3 ? argv[3] : "small";
  Progress progress(Progress::Sink{}, std::stop_token{}, argc > 4 ? static_cast<unsigned>(std::atoi(argv[4])) : 2);
  if (task == "make") {
    for (const char* each : {"small", "large"}) makeFiles(folder, each, progress);
    return 0;
  }
  const auto piece = work(task, folder, size, progress);
  double best = 1e9;
  for (int i = 0; i < (task == "scan" ? 1 : 5); ++i) {
    const auto start = std::chrono::steady_clock::now();
    if (!piece()) return 1;
    best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  }
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  std::cout << fmt::format("{} {:.4f} {}\n", task, best, used.ru_maxrss / 1024);
  return 0;
}
