// Files of published formats, written here byte by byte: shapefiles and GeoTIFFs as other programs make them.
#include <bit>
#include <cmath>
#include <cstring>
#include <fstream>

#include "shared/base/files.h"
#include "shared/layer/layer.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

namespace fs = std::filesystem;
static_assert(std::endian::native == std::endian::little, "numbers are written as they lie in memory");

/// Bytes in a row, little-endian but where said.
class Bytes {
 public:
  template <class T>
  Bytes& le(T value) {
    text_.append(reinterpret_cast<const char*>(&value), sizeof value);
    return *this;
  }
  Bytes& be(std::uint32_t value) {
    for (const unsigned shift : {24U, 16U, 8U, 0U}) text_ += static_cast<char>(value >> shift);
    return *this;
  }
  Bytes& add(std::string_view text) {
    text_ += text;
    return *this;
  }
  Bytes& zeros(std::size_t count) {
    text_.append(count, '\0');
    return *this;
  }
  const std::string& text() const { return text_; }

 private:
  std::string text_;
};

class OpenFormatsTest : public testing::Test {
 protected:
  fs::path path(const std::string& name) const { return folder_.path() / name; }
  void write(const std::string& name, std::string_view bytes) const { std::ofstream(path(name), std::ios::binary) << bytes; }
  Result<Layer> read(const std::string& name) { return readLayer({path(name).string(), "", "", "", 0}, progress_); }

  static Bytes shapeHeader(std::uint32_t bytes) {
    Bytes header;
    header.be(9994).zeros(20).be(bytes / 2).le<std::int32_t>(1000).le<std::int32_t>(5);
    for (const double edge : {-71.2, 42.0, -71.0, 42.2, 0.0, 0.0, 0.0, 0.0}) header.le(edge);
    return header;
  }
  /// One area with a hole, as the published description of the format (1998) has it: outer rings clockwise, holes against it.
  void writeShapefile(const std::string& stem) const {
    constexpr std::array<double, 20> kVertices = {-71.2, 42.0, -71.2, 42.2, -71.0, 42.2, -71.0, 42.0, -71.2, 42.0,
                                                  -71.15, 42.1, -71.1, 42.1, -71.1, 42.15, -71.15, 42.15, -71.15, 42.1};
    Bytes record;
    record.le<std::int32_t>(5);
    for (const double edge : {-71.2, 42.0, -71.0, 42.2}) record.le(edge);
    record.le<std::int32_t>(2).le<std::int32_t>(10).le<std::int32_t>(0).le<std::int32_t>(5);
    for (const double ordinate : kVertices) record.le(ordinate);
    const auto content = static_cast<std::uint32_t>(record.text().size());
    write(stem + ".shp", shapeHeader(108 + content).be(1).be(content / 2).add(record.text()).text());
    write(stem + ".shx", shapeHeader(108).be(50).be(content / 2).text());
    Bytes table;  // dBase III
    table.add(std::string("\x03\x19\x01\x01", 4)).le<std::uint32_t>(1).le<std::uint16_t>(32 + 64 + 1).le<std::uint16_t>(1 + 10 + 9).zeros(20);
    table.add(std::string("GEOID\0\0\0\0\0\0C", 12)).zeros(4).add(std::string("\x0A\0", 2)).zeros(14);
    table.add(std::string("ALAND\0\0\0\0\0\0N", 12)).zeros(4).add(std::string("\x09\0", 2)).zeros(14);
    table.add("\x0D").add(" 0250173521").add("    12345\x1A");
    write(stem + ".dbf", table.text());
    write(stem + ".prj", "GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\",SPHEROID[\"WGS_1984\",6378137.0,298.257223563]],"
                         "PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]");
  }

  /// A GeoTIFF of 2 x 2 cells of 16 bits: 10, 20, 30 and 65535, by the TIFF 6.0 and GeoTIFF 1.1 (OGC 19-008r4) standards.
  void writeTiff(const std::string& name, const std::string& metadata, const std::vector<double>& transformation) const {
    struct Tag {
      std::uint16_t id, type;
      std::uint32_t count;
      std::string value;  ///< four bytes, or any number that goes behind the list
    };
    const auto half = [](std::uint16_t value) { return Bytes().le(value).zeros(2).text(); };
    const auto word = [](std::uint32_t value) { return Bytes().le(value).text(); };
    constexpr std::uint32_t kCellsAt = 8;
    std::vector<Tag> tags = {{256, 3, 1, half(2)}, {257, 3, 1, half(2)}, {258, 3, 1, half(16)},      {259, 3, 1, half(1)}, {262, 3, 1, half(1)},
                             {273, 4, 1, word(kCellsAt)}, {277, 3, 1, half(1)}, {278, 3, 1, half(2)}, {279, 4, 1, word(8)}};
    Bytes numbers;
    for (const double number : transformation) numbers.le(number);
    tags.push_back({34264, 12, static_cast<std::uint32_t>(transformation.size()), numbers.text()});
    if (!metadata.empty()) tags.push_back({42112, 2, static_cast<std::uint32_t>(metadata.size() + 1), metadata + '\0'});
    tags.push_back({42113, 2, 6, std::string("65535\0", 6)});
    Bytes file;
    file.add("II").le<std::uint16_t>(42).le<std::uint32_t>(kCellsAt + 8);
    for (const int cell : {10, 20, 30, 65535}) file.le(static_cast<std::uint16_t>(cell));
    file.le(static_cast<std::uint16_t>(tags.size()));
    std::size_t behind = kCellsAt + 8 + 2 + 12 * tags.size() + 4;
    std::string values;
    for (const Tag& tag : tags) {
      file.le(tag.id).le(tag.type).le(tag.count);
      if (tag.value.size() <= 4) {
        file.add(tag.value);
        continue;
      }
      file.le(static_cast<std::uint32_t>(behind + values.size()));
      values += tag.value;
      if (values.size() % 2 != 0) values += '\0';
    }
    write(name, file.le<std::uint32_t>(0).add(values).text());
  }
  TemporaryFolder folder_;
  Progress progress_;
};

TEST_F(OpenFormatsTest, AShapefileIsReadWithItsRingsTurnedAndItsZerosKept) {
  writeShapefile("blocks");
  const auto layer = read("blocks.shp");
  ASSERT_OK(layer);
  ASSERT_EQ(layer->rows(), 1U);
  EXPECT_EQ(layer->table.names(), (std::vector<std::string>{"GEOID", "ALAND"}));
  EXPECT_EQ(layer->table.column(0).textAt(0), "0250173521") << "a leading zero is part of the id";
  EXPECT_EQ(layer->table.column(1).asInteger(0), 12345);
  EXPECT_FALSE(layer->crs.isUnknown());
  ASSERT_EQ(layer->geometry.paths(0), 2U);
  EXPECT_FALSE(layer->geometry.isHole(0, 0));
  EXPECT_TRUE(layer->geometry.isHole(0, 1));
  const auto area = [&](std::size_t path) {  // signed: counter-clockwise is positive
    const auto ring = layer->geometry.path(0, path);
    double twice = 0;
    for (std::size_t i = 1; i < ring.size(); ++i) twice += ring[i - 1].x * ring[i].y - ring[i].x * ring[i - 1].y;
    return twice / 2;
  };
  EXPECT_NEAR(area(0), 0.04, 1e-9);
  EXPECT_NEAR(area(1), -0.0025, 1e-9);
}

TEST_F(OpenFormatsTest, AShapefileWithoutItsPrjHasNoCrs) {
  writeShapefile("blocks");
  fs::remove(path("blocks.prj"));
  const auto layer = read("blocks.shp");
  ASSERT_OK(layer);
  EXPECT_EQ(layer->rows(), 1U);
  EXPECT_TRUE(layer->crs.isUnknown());
}

TEST_F(OpenFormatsTest, AShapefileWithoutItsShxIsReadAndSaidAndNoneIsMade) {
  writeShapefile("blocks");
  const auto whole = read("blocks.shp");
  fs::remove(path("blocks.shx"));
  const auto layer = read("blocks.shp");
  ASSERT_OK(layer);
  ASSERT_OK(whole);
  EXPECT_EQ(layer->rows(), whole->rows());
  EXPECT_EQ(layer->geometry.bbox().max_x, whole->geometry.bbox().max_x);
  EXPECT_THAT(layer->remarks, testing::Contains(testing::HasSubstr(".shx")));
  EXPECT_FALSE(fs::exists(path("blocks.shx"))) << "the person's folder stays as it was";
}

TEST_F(OpenFormatsTest, ScaleAndOffsetAreAppliedButNotToNoData) {
  writeTiff("heat.tif",
            "<GDALMetadata><Item name=\"OFFSET\" sample=\"0\" role=\"offset\">-5</Item>"
            "<Item name=\"SCALE\" sample=\"0\" role=\"scale\">0.5</Item></GDALMetadata>",
            {30, 0, 0, 1000, 0, -30, 0, 2000, 0, 0, 0, 0, 0, 0, 0, 1});
  const auto raster = readRaster(path("heat.tif"), progress_);
  ASSERT_OK(raster);
  EXPECT_EQ(raster->left, 1000);
  EXPECT_EQ(raster->top, 2000);
  EXPECT_EQ(raster->cell_x, 30);
  EXPECT_EQ(raster->at(0, 0), 0.0F);  // 10 x 0.5 - 5
  EXPECT_EQ(raster->at(0, 1), 5.0F);
  EXPECT_EQ(raster->at(1, 0), 10.0F);
  EXPECT_TRUE(std::isnan(raster->at(1, 1)));
}

TEST_F(OpenFormatsTest, ARotatedRasterIsRefused) {
  const double c = 30 * std::cos(0.1), s = 30 * std::sin(0.1);
  writeTiff("turned.tif", "", {c, s, 0, 1000, s, -c, 0, 2000, 0, 0, 0, 0, 0, 0, 0, 1});
  const auto raster = readRaster(path("turned.tif"), progress_);
  ASSERT_FALSE(raster.ok());
  EXPECT_EQ(raster.problem().code, ProblemCode::Unsupported) << raster.problem().text();
  EXPECT_FALSE(raster.problem().mend.empty());
}

}  // namespace
}  // namespace leeward
