#include "shared/layer/column_cache.h"

#include <cmath>
#include <fstream>

#include <sys/stat.h>

#include "shared/base/files.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

Layer sample() {
  Layer layer;
  layer.name = "streets";
  layer.crs = *Crs::parse("EPSG:26986");
  layer.remarks = {"2 rows were odd"};
  layer.table.lines = {2, 3, 7};
  layer.table.add(Column::text("name", {"a", "", "l\xC3\xA4nger"}));
  layer.table.add(Column::integers("n", {1, -9'000'000'000'000, 3}));
  layer.table.add(Column::reals("x", {0.1, std::nan(""), -0.0}));
  Column gaps("gaps", Column::Kind::Text);
  gaps.addMissing();
  gaps.addText("here");
  gaps.addMissing();
  layer.table.add(std::move(gaps));
  layer.geometry.startRow(GeometryKind::Areas);
  layer.geometry.addRing(std::vector<Point>{{0, 0}, {9, 0}, {9, 9}}, false);
  layer.geometry.addRing(std::vector<Point>{{5, 1}, {5, 2}, {6, 2}}, true);
  layer.geometry.addNone();
  layer.geometry.addLine(std::vector<Point>{{1, 1}, {2, 2}});
  return layer;
}

class ColumnCacheTest : public testing::Test {
 protected:
  std::filesystem::path file() const { return folder_.path() / "streets.cache"; }
  void put(std::string_view bytes) const { std::ofstream(file(), std::ios::binary) << bytes; }
  TemporaryFolder folder_;
};

TEST_F(ColumnCacheTest, GivesBackTheWholeLayer) {
  const Layer layer = sample();
  ASSERT_OK(writeCached(layer, file(), "key"));
  const auto back = readCached(file(), "key");
  ASSERT_TRUE(back);
  EXPECT_EQ(back->name, layer.name);
  EXPECT_TRUE(back->crs == layer.crs);
  EXPECT_EQ(back->remarks, layer.remarks);
  EXPECT_EQ(back->table.lines, layer.table.lines);
  ASSERT_EQ(back->table.names(), layer.table.names());
  for (std::size_t i = 0; i < layer.table.width(); ++i) {
    EXPECT_EQ(back->table.column(i).kind(), layer.table.column(i).kind());
    for (std::size_t row = 0; row < 3; ++row) {
      EXPECT_EQ(back->table.column(i).isMissing(row), layer.table.column(i).isMissing(row));
      EXPECT_EQ(back->table.column(i).asText(row), layer.table.column(i).asText(row));
    }
  }
  ASSERT_EQ(back->geometry.size(), 3U);
  EXPECT_EQ(back->geometry.kind(1), GeometryKind::None);
  EXPECT_TRUE(back->geometry.isHole(0, 1));
  EXPECT_TRUE(std::ranges::equal(back->geometry.vertices(), layer.geometry.vertices()));
}

TEST_F(ColumnCacheTest, IsNotThereForAnotherKeyOrAnAbsentFile) {
  EXPECT_FALSE(readCached(file(), "key"));
  EXPECT_FALSE(cachedKey(file()));
  ASSERT_OK(writeCached(sample(), file(), "key"));
  EXPECT_FALSE(readCached(file(), "other"));
  EXPECT_EQ(cachedKey(file()), "key");
  struct stat status {};
  ASSERT_EQ(::stat(file().c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 0777, 0600U);
}

TEST_F(ColumnCacheTest, EmptyLayersAndPlainTablesWork) {
  ASSERT_OK(writeCached(Layer(), file(), "k"));
  EXPECT_EQ(readCached(file(), "k")->rows(), 0U);
  Layer table;
  table.table.add(Column::integers("n", {1, 2}));
  ASSERT_OK(writeCached(table, file(), "k"));
  const auto back = readCached(file(), "k");
  ASSERT_TRUE(back);
  EXPECT_FALSE(back->hasGeometry());
  EXPECT_TRUE(back->crs.isUnknown());
}

TEST_F(ColumnCacheTest, CutOrChangedBytesMakeItAbsent) {
  ASSERT_OK(writeCached(sample(), file(), "key"));
  const std::string whole = *readFile(file());
  for (std::size_t kept = 0; kept < whole.size(); kept += 5) {
    put(whole.substr(0, kept));
    ASSERT_FALSE(readCached(file(), "key")) << kept;
  }
  put(whole + "x");
  EXPECT_FALSE(readCached(file(), "key"));
  for (std::size_t at = 0; at < whole.size(); at += 5) {
    std::string changed = whole;
    changed[at] = static_cast<char>(changed[at] ^ 0x41);
    put(changed);
    ASSERT_FALSE(readCached(file(), "key")) << at;
  }
}

TEST_F(ColumnCacheTest, RandomBytesBehindAGoodHeaderDoNoHarm) {
  Random random(3);
  ASSERT_OK(writeCached(sample(), file(), "key"));
  const std::string whole = *readFile(file());
  for (int round = 0; round < 100; ++round) {
    std::string changed = whole;
    for (std::size_t i = random.below(20); i < changed.size(); i += 1 + random.below(60)) changed[i] = static_cast<char>(random());
    put(changed);
    readCached(file(), "key");
    cachedKey(file());
  }
}

}  // namespace
}  // namespace leeward
