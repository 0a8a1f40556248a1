/// How long the map takes on a metropolitan study: 25,600 blocks of 20 corners that share their edges, 51,000 streets with names, 500,000
/// sightings, one million doors; prepared, painted whole at 1920 x 1080, painted near, and the last picture moved and scaled.
///   leeward-map-bench [--picture PREFIX] [--json blocks.geojson]
/// `--json` writes the blocks with their class, for drawing the same with another library (tests/bench/draw-blocks.R).
#include <QGuiApplication>
#include <QPainter>
#include <algorithm>
#include <chrono>
#include <cmath>
#include <fstream>
#include <iostream>
#include <memory>
#include <string_view>

#include "shared/base/random.h"
#include "viewer/draw/map_painter.h"
#include "viewer/draw/palette.h"

using namespace leeward;

namespace {

constexpr std::size_t kSide = 160;       ///< blocks along a side
constexpr double kBlockM = 110;          ///< metres
constexpr std::size_t kEdgePieces = 5;   ///< of each edge of a block

/// A crooked lattice: the corners of blocks, and the bends of the edges between.
class Lattice {
 public:
  Lattice() {
    Random random(20261201);
    const auto shifted = [&](double x, double y, double by) {
      return Point{x + by * (random.uniform() - 0.5), y + by * (random.uniform() - 0.5)};
    };
    for (std::size_t r = 0; r <= kSide; ++r) {
      for (std::size_t c = 0; c <= kSide; ++c) corners_.push_back(shifted(double(c) * kBlockM, double(r) * kBlockM, 0.3 * kBlockM));
    }
    for (int upright = 0; upright < 2; ++upright) {
      for (std::size_t i = 0; i < corners_.size(); ++i) {
        const std::size_t next = i + (upright ? kSide + 1 : 1);
        for (std::size_t k = 1; k < kEdgePieces; ++k) {
          const double t = double(k) / kEdgePieces;
          const Point a = corners_[i], b = corners_[std::min(next, corners_.size() - 1)];
          bends_.push_back(shifted(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y), 0.08 * kBlockM));
        }
      }
    }
  }
  /// The vertices of the edge that leaves corner (row, column), its end included.
  std::vector<Point> edge(std::size_t row, std::size_t column, bool upright) const {
    const std::size_t i = row * (kSide + 1) + column;
    std::vector<Point> line = {corners_[i]};
    const std::size_t first = ((upright ? corners_.size() : 0) + i) * (kEdgePieces - 1);
    for (std::size_t k = 0; k + 1 < kEdgePieces; ++k) line.push_back(bends_[first + k]);
    line.push_back(corners_[i + (upright ? kSide + 1 : 1)]);
    return line;
  }

 private:
  std::vector<Point> corners_, bends_;
};

Geometries blocksOf(const Lattice& lattice) {
  Geometries blocks;
  for (std::size_t r = 0; r < kSide; ++r) {
    for (std::size_t c = 0; c < kSide; ++c) {
      std::vector<Point> ring = lattice.edge(r, c, false);
      const auto go = [&](std::vector<Point> line, bool back) {
        if (back) std::reverse(line.begin(), line.end());
        ring.insert(ring.end(), line.begin() + 1, line.end());
      };
      go(lattice.edge(r, c + 1, true), false);
      go(lattice.edge(r + 1, c, false), true);
      go(lattice.edge(r, c, true), true);
      blocks.addArea(ring);
    }
  }
  return blocks;
}

Geometries streetsOf(const Lattice& lattice, std::vector<QString>& names) {
  Geometries streets;
  for (int upright = 0; upright < 2; ++upright) {
    for (std::size_t line = 0; line <= kSide; ++line) {
      for (std::size_t k = 0; k < kSide; ++k) {
        streets.addLine(lattice.edge(upright ? k : line, upright ? line : k, upright != 0));
        names.push_back(QStringLiteral("%1 %2").arg(line + 1).arg(upright ? QStringLiteral("Ave") : QStringLiteral("St")));
      }
    }
  }
  return streets;
}

Geometries scattered(std::size_t count, std::uint64_t seed) {
  Random random(seed);
  Geometries points;
  points.reserve(count, count);
  for (std::size_t i = 0; i < count; ++i) points.addPoint({random.uniform() * kSide * kBlockM, random.uniform() * kSide * kBlockM});
  return points;
}

struct City {
  Geometries blocks, streets, sightings, doors;
  std::vector<QString> names;
  draw::MapPicture picture;
};

City makeCity() {
  const Lattice lattice;
  City city;
  city.blocks = blocksOf(lattice);
  city.streets = streetsOf(lattice, city.names);
  city.sightings = scattered(500'000, 2);
  city.doors = scattered(1'000'000, 3);
  return city;
}

draw::MapLayer blockLayer(const City& city) {
  draw::MapLayer layer;
  layer.name = "blocks";
  layer.geometry = &city.blocks;
  const draw::Stroke edge{QColor(0x8A, 0x8A, 0x82), 0.4, false};
  for (const char* colour : {"#ffffff", "#dadaeb", "#bcbddc", "#9e9ac8", "#6a51a3"}) layer.signs.push_back({{}, {QColor(colour)}, edge, {}, {}, 0});
  layer.signs[0].fill.pattern = draw::Pattern::Hatch;
  layer.signs[0].fill.ink = QColor(0x8A, 0x8A, 0x82);
  Random random(4);
  for (std::size_t i = 0; i < city.blocks.size(); ++i) layer.sign_of_row.push_back(static_cast<int>(random.uniform() * 5));
  return layer;
}

void layPicture(City& city, bool with_sightings) {
  city.picture = {};
  city.picture.ground = QColor(0xF6, 0xF5, 0xF0);
  city.picture.extent = city.blocks.bbox();
  city.picture.layers.push_back(blockLayer(city));
  draw::MapLayer streets;
  streets.name = "streets";
  streets.geometry = &city.streets;
  streets.signs = {{{}, {}, {QColor(0xB0, 0xAE, 0xA6), 0.6, false}, {}, {}, 0}};
  streets.coarsest_m_per_pt = 12;
  streets.label_kind = draw::LabelKind::Street;
  streets.labels = city.names;
  streets.label_coarsest_m_per_pt = 6;
  city.picture.layers.push_back(streets);
  draw::MapLayer doors;
  doors.name = "premises";
  doors.geometry = &city.doors;
  doors.signs = {{{}, {QColor(0x55, 0x55, 0x50)}, {}, {}, draw::Symbol::Disc, 1.6}};
  doors.coarsest_m_per_pt = 1.5;
  city.picture.layers.push_back(doors);
  if (!with_sightings) return;
  draw::MapLayer sightings;
  sightings.name = "sightings";
  sightings.geometry = &city.sightings;
  sightings.signs = {{{}, {draw::kAccent}, {QColor(Qt::white), 0.4, false}, {}, draw::Symbol::Disc, 4}};
  city.picture.layers.push_back(sightings);
}

/// Blocks with their class as GeoJSON (metres, no CRS said), for drawing the same elsewhere.
void writeBlocks(const City& city, const char* file) {
  std::ofstream out(file);
  out << R"({"type":"FeatureCollection","features":[)";
  const std::vector<int>& classes = city.picture.layers.front().sign_of_row;
  for (std::size_t i = 0; i < city.blocks.size(); ++i) {
    out << (i > 0 ? ",\n" : "\n") << R"({"type":"Feature","properties":{"class":)" << classes[i] << R"(},"geometry":{"type":"Polygon","coordinates":[[)";
    const auto ring = city.blocks.path(i, 0);
    for (std::size_t k = 0; k < ring.size(); ++k) out << (k > 0 ? "," : "") << '[' << ring[k].x << ',' << ring[k].y << ']';
    out << "]]}}";
  }
  out << "\n]}\n";
}

template <class Work>
double bestOf(int times, Work work) {
  double best = 1e9;
  for (int i = 0; i < times; ++i) {
    const auto start = std::chrono::steady_clock::now();
    work();
    best = std::min(best, std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count());
  }
  return best;
}

/// The whole, and nearer and nearer to its middle.
void paintViews(const draw::PreparedMap& map, QImage& image, const char* picture) {
  const draw::MapView whole = draw::MapView::fit(map.extent(), QRectF(image.rect()), 24);
  for (const double nearer : {1.0, 2.0, 6.0, 20.0, 80.0}) {
    const draw::MapView view = whole.zoomedAt(QRectF(image.rect()).center(), nearer);
    std::cout << "  " << view.metres_per_unit << " m a pixel: " << bestOf(3, [&] {
      QPainter painter(&image);
      map.paint(painter, view, {1.25, true, true});
    }) << " ms\n";
    if (picture != nullptr) image.save(QStringLiteral("%1-%2.png").arg(QString::fromLocal8Bit(picture)).arg(nearer));
  }
}

}  // namespace

int main(int argc, char** argv) {
  qputenv("QT_QPA_PLATFORM", "offscreen");
  const QGuiApplication app(argc, argv);
  const auto option = [&](const char* name) {
    for (int i = 1; i + 1 < argc; ++i) {
      if (std::string_view(argv[i]) == name) return static_cast<const char*>(argv[i + 1]);
    }
    return static_cast<const char*>(nullptr);
  };
  City city = makeCity();
  QImage image(QSize(1920, 1080), QImage::Format_ARGB32_Premultiplied);
  for (const bool with_sightings : {false, true}) {
    layPicture(city, with_sightings);
    std::unique_ptr<draw::PreparedMap> map;
    std::cout << (with_sightings ? "blocks, streets and 500,000 sightings" : "blocks and streets") << ", prepared in "
              << bestOf(1, [&] { map = std::make_unique<draw::PreparedMap>(city.picture); }) << " ms\n";
    paintViews(*map, image, with_sightings ? option("--picture") : nullptr);
  }
  if (const char* file = option("--json")) writeBlocks(city, file);
  const QImage last = image.copy();
  std::cout << "the last picture moved: " << bestOf(20, [&] {
    QPainter painter(&image);
    painter.drawImage(QPointF(13, 7), last);
  }) << " ms; scaled by 1.25: " << bestOf(20, [&] {
    QPainter painter(&image);
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    painter.drawImage(QRectF(-200, -130, 2400, 1350), last, QRectF(0, 0, 1920, 1080));
  }) << " ms\n";
  return 0;
}
