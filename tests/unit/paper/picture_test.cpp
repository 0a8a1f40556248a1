// What the map painter does, read from pictures and from what it reports.
#include <gtest/gtest.h>

#include <QImage>
#include <QPainter>
#include <cstdlib>

#include "tests/support/data.h"
#include "tests/unit/paper/town.h"
#include "viewer/draw/map_painter.h"
#include "viewer/draw/themes.h"
#include "viewer/draw/type.h"

namespace leeward::draw {
namespace {

/// Pictures are kept for looking at when LEEWARD_KEEP names a folder.
void keep(const QImage& image, const std::string& name) {
  if (const char* folder = std::getenv("LEEWARD_KEEP")) image.save(QString::fromStdString(std::string(folder) + "/" + name + ".png"));
}

struct PictureTest : testing::Test {
  static void SetUpTestSuite() {
    static PaintingApplication application;
    static const study::Findings town = test::paperTown();
    findings = &town;
  }
  static const study::Findings* findings;
};
const study::Findings* PictureTest::findings = nullptr;

TEST_F(PictureTest, LabelsNeverMeetEachOtherInAnyTheme) {
  for (const Question question : questions()) {
    const MapTheme theme = forQuestion(question, *findings);
    const PreparedMap map(theme.picture);
    QImage image(1600, 1150, QImage::Format_RGB32);
    image.fill(Qt::white);
    QPainter painter(&image);
    const MapView view = MapView::fit(theme.picture.extent, QRectF(0, 0, 1600, 1150), 20);
    const Painted painted = map.paint(painter, view, {2.0});
    painter.end();
    keep(image, "theme" + std::to_string(static_cast<int>(question)));
    EXPECT_GT(painted.label_boxes.size(), 10U) << theme.title.toStdString();
    EXPECT_EQ(painted.labels_left_out, 0U) << theme.title.toStdString();
  }
}

}  // namespace
}  // namespace leeward::draw
