#include <cmath>
#include <fstream>

#include "shared/base/files.h"
#include "shared/layer/layer.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

class RasterTest : public testing::Test {
 protected:
  std::filesystem::path path(const std::string& name) const { return folder_.path() / name; }
  std::filesystem::path text(const std::string& name, std::string_view content) const {
    std::ofstream(path(name), std::ios::binary) << content;
    return path(name);
  }
  TemporaryFolder folder_;
  Progress progress_;
};

TEST_F(RasterTest, GeoTiffGivesBackWhatWasWritten) {
  Raster raster;
  raster.columns = 300;
  raster.rows = 270;
  raster.left = 1000.5;
  raster.top = 2000.25;
  raster.cell_x = 30;
  raster.cell_y = 15;
  raster.crs = *Crs::parse("EPSG:26986");
  for (std::size_t i = 0; i < 300 * 270; ++i) raster.values.push_back(i % 97 == 0 ? std::nanf("") : static_cast<float>(i) * 0.1F);
  ASSERT_OK(writeRaster(raster, path("r.tif"), progress_));
  const auto back = readRaster(path("r.tif"), progress_);
  ASSERT_OK(back);
  EXPECT_EQ(std::tie(back->columns, back->rows, back->left, back->top, back->cell_x, back->cell_y),
            std::tie(raster.columns, raster.rows, raster.left, raster.top, raster.cell_x, raster.cell_y));
  EXPECT_EQ(back->crs.authority(), "EPSG:26986");
  for (std::size_t i = 0; i < raster.values.size(); ++i) {
    if (std::isnan(raster.values[i])) ASSERT_TRUE(std::isnan(back->values[i]));
    else ASSERT_EQ(back->values[i], raster.values[i]);
  }
  ASSERT_OK(writeRaster(raster, path("again.tif"), progress_));
  EXPECT_TRUE(*readFile(path("r.tif")) == *readFile(path("again.tif")));
}

TEST_F(RasterTest, AsciiGridIsReadFromTheTopWithNoData) {
  const auto file = text("g.asc", "ncols 3\nnrows 2\nxllcorner 100\nyllcorner 200\ncellsize 10\nNODATA_value -9999\n1 2 3\n4 -9999 6.5\n");
  const auto raster = readRaster(file, progress_);
  ASSERT_OK(raster);
  EXPECT_EQ(raster->top, 220);
  EXPECT_EQ(raster->left, 100);
  EXPECT_EQ(raster->at(0, 2), 3);
  EXPECT_TRUE(std::isnan(raster->at(1, 1)));
  EXPECT_EQ(raster->at(1, 2), 6.5F);
  EXPECT_TRUE(raster->crs.isUnknown());
}

TEST_F(RasterTest, BadRastersAreProblems) {
  const auto code = [&](const std::filesystem::path& file) { return readRaster(file, progress_).problem().code; };
  EXPECT_EQ(code(path("absent.tif")), ProblemCode::NotFound);
  EXPECT_EQ(code(text("empty.tif", "")), ProblemCode::BadData);
  EXPECT_EQ(code(text("not.tif", "hello")), ProblemCode::BadData);
  EXPECT_EQ(code(text("cut.tif", std::string_view("II*\0\x08\0\0\0", 8))), ProblemCode::BadData);
  EXPECT_EQ(code(text("table.csv", "a,b\n1,2\n")), ProblemCode::Unsupported);
  EXPECT_EQ(code(text("short.asc", "ncols 3\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 10\n1 2 3\n4")), ProblemCode::BadData);
  EXPECT_EQ(writeRaster(Raster(), path("none.tif"), progress_).problem().code, ProblemCode::InvalidArgument);
}

TEST_F(RasterTest, ReadsARealRaster) {
  LEEWARD_OUTSIDE_DATA(file, "data/cambridge/cambridge_paved_fraction_30m_DERIVED.tif");  // City of Cambridge, PDDL 1.0
  const auto raster = readRaster(file, progress_);
  ASSERT_OK(raster);
  EXPECT_EQ(raster->columns, 267U);
  EXPECT_EQ(raster->rows, 195U);
  EXPECT_EQ(raster->crs.authority(), "EPSG:26986");
  std::size_t filled = 0;
  for (const float value : raster->values) {
    if (std::isnan(value)) continue;
    ++filled;
    ASSERT_TRUE(value >= 0 && value <= 1);
  }
  EXPECT_GT(filled, 10'000U);
}

}  // namespace
}  // namespace leeward
