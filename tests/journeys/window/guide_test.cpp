// The guide's pictures are what the window shows: each is made anew and held against the one in the guide.
// LEEWARD_MAKE_GUIDE=1 writes them; `mogrify +dither -colors 200 *.png` then makes them a third as large.
#include <QImage>
#include <algorithm>
#include <cstdlib>

#include "tests/journeys/window/window_test.h"
#include "viewer/window/pages.h"

namespace leeward::test {
namespace {

using GuideTest = WindowTest;

/// Mean difference of the channels at a size at which letters are grey: 0 .. 255.
double difference(const QImage& a, const QImage& b) {
  const QImage one = a.convertToFormat(QImage::Format_RGB32).scaled(160, 100, Qt::IgnoreAspectRatio, Qt::SmoothTransformation);
  const QImage other = b.convertToFormat(QImage::Format_RGB32).scaled(160, 100, Qt::IgnoreAspectRatio, Qt::SmoothTransformation);
  double sum = 0;
  for (int y = 0; y < 100; ++y) {
    for (int x = 0; x < 160; ++x) {
      const QColor p = one.pixelColor(x, y), q = other.pixelColor(x, y);
      sum += std::abs(p.red() - q.red()) + std::abs(p.green() - q.green()) + std::abs(p.blue() - q.blue());
    }
  }
  return sum / (3.0 * 160 * 100);
}

TEST_F(GuideTest, EveryPageLooksAsTheGuideShowsIt) {
  constexpr double kAlike = 6;  ///< of 255: another page, another look or a list that is missing differ by 15 and more
  const auto folder = sourceFolder() / "viewer" / "window" / "guide";
  const auto guide = readFile(sourceFolder() / "viewer" / "window" / "GUIDE.md");
  ASSERT_OK(guide);
  window_.resize(1280, 800);
  ASSERT_TRUE(settled());
  map().showWhole();
  for (const auto& kind : window::pageKinds()) {
    window_.chooseQuestion(QString::fromLatin1(kind.key));
    ASSERT_TRUE(settled());
    QTest::qWait(100);
    ASSERT_TRUE(settled());
    const QImage now = window_.grab().toImage();
    const QString file = QString::fromStdString((folder / (std::string(kind.key) + ".png")).string());
    EXPECT_NE(guide->find("guide/" + std::string(kind.key) + ".png"), std::string::npos) << kind.key << " has no place in the guide";
    if (qEnvironmentVariableIsSet("LEEWARD_MAKE_GUIDE")) {
      ASSERT_TRUE(now.save(file, "PNG"));
      continue;
    }
    const QImage shown(file);
    ASSERT_FALSE(shown.isNull()) << file.toStdString();
    EXPECT_LT(difference(now, shown), kAlike) << kind.key << ": make the guide's pictures anew with LEEWARD_MAKE_GUIDE=1 and look at them";
  }
}

}  // namespace
}  // namespace leeward::test
