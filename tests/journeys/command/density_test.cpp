// `density` as a person calls it. Figures at fixed places: closed forms in ../shared/checks/15_kde_ripley.json.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/layer/layer.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/command.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

class DensityFiles : public testing::Test {
 protected:
  std::string file(const std::string& name) const { return (folder_.path() / name).string(); }
  static Raster read(const std::string& name) {
    Progress quiet;
    auto raster = readRaster(name, quiet);
    EXPECT_OK(raster);
    return raster ? std::move(*raster) : Raster{};
  }
  std::string area(const std::string& name, const std::vector<Point>& ring, const std::string& crs) const {
    Layer layer;
    layer.name = "area";
    layer.crs = *Crs::parse(crs);
    layer.geometry.addArea(ring);
    layer.table.add(Column::text("id", {"A"}));
    Progress quiet;
    EXPECT_OK(writeLayer(layer, file(name), quiet));
    return file(name);
  }
  static void expectDensityProblem(std::vector<std::string> words, int status, const std::string& said) {
    words.insert(words.begin(), "density");
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, status) << ran.err;
    EXPECT_NE(ran.err.find(said), std::string::npos) << ran.err;
  }

 private:
  TemporaryFolder folder_;
};

TEST_F(DensityFiles, SeedlingsInTheirSquareAsTheClosedFormSays) {
  LEEWARD_OUTSIDE_DATA(folder, "checks/data/pts_redwoodfull.csv");
  // The same points in metres on the ground, a thousand to the unit: densities are a millionth. Cells are 4 m, centres at 2, 6, 10 ...
  Progress quiet;
  const auto points = readLayer({.source = folder.string(), .x_column = "x", .y_column = "y", .crs = "local"}, quiet);
  ASSERT_OK(points);
  std::string text = "x,y\n";
  for (std::size_t row = 0; row < points->rows(); ++row) {
    text += std::to_string(500000 + 1000 * points->geometry.point(row).x) + "," + std::to_string(4000000 + 1000 * points->geometry.point(row).y) + "\n";
  }
  const std::string table = put(file("points.csv"), text);
  const std::string square = area("square.gpkg", {{500000, 4000000}, {501000, 4000000}, {501000, 4001000}, {500000, 4001000}}, "EPSG:32617");
  // (0.75, 0.25) is a corner of four cells; (0.98, 0.5) too.
  const std::map<std::string, std::pair<double, double>> expected = {{"none", {364.431441403845, 93.0527575192921}}, {"place", {364.431650333626, 141.973864477959}}, {"point", {364.504025575706, 105.18221979243}}};
  for (const auto& [edge, values] : expected) {
    const std::string out = file(edge + ".tif");
    const Ran ran = leeward({"density", table, "--x", "x", "--y", "y", "--crs", "EPSG:32617", "--bandwidth", "50", "--cell", "4", "--edge", edge, "--inside", square, "-o", out});
    ASSERT_EQ(ran.status, 0) << ran.err;
    EXPECT_NE(ran.err.find("not only where dogs are"), std::string::npos) << ran.err;
    const auto raster = read(out);
    ASSERT_EQ(raster.columns, 250U);
    const auto about = [&](double x, double y) {
      const auto column = static_cast<std::size_t>(x * 250), row = static_cast<std::size_t>((1 - y) * 250);
      return 1e6 * static_cast<double>(raster.at(row, column) + raster.at(row - 1, column) + raster.at(row, column - 1) + raster.at(row - 1, column - 1)) / 4;
    };
    EXPECT_NEAR(about(0.75, 0.25), values.first, 0.005 * values.first) << edge;
    EXPECT_NEAR(about(0.98, 0.5), values.second, 0.005 * values.second) << edge;
  }
}

TEST_F(DensityFiles, FindsOverLooksAndABandwidthReadFromThePoints) {
  std::string looks = "x,y\n", finds = "x,y\n";
  for (int i = 0; i < 400; ++i) looks += std::to_string(i % 20 * 10) + "," + std::to_string(i / 20 * 10) + "\n";
  for (int i = 0; i < 400; ++i) finds += (i % 20 + i / 20) % 4 != 0 ? "" : std::to_string(i % 20 * 10) + "," + std::to_string(i / 20 * 10) + "\n";
  const std::string looked = put(file("looks.csv"), looks), found = put(file("finds.csv"), finds + "nowhere,\n");
  const std::string out = file("share.tif");
  const Ran ran = leeward({"density", found, "--x", "x", "--y", "y", "--crs", "local", "--bandwidth", "60", "--cell", "5", "--kernel", "quartic", "--relative-to", looked, "-o", out, "--json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const auto told = nlohmann::json::parse(ran.out);
  EXPECT_EQ(told["points"], 100);
  EXPECT_EQ(told["refused"], 1);
  const auto raster = read(out);
  EXPECT_NEAR(raster.at(raster.rows / 2, raster.columns / 2), 0.25, 0.03);
  for (const char* bandwidth : {"scott", "likelihood", "berman"}) {
    const Ran chosen = leeward({"density", looked, "--x", "x", "--y", "y", "--crs", "local", "--bandwidth", bandwidth, "--cell", "5", "-o", out, "--json"});
    ASSERT_EQ(chosen.status, 0) << chosen.err;
    const double metres = nlohmann::json::parse(chosen.out)["bandwidth_m"];
    EXPECT_GT(metres, 1) << bandwidth;
    EXPECT_LT(metres, 60) << bandwidth;
  }
}

TEST_F(DensityFiles, WhatCannotBeMeantIsSaid) {
  const std::string one = put(file("one.csv"), "x,y\n5,5\n");
  const std::vector<std::string> call = {one, "--x", "x", "--y", "y", "--crs", "local", "--cell", "5"};
  const auto with = [&](std::vector<std::string> more) {
    more.insert(more.begin(), call.begin(), call.end());
    return more;
  };
  const std::string out = file("one.tif");
  EXPECT_EQ(leeward([&] {
              auto words = with({"--bandwidth", "50", "-o", out});
              words.insert(words.begin(), "density");
              return words;
            }()).status, 0);
  EXPECT_NEAR(read(out).at(30, 30), 1 / (2 * 3.14159265358979 * 2500), 1e-6);
  expectDensityProblem(with({"--bandwidth", "50", "--edge", "place", "-o", out}), 3, "--inside");
  expectDensityProblem(with({"--bandwidth", "scott", "-o", out}), 3, "bandwidth");
  expectDensityProblem(with({"--bandwidth", "wide", "-o", out}), 2, "scott, likelihood or berman");
  expectDensityProblem(with({"--bandwidth", "-5", "-o", out}), 2, "above 0");
  expectDensityProblem(with({"--bandwidth", "5"}), 2, "-o");
  expectDensityProblem(with({"--bandwidth", "5", "-o", file("one.csv.gpkg")}), 2, ".tif");
}

}  // namespace
}  // namespace leeward::test
