// The team's own picture of the ground: read from a file written here byte by byte (TIFF 6.0; OGC GeoTIFF 1.1 for the keys), and painted beneath a map.
#include <gtest/gtest.h>

#include <QImage>
#include <QPainter>
#include <bit>
#include <cstring>

#include "shared/base/files.h"
#include "tests/support/data.h"
#include "tests/unit/paper/kept.h"
#include "tests/unit/paper/town.h"
#include "viewer/draw/map_painter.h"
#include "viewer/draw/themes.h"
#include "viewer/draw/type.h"

namespace leeward::draw {
namespace {

template <class Number>
void put(std::string& bytes, Number number) {
  static_assert(std::endian::native == std::endian::little);
  char raw[sizeof number];
  std::memcpy(raw, &number, sizeof number);
  bytes.append(raw, sizeof number);
}

/// A TIFF of `samples` eight-bit values a pixel (or sixteen-bit ones, where `bits` says so), all 0 but for what `pixels` holds.
std::string tiff(std::uint32_t width, std::uint32_t height, const std::string& pixels, std::uint16_t samples, bool placed, std::uint16_t bits = 8) {
  struct Tag {
    std::uint16_t id, type;
    std::uint32_t count;
    std::string value;
  };
  const auto numbers = [](auto... values) {
    std::string bytes;
    (put(bytes, values), ...);
    return bytes;
  };
  using Short = std::uint16_t;
  std::string depth;
  for (int i = 0; i < samples; ++i) put(depth, bits);
  std::vector<Tag> tags = {{256, 4, 1, numbers(width)}, {257, 4, 1, numbers(height)}, {258, 3, samples, depth}, {259, 3, 1, numbers(Short{1})}, {262, 3, 1, numbers(Short(samples >= 3 ? 2 : 1))},
                           {273, 4, 1, ""}, {277, 3, 1, numbers(samples)}, {278, 4, 1, numbers(height)}, {279, 4, 1, numbers(static_cast<std::uint32_t>(pixels.size()))}};
  if (placed) {
    tags.push_back({33550, 12, 3, numbers(0.01, 0.005, 0.0)});                          // degrees a pixel
    tags.push_back({33922, 12, 6, numbers(0.0, 0.0, 0.0, -30.0, 41.0, 0.0)});            // the corner of the first
    tags.push_back({34735, 3, 16, numbers(Short{1}, Short{1}, Short{0}, Short{3}, Short{1024}, Short{0}, Short{1}, Short{2}, Short{1025}, Short{0}, Short{1}, Short{1}, Short{2048}, Short{0}, Short{1}, Short{4326})});
  }
  const std::size_t start = 8 + 2 + 12 * tags.size() + 4;
  std::string values, file = "II";
  for (const auto& tag : tags) values += tag.value.size() > 4 ? tag.value : "";
  put(file, Short{42}), put(file, std::uint32_t{8}), put(file, static_cast<Short>(tags.size()));
  std::size_t at = start;
  for (auto& tag : tags) {
    if (tag.id == 273) tag.value = numbers(static_cast<std::uint32_t>(start + values.size()));
    put(file, tag.id), put(file, tag.type), put(file, tag.count);
    if (tag.value.size() > 4) put(file, static_cast<std::uint32_t>(at)), at += tag.value.size();
    else file += tag.value + std::string(4 - tag.value.size(), '\0');
  }
  put(file, std::uint32_t{0});
  return file + values + pixels;
}

class GroundTest : public testing::Test {
 protected:
  Result<GroundPicture> read(const std::string& bytes, std::size_t longest = 100) {
    const auto file = folder_.path() / "ground.tif";
    EXPECT_OK(writeFile(file, bytes));
    Progress progress;
    return readGround(file, longest, progress);
  }
  TemporaryFolder folder_;
};

TEST_F(GroundTest, ColoursAndPlaceAreThoseOfTheFile) {
  const auto ground = read(tiff(2, 2, std::string("\xFF\x00\x00" "\x00\xFF\x00" "\x00\x00\xFF" "\x0A\x14\x1E", 12), 3, true));
  ASSERT_OK(ground);
  EXPECT_EQ(ground->argb, (std::vector<std::uint32_t>{0xFFFF0000, 0xFF00FF00, 0xFF0000FF, 0xFF0A141E}));
  EXPECT_EQ(ground->left, -30);
  EXPECT_EQ(ground->top, 41);
  EXPECT_EQ(ground->cell_x, 0.01);
  EXPECT_EQ(ground->cell_y, 0.005);
  EXPECT_TRUE(ground->crs.isGeographic());
}

TEST_F(GroundTest, ALargePictureIsTheMeanOfWhatItsPixelsStandFor) {
  const auto ground = read(tiff(4, 2, std::string("\x00\x64\x0A\x0A" "\x64\x00\x0A\x0A", 8), 1, true), 2);
  ASSERT_OK(ground);
  ASSERT_EQ(ground->columns, 2U);
  ASSERT_EQ(ground->rows, 1U);
  EXPECT_EQ(ground->argb, (std::vector<std::uint32_t>{0xFF323232, 0xFF0A0A0A}));
  EXPECT_EQ(ground->cell_x, 0.02);
}

TEST_F(GroundTest, WhatCantLieBeneathAMapIsRefusedWithTheReason) {
  const std::string four(4, '\x10');
  for (const auto& [bytes, words] : {std::pair(tiff(2, 2, four, 1, false), "where it lies"), std::pair(tiff(2, 1, four, 1, true, 16), "eight bits"), std::pair(std::string("no picture"), "")}) {
    const auto ground = read(bytes);
    ASSERT_FALSE(ground.ok());
    EXPECT_NE(ground.problem().text().find(words), std::string::npos) << ground.problem().text();
  }
}

TEST_F(GroundTest, ItLiesInGreyBeneathTheFillsAndBeyondThem) {
  static PaintingApplication application;
  study::Findings findings = test::paperTown();
  const MapTheme without = forQuestion(Question::BeenAndNotBeen, findings);
  const Bbox box = without.picture.extent.grownBy(2000);
  // Red: to be seen as grey alone.
  findings.ground = GroundPicture{1, 1, box.min_x, box.max_y, box.width(), box.height(), findings.crs, {0xFFFF0000}};
  const MapTheme with = forQuestion(Question::BeenAndNotBeen, findings);
  const auto painted = [](const MapTheme& theme) {
    QImage image(500, 400, QImage::Format_RGB32);
    QPainter painter(&image);
    PreparedMap(theme.picture).paint(painter, MapView::fit(theme.picture.extent, QRectF(0, 0, 500, 400), 20), {1.0});
    painter.end();
    return image;
  };
  const QImage plain = painted(without), grounded = painted(with);
  const QColor corner = grounded.pixelColor(2, 2);
  EXPECT_EQ(corner.red(), corner.blue()) << "grey beyond the town";
  EXPECT_NE(corner, plain.pixelColor(2, 2));
  int changed = 0;
  for (int x = 100; x < 400; ++x) changed += plain.pixelColor(x, 200) != grounded.pixelColor(x, 200) ? 1 : 0;
  EXPECT_GT(changed, 150) << "it shows through the fills";
  EXPECT_EQ(with.legend.groups.size(), without.legend.groups.size());
}

}  // namespace
}  // namespace leeward::draw
