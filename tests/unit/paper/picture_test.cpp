// What the map painter and its parts do, read from pictures and from what they report.
#include <fmt/format.h>
#include <gmock/gmock.h>

#include <QImage>
#include <QPainter>

#include "shared/base/random.h"
#include "tests/support/data.h"
#include "tests/unit/paper/kept.h"
#include "tests/unit/paper/town.h"
#include "viewer/draw/label_placer.h"
#include "viewer/draw/map_painter.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/patterns.h"
#include "viewer/draw/prepared_layer.h"
#include "viewer/draw/scale_bar.h"
#include "viewer/draw/themes.h"
#include "viewer/draw/type.h"

namespace leeward::draw {
namespace {

const study::Findings& town() {
  static PaintingApplication application;
  static const study::Findings findings = test::paperTown();
  return findings;
}

TEST(TypeTest, TheTypefaceIsThereWithTabularFigures) {
  town();
  EXPECT_OK(checkTypeface());
}

TEST(MapTest, LabelsNeverMeetEachOtherInAnyTheme) {
  for (const Question question : questions()) {
    const MapTheme theme = forQuestion(question, town());
    const PreparedMap map(theme.picture);
    for (const double scale : {1.0, 2.4}) {
      QImage image(1600, 1150, QImage::Format_RGB32);
      QPainter painter(&image);
      const MapView view = MapView::fit(theme.picture.extent, QRectF(0, 0, 1600, 1150), 20).zoomedAt(QPointF(500, 600), scale);
      const Painted painted = map.paint(painter, view, {2.0});
      painter.end();
      if (std::getenv("LEEWARD_KEEP") != nullptr) {
        image.save(
            QString::fromStdString(test::paperFile(fmt::format("theme{}_{}.png", static_cast<int>(question), scale)).string()));
      }
      EXPECT_GT(painted.label_boxes.size(), 10U);
      EXPECT_EQ(painted.labels_left_out, 0U);
      for (std::size_t a = 0; a < painted.label_boxes.size(); ++a) {
        EXPECT_TRUE(view.frame.contains(painted.label_boxes[a].boundingRect()));
        for (std::size_t b = a + 1; b < painted.label_boxes.size(); ++b) {
          // Qt's own polygon intersection, not the placer's test of its own work.
          const QRectF shared = painted.label_boxes[a].intersected(painted.label_boxes[b]).boundingRect();
          EXPECT_LT(shared.width() * shared.height(), 1e-6) << theme.title.toStdString();
        }
      }
    }
  }
}

TEST(MapTest, QuadsThatOnlyTouchDoNotMeet) {
  const QPolygonF square({{0, 0}, {10, 0}, {10, 10}, {0, 10}});
  const QPolygonF beside = square.translated(10, 0), over = square.translated(9, 5);
  const QPolygonF diamond(
      {{20, 5}, {15, 10}, {10.5, 5}, {15, 0}});  // its box meets the square's neighbour, its sides don't meet the square
  EXPECT_FALSE(quadsMeet(square, beside));
  EXPECT_TRUE(quadsMeet(square, over));
  EXPECT_FALSE(quadsMeet(square, diamond));
  EXPECT_TRUE(quadsMeet(beside, diamond));
}

TEST(MapTest, BlocksNobodyLookedAtAreHatchedInThePicture) {
  const MapTheme theme = forQuestion(Question::BeenAndNotBeen, town());
  const PreparedMap map(theme.picture);
  const Column* states = town().blocks.table.find("state");
  std::size_t checked = 0;
  for (std::size_t row = 0; row < town().blocks.rows() && checked < 4; ++row) {
    if (states->asText(row) != "never") continue;
    const Bbox box = map.rowExtent("blocks", row);
    QImage image(200, 200, QImage::Format_RGB32);
    QPainter painter(&image);
    map.paint(painter, MapView::fit(Bbox{box.min_x + 50, box.min_y + 50, box.max_x - 50, box.max_y - 50}, QRectF(0, 0, 200, 200)),
              {2, false, true});
    painter.end();
    int dark = 0, light = 0;
    for (int y = 60; y < 140; ++y) {
      for (int x = 60; x < 140; ++x) {
        const int grey = qGray(image.pixel(x, y));
        dark += grey < 110 ? 1 : 0;
        light += grey > 230 ? 1 : 0;
      }
    }
    EXPECT_GT(dark, 6400 / 20);
    EXPECT_GT(light, 6400 / 3);
    ++checked;
  }
  EXPECT_EQ(checked, 4U);
}

TEST(MapTest, ThePointUnderAClickFindsItsBlock) {
  const MapTheme theme = forQuestion(Question::BeenAndNotBeen, town());
  const PreparedMap map(theme.picture);
  for (std::size_t row = 0; row < town().blocks.rows(); row += 17) {
    const Point inside = anchorInside(town().blocks.geometry, row);
    EXPECT_EQ(map.rowAt("blocks", inside), row);
  }
  EXPECT_EQ(map.rowAt("blocks", {0, 0}), std::nullopt);
  EXPECT_EQ(map.rowAt("no such layer", {0, 0}), std::nullopt);
}

/// Points drawn by lot over 400 by 300 metres, three signs, in layers of `a_layer` points.
MapPicture scattered(std::vector<Geometries>& kept, std::size_t points, std::size_t a_layer) {
  MapPicture picture;
  picture.ground = QColor(0xF6, 0xF5, 0xF0);
  Random random(7);
  kept.resize((points + a_layer - 1) / a_layer);
  for (Geometries& some : kept) {
    MapLayer layer;
    layer.geometry = &some;
    for (const Symbol symbol : {Symbol::Disc, Symbol::Triangle, Symbol::Ring}) {
      layer.signs.push_back({{}, {QColor(0x9A, 0x3B, 0x1A)}, {QColor(Qt::white), 0.4, false}, {}, symbol, 4});
    }
    layer.signs[2].edge.colour = QColor(0x20, 0x30, 0x60);
    for (std::size_t i = 0; i < a_layer; ++i) {
      some.addPoint({400 * random.uniform(), 300 * random.uniform()});
      layer.sign_of_row.push_back(static_cast<int>(3 * random.uniform()));
    }
    picture.layers.push_back(layer);
  }
  picture.extent = {0, 0, 400, 300};
  return picture;
}

QImage painted(const MapPicture& picture, double device_ratio) {
  QImage image(QSize(800, 600) * device_ratio, QImage::Format_ARGB32_Premultiplied);
  image.setDevicePixelRatio(device_ratio);
  QPainter painter(&image);
  PreparedMap(picture).paint(painter, MapView::fit(picture.extent, QRectF(0, 0, 800, 600)));
  painter.end();
  return image;
}

// Six thousand points are stamped, a thousand at a time are painted as paths: the pictures are alike but for what lies under its like.
TEST(MapTest, VeryManyPointsLookAsIfEachWerePainted) {
  town();
  for (const double ratio : {1.0, 2.0}) {
    std::vector<Geometries> kept, kept_apart;
    const QImage stamped = painted(scattered(kept, 6000, 6000), ratio);
    const QImage single = painted(scattered(kept_apart, 6000, 1000), ratio);
    ASSERT_EQ(stamped.size(), single.size());
    double sum = 0;
    std::size_t strong = 0, inked = 0;
    for (int y = 0; y < single.height(); ++y) {
      for (int x = 0; x < single.width(); ++x) {
        const QColor a = stamped.pixelColor(x, y), b = single.pixelColor(x, y);
        const int apart = std::abs(a.red() - b.red()) + std::abs(a.green() - b.green()) + std::abs(a.blue() - b.blue());
        sum += apart / 3.0;
        strong += apart > 3 * 64;
        inked += b != QColor(0xF6, 0xF5, 0xF0);
      }
    }
    const double pixels = single.width() * single.height();
    EXPECT_GT(static_cast<double>(inked), 0.1 * pixels);
    EXPECT_LT(sum / pixels, 2) << "mean difference of a channel, of 255, at " << ratio;
    EXPECT_LT(static_cast<double>(strong), 0.004 * static_cast<double>(inked)) << "at " << ratio;
    if (std::getenv("LEEWARD_KEEP") != nullptr) stamped.save(QString::fromStdString(test::paperFile(fmt::format("stamps{}.png", ratio)).string()));
  }
}

TEST(MapTest, AnAnchorLiesInsideEvenACrescent) {
  Geometries crescent;
  crescent.addArea(std::vector<Point>{{0, 0}, {10, 0}, {10, 2}, {2, 2}, {2, 8}, {10, 8}, {10, 10}, {0, 10}, {0, 0}});
  const Point anchor = anchorInside(crescent, 0);
  EXPECT_LT(anchor.x, 2);  // by hand: at the centroid's height only 0..2 is inside
  EXPECT_GT(anchor.x, 0);
}

TEST(MapTest, ZoomingKeepsThePlaceUnderThePointer) {
  const MapView view = MapView::fit(Bbox{1000, 2000, 3000, 3500}, QRectF(10, 20, 400, 300));
  const QPointF pointer(70, 250);
  const Point before = view.toWorld(pointer), after = view.zoomedAt(pointer, 3.7).toWorld(pointer);
  EXPECT_NEAR(before.x, after.x, 1e-9);
  EXPECT_NEAR(before.y, after.y, 1e-9);
  EXPECT_NEAR(view.metres_per_unit, 5.0, 1e-12);  // by hand: 2000 m over 400 units, 1500 m over 300
  const QPointF moved = view.pannedBy({12, -7}).toPaper(before);
  EXPECT_NEAR(moved.x(), pointer.x() + 12, 1e-9);
  EXPECT_NEAR(moved.y(), pointer.y() - 7, 1e-9);
}

TEST(PatternTest, HatchesStayInsideTheAreaAndLeaveItsHoleFree) {
  QPainterPath ring;
  ring.setFillRule(Qt::OddEvenFill);
  ring.addRect(0, 0, 100, 100);
  ring.addRect(30, 30, 40, 40);
  for (const Pattern pattern : {Pattern::Hatch, Pattern::Bars, Pattern::CrossHatch, Pattern::Dots}) {
    const PatternMarks marks = patternMarks(ring, pattern, {3, 5}, QRectF(0, 0, 100, 100), 1);
    EXPECT_GT(marks.lines.size() + marks.dots.size(), 20U);
    const QRectF hole = QRectF(30, 30, 40, 40).adjusted(0.01, 0.01, -0.01, -0.01), outer(-0.01, -0.01, 100.02, 100.02);
    for (const QLineF& line : marks.lines) {
      EXPECT_TRUE(outer.contains(line.p1()) && outer.contains(line.p2()));
      EXPECT_FALSE(hole.contains(line.center()));
    }
    for (const QPointF& dot : marks.dots) EXPECT_TRUE(outer.contains(dot) && !hole.contains(dot));
  }
}

// A rule of our own: two states differ by at least 20 in CIELAB as a deuteranope sees them, or by their pattern.
TEST(PaletteTest, StatesAreToldApartWithoutRedGreenSight) {
  const auto& states = study::blockStates();
  for (std::size_t a = 0; a < states.size(); ++a) {
    for (std::size_t b = a + 1; b < states.size(); ++b) {
      const Fill one = stateSign(states[a].key).fill, other = stateSign(states[b].key).fill;
      const double difference = colourDifference(asSeenByDeuteranope(one.colour), asSeenByDeuteranope(other.colour));
      EXPECT_TRUE(difference >= 20 || one.pattern != other.pattern) << states[a].key << " " << states[b].key << " " << difference;
    }
  }
}

TEST(PaletteTest, SequentialClassesDarkenEvenForADeuteranope) {
  for (const auto* scheme : {&brewerPurples(), &brewerBlues()}) {
    for (std::size_t i = 1; i < scheme->size(); ++i) {
      EXPECT_GE(colourDifference(asSeenByDeuteranope((*scheme)[i - 1]), asSeenByDeuteranope((*scheme)[i])), 10);
    }
  }
}

// By hand: white to black is 100, a grey to itself 0.
TEST(PaletteTest, ColourDifferenceIsInLab) {
  EXPECT_NEAR(colourDifference(Qt::white, Qt::black), 100, 0.01);
  EXPECT_NEAR(colourDifference(QColor(90, 90, 90), QColor(90, 90, 90)), 0, 1e-12);
  // Machado et al. 2009: rows sum to one, so greys stay grey.
  EXPECT_LT(colourDifference(asSeenByDeuteranope(QColor(128, 128, 128)), QColor(128, 128, 128)), 0.5);
}

TEST(LegendTest, ClassLimitsRiseAndHoldEveryValue) {
  std::vector<double> values;
  for (int i = 1; i <= 200; ++i) values.push_back(i * i * 0.00137);
  values.push_back(std::numeric_limits<double>::quiet_NaN());
  const ClassLimits limits = roundQuantileClasses(values, 5);
  ASSERT_EQ(limits.upper.size(), 5U);
  EXPECT_EQ(limits.words.size(), 5U);
  for (std::size_t i = 1; i < 5; ++i) EXPECT_GT(limits.upper[i], limits.upper[i - 1]);
  EXPECT_GE(limits.upper.back(), 54.8);
  EXPECT_EQ(limits.classOf(values.back()), -1);
  EXPECT_EQ(limits.classOf(54.8), 4);
  // By hand: the 40th of 200 is 40 * 40 * 0.00137 = 2.192, two digits upwards 2.2.
  EXPECT_NEAR(limits.upper.front(), 2.2, 1e-12);
  EXPECT_EQ(limits.words.front(), QStringLiteral("up to 2.2"));
}

TEST(LegendTest, EqualValuesMakeOneClassAndNoneMakesNone) {
  EXPECT_EQ(roundQuantileClasses({3, 3, 3, 3}, 5).upper.size(), 1U);
  EXPECT_TRUE(roundQuantileClasses({}, 5).upper.empty());
}

TEST(LegendTest, CountsInTheCoverageLegendSumToTheBlocks) {
  const MapTheme theme = forQuestion(Question::BeenAndNotBeen, town());
  std::int64_t sum = 0;
  for (const LegendEntry& entry : theme.legend.groups.front().entries) sum += entry.amount.toLongLong();
  EXPECT_EQ(sum, static_cast<std::int64_t>(town().blocks.rows()));
}

// International foot 0.3048 m and mile 1609.344 m (exact, 1959); lengths by hand.
TEST(ScaleBarTest, LengthsAreRoundInBothSystems) {
  EXPECT_EQ(roundMetric(734).words, QStringLiteral("500 m"));
  EXPECT_EQ(roundMetric(200).words, QStringLiteral("200 m"));
  EXPECT_EQ(roundMetric(1999).words, QStringLiteral("1 km"));
  EXPECT_EQ(roundMetric(52'000).words, QStringLiteral("50 km"));
  EXPECT_EQ(roundFeetOrMiles(400).words, QStringLiteral("1,000 ft"));
  EXPECT_NEAR(roundFeetOrMiles(400).metres, 304.8, 1e-9);
  EXPECT_EQ(roundFeetOrMiles(900).words, QStringLiteral("1/2 mi"));
  EXPECT_NEAR(roundFeetOrMiles(900).metres, 804.672, 1e-9);
  EXPECT_EQ(roundFeetOrMiles(3500).words, QStringLiteral("2 mi"));
}

}  // namespace
}  // namespace leeward::draw
