// Seeded leaks of every kind in every format are found; their clean twins pass.
#include <functional>

#include <fmt/format.h>

#include <QImage>
#include <QPainter>
#include <QPainterPath>
#include <gtest/gtest.h>
#include <sqlite3.h>

#include "shared/base/files.h"
#include "shared/layer/layer.h"
#include "tests/support/data.h"
#include "tests/support/picture.h"
#include "viewer/draw/type.h"
#include "viewer/sheets/paper.h"
#include "viewer/sheets/pdf_marks.h"
#include "viewer/sheets/pdf_pieces.h"
#include "viewer/sheets/workbook.h"
#include "viewer/study/hand_over/leak_check.h"

namespace leeward {
namespace {

namespace fs = std::filesystem;
using analysis::LeakKind;

const Point kHome{-37.171529, 41.518792}, kElsewhere{-37.165000, 41.512345};

analysis::PrivateFacts facts() {
  analysis::PrivateFacts facts;
  facts.homes = {{"1204", "N Ambleforth Ave"}};
  facts.names = {"Ida Quillfeather"};
  facts.phones = {"(610) 555-0142"};
  facts.lon_lat = {kHome};
  return facts;
}

struct Seed {
  LeakKind kind;
  std::string leak, clean;
};
const std::vector<Seed>& seeds() {
  static const std::vector<Seed> all = {{LeakKind::Address, "1204 North Ambleforth Avenue", "1206 North Ambleforth Avenue"},
                                        {LeakKind::Phone, "610-555-0142", "610-555-0143"},
                                        {LeakKind::Name, "Ida Quillfeather", "Ida Underbridge"},
                                        {LeakKind::Position, "-37.171529, 41.518792", "-37.165000, 41.512345"}};
  return all;
}

class LeakFormats : public testing::Test {
 protected:
  /// Writes the words into a file of a format, and looks whether they are found (or, clean, not).
  using Write = std::function<void(const fs::path& file, const std::string& words)>;
  void expectFound(const std::string& name, const Write& write) {
    for (const Seed& seed : seeds()) {
      const fs::path leaky = folder_.path() / ("leaky-" + name), clean = folder_.path() / ("clean-" + name);
      write(leaky, seed.leak), write(clean, seed.clean);
      const auto found = check(leaky);
      ASSERT_FALSE(found.leaks.empty()) << name << ": " << seed.leak;
      EXPECT_EQ(found.leaks.front().what, leakWords(seed.kind)) << name;
      EXPECT_EQ(found.leaks.front().file, leaky.filename().string());
      const auto none = check(clean);
      EXPECT_TRUE(none.leaks.empty()) << name << ": " << seed.clean << ": " << (none.leaks.empty() ? "" : none.leaks.front().text());
    }
  }
  study::LeakReport check(const fs::path& file) {
    auto report = study::checkForLeaks({file}, facts(), sheets::pdfPieces, silent_);
    EXPECT_OK(report);
    return report.ok() ? *report : study::LeakReport{};
  }
  static void text(const fs::path& file, const std::string& content) { EXPECT_OK(writeFile(file, content)); }
  TemporaryFolder folder_;
  Progress silent_;
};

TEST_F(LeakFormats, PlainTextAndTables) {
  expectFound("a.txt", [](const fs::path& file, const std::string& words) { text(file, "Figures\n" + words + "\n"); });
  expectFound("a.csv", [](const fs::path& file, const std::string& words) { text(file, "area,note\n1,\"" + words + "\"\n"); });
  expectFound("two-bytes.txt", [](const fs::path& file, const std::string& words) {
    std::string wide("\xFF\xFE", 2);
    for (const char c : words) wide += c, wide += '\0';
    text(file, wide);
  });
}

TEST_F(LeakFormats, MarkupWithItsTagsAndEntities) {
  expectFound("a.html", [](const fs::path& file, const std::string& words) { text(file, "<html><body><p>" + words.substr(0, 6) + "<b>" + words.substr(6) + "</b></p></body></html>"); });
  expectFound("a.svg", [](const fs::path& file, const std::string& words) { text(file, "<svg><!-- " + words + " --><text>hello</text></svg>"); });
  expectFound("entities.svg", [](const fs::path& file, const std::string& words) {
    std::string coded;
    for (const char c : words) coded += "&#" + std::to_string(static_cast<int>(c)) + ";";
    text(file, "<svg><text>" + coded + "</text></svg>");
  });
  expectFound("a.gpx", [](const fs::path& file, const std::string& words) { text(file, "<?xml version=\"1.0\"?><gpx><wpt lat=\"1\" lon=\"2\"><name>" + words + "</name></wpt></gpx>"); });
  expectFound("embedded.html", [](const fs::path& file, const std::string& words) {
    const QByteArray coded = QByteArray::fromStdString(words).toBase64();
    text(file, "<img src=\"data:text/plain;base64," + coded.toStdString() + "\">");
  });
}

TEST_F(LeakFormats, JsonAndCalendars) {
  expectFound("a.geojson", [](const fs::path& file, const std::string& words) { text(file, R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"n":")" + words + R"("}}]})"); });
  expectFound("escaped.json", [](const fs::path& file, const std::string& words) {
    std::string coded;
    for (const char c : words) coded += fmt::format("\\u{:04x}", static_cast<int>(c));
    text(file, "{\"n\":\"" + coded + "\"}");
  });
  expectFound("a.ics", [](const fs::path& file, const std::string& words) { text(file, "BEGIN:VEVENT\r\nSUMMARY:Visit " + words.substr(0, 7) + "\r\n " + words.substr(7) + "\r\nEND:VEVENT\r\n"); });
}

TEST_F(LeakFormats, Workbooks) {
  expectFound("a.xlsx", [this](const fs::path& file, const std::string& words) {
    Table table;
    table.add(Column::text("note", {"nothing", words}));
    EXPECT_OK(sheets::writeTableWorkbook(table, "rows", file, false, silent_));
  });
}

TEST_F(LeakFormats, GeoPackagesByWordsAndByShape) {
  expectFound("a.gpkg", [this](const fs::path& file, const std::string& words) {
    Layer layer;
    layer.name = "rows", layer.crs = Crs::wgs84();
    layer.geometry.addPoint({-37.1, 41.4});
    layer.table.add(Column::text("note", {words}));
    EXPECT_OK(writeLayer(layer, file, silent_));
  });
  for (const Point at : {kHome, kElsewhere}) {
    Layer layer;
    layer.name = "rows", layer.crs = Crs::wgs84();
    layer.geometry.addPoint(at);
    layer.table.add(Column::text("note", {"x"}));
    const fs::path file = folder_.path() / "shape.gpkg";
    EXPECT_OK(writeLayer(layer, file, silent_));
    EXPECT_EQ(check(file).leaks.empty(), at == kElsewhere);
  }
}

void run(sqlite3* database, const std::string& sql) { ASSERT_EQ(sqlite3_exec(database, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK) << sql; }

TEST_F(LeakFormats, FreePagesOfADatabase) {
  expectFound("free.sqlite", [](const fs::path& file, const std::string& words) {
    fs::remove(file);
    sqlite3* database = nullptr;
    ASSERT_EQ(sqlite3_open(file.c_str(), &database), SQLITE_OK);
    run(database, "PRAGMA secure_delete=OFF; CREATE TABLE t (words TEXT, filler TEXT)");
    for (int i = 0; i < 50; ++i) run(database, "INSERT INTO t VALUES ('" + words + "', hex(zeroblob(200)))");
    run(database, "DROP TABLE t");
    sqlite3_close(database);
  });
}

TEST_F(LeakFormats, PicturesByTheirMetadata) {
  expectFound("a.png", [](const fs::path& file, const std::string& words) {
    QImage image(8, 8, QImage::Format_RGB32);
    image.fill(Qt::white);
    image.setText("Comment", QString::fromStdString(words));
    ASSERT_TRUE(image.save(QString::fromStdString(file.string())));
  });
  expectFound("long.png", [](const fs::path& file, const std::string& words) {  // long texts are packed
    QImage image(8, 8, QImage::Format_RGB32);
    image.fill(Qt::white);
    image.setText("Comment", QString::fromStdString(std::string(3000, '.') + " " + words));
    ASSERT_TRUE(image.save(QString::fromStdString(file.string())));
  });
  expectFound("a.jpg", [](const fs::path& file, const std::string& words) {
    std::string bytes("\xFF\xD8\xFF\xFE", 4);
    bytes += static_cast<char>(0), bytes += static_cast<char>(words.size() + 2), bytes += words;
    text(file, bytes + std::string("\xFF\xDA\0\2\xFF\xD9", 6));
  });
  const test::ExifPlace home{{41, 31, 765}, {37, 10, 1750}}, elsewhere{{41, 30, 4444}, {37, 9, 5400}};
  for (const auto& [place, leaks] : {std::pair(home, true), std::pair(elsewhere, false)}) {
    const std::string block = test::exifBlock("2025:03:04 14:05:33", place);
    text(folder_.path() / "photo.jpg", test::withExif(std::string("\xFF\xD8\xFF\xDA\0\2\xFF\xD9", 8), block));
    EXPECT_EQ(!check(folder_.path() / "photo.jpg").leaks.empty(), leaks);
    text(folder_.path() / "photo.tif", block.substr(6));
    EXPECT_EQ(!check(folder_.path() / "photo.tif").leaks.empty(), leaks);
  }
}

TEST_F(LeakFormats, Pdf) {
  const draw::PaintingApplication application;
  const auto write = [this](const fs::path& file, const std::string& on_page, const std::string& title) {
    const auto paint = [&](QPainter& painter, bool) { draw::drawLine(painter, {40, 100}, QString::fromStdString(on_page), draw::kBodyStrong, Qt::black); };
    EXPECT_OK(sheets::writePages(file, sheets::portrait(sheets::PaperSize::A4), {QString::fromStdString(title), Date{20000}}, {paint}, silent_));
  };
  expectFound("text.pdf", [&](const fs::path& file, const std::string& words) { write(file, words, "Figures"); });
  expectFound("title.pdf", [&](const fs::path& file, const std::string& words) { write(file, "Figures", words); });
}

/// Words painted as outlines, as names on maps are: neither their round letters nor the dots of an i are marks.
TEST_F(LeakFormats, LettersOfNamesOnAMapAreNoMarks) {
  const draw::PaintingApplication application;
  const fs::path file = folder_.path() / "names.pdf";
  const auto paint = [](QPainter& painter, bool) {
    QPainterPath name;
    name.addText(QPointF(200, 200), QFont(QStringLiteral("Open Sans"), 8), QStringLiteral("Tolverwick Pond, indoors"));
    painter.setPen(Qt::NoPen), painter.setBrush(Qt::black), painter.drawPath(name);
  };
  EXPECT_OK(sheets::writePages(file, sheets::landscape(sheets::PaperSize::A4), {QStringLiteral("Map"), Date{20000}}, {paint}, silent_));
  EXPECT_TRUE(sheets::marksOnPages(*readFile(file)).empty());
}

/// A page with a map on it, and one mark where a place lies.
using Mark = std::function<void(QPainter& painter, QPointF at)>;

TEST_F(LeakFormats, MarksDrawnOnAMapOfAPdf) {
  const draw::PaintingApplication application;
  auto frame_of = Crs::parse("EPSG:32626");
  ASSERT_OK(frame_of);
  const auto to_frame = Transform::between(Crs::wgs84(), *frame_of);
  ASSERT_OK(to_frame);
  const Point home = (*to_frame)(kHome), elsewhere = (*to_frame)(kElsewhere);
  Bbox extent;
  extent.add(Point{home.x - 2000, home.y - 2000}), extent.add(Point{home.x + 2500, home.y + 1500});
  const sheets::MapOnPage map{.view = draw::MapView::fit(extent, QRectF(30, 60, 500, 400), 10), .frame = *frame_of};
  const auto in_black = [](QPainter& painter) { painter.setPen(Qt::NoPen), painter.setBrush(Qt::black); };
  const std::vector<std::pair<const char*, Mark>> marks = {
      {"disc", [&](QPainter& painter, QPointF at) { in_black(painter), painter.drawEllipse(at, 2, 2); }},
      {"square", [&](QPainter& painter, QPointF at) { in_black(painter), painter.drawRect(QRectF(at.x() - 2, at.y() - 2, 4, 4)); }},
      {"diamond", [&](QPainter& painter, QPointF at) { in_black(painter), painter.drawPolygon(QPolygonF({at + QPointF(0, -3), at + QPointF(3, 0), at + QPointF(0, 3), at + QPointF(-3, 0)})); }},
      {"ring", [](QPainter& painter, QPointF at) { painter.setPen(QPen(Qt::black, 0.7)), painter.setBrush(Qt::NoBrush), painter.drawEllipse(at, 4, 4); }},
      {"two discs of one path", [&](QPainter& painter, QPointF at) {
         in_black(painter);
         QPainterPath both;
         both.addEllipse(at, 2, 2), both.addEllipse(at + QPointF(90, 0), 3, 3);
         painter.drawPath(both);
       }},
      {"moved", [&](QPainter& painter, QPointF at) { in_black(painter), painter.translate(at), painter.scale(0.5, 0.5), painter.drawEllipse(QPointF(0, 0), 4, 4); }}};
  for (const auto& [name, mark] : marks) {
    for (const Point place : {home, elsewhere}) {
      const fs::path file = folder_.path() / (std::string(name) + ".pdf");
      const auto paint = [&, &draw_mark = mark](QPainter& painter, bool) {
        painter.setPen(Qt::black);
        painter.drawLine(map.view.toPaper({home.x - 900, home.y}), map.view.toPaper({home.x + 900, home.y}));  // a street past the home
        draw_mark(painter, map.view.toPaper(place));
      };
      EXPECT_OK(sheets::writePages(file, sheets::landscape(sheets::PaperSize::A4), {QStringLiteral("Map"), Date{20000}}, {paint}, silent_));
      const auto report = study::checkForLeaks({file}, facts(), [&](const fs::path& pdf) { return sheets::pdfPiecesOfMap(pdf, map); }, silent_);
      ASSERT_OK(report);
      EXPECT_EQ(report->leaks.empty(), place == elsewhere) << name;
      if (!report->leaks.empty()) {
        EXPECT_EQ(report->leaks.front().text(), std::string(leakWords(LeakKind::Position)) + " in " + name + ".pdf (a mark drawn on the map)");
      }
    }
  }
}

TEST_F(LeakFormats, PositionsInTheWaysOfEachFormat) {
  const std::vector<std::pair<std::string, std::function<std::string(Point)>>> ways = {
      {"a.geojson", [](Point p) { return fmt::format(R"({{"type":"Point","coordinates":[{:.6f},{:.6f}]}})", p.x, p.y); }},
      {"far.geojson", [](Point p) { return fmt::format(R"({{"type":"LineString","coordinates":[[-37.1,41.4],[{:.6f}, {:.6f}]]}})", p.x, p.y); }},
      {"a.gpx", [](Point p) { return fmt::format(R"(<?xml version="1.0"?><gpx><trk><trkseg><trkpt lat="{:.7f}" lon="{:.7f}"/></trkseg></trk></gpx>)", p.y, p.x); }},
      {"a.ics", [](Point p) { return fmt::format("BEGIN:VEVENT\r\nGEO:{:.6f};{:.6f}\r\nEND:VEVENT\r\n", p.y, p.x); }},
      {"a.svg", [](Point p) { return fmt::format(R"(<svg><path d="M{:.6f} {:.6f}L-37.1 41.4"/></svg>)", p.x, p.y); }},
      {"a.html", [](Point p) { return fmt::format(R"(<a href="https://example.org/map?ll={:.5f},{:.5f}">map</a>)", p.y, p.x); }},
      {"a.kml", [](Point p) { return fmt::format("<kml><coordinates>{:.6f},{:.6f},0</coordinates></kml>", p.x, p.y); }},
      {"a.wkt.csv", [](Point p) { return fmt::format("id,shape\n1,\"POINT ({:.6f} {:.6f})\"\n", p.x, p.y); }},
      {"a.log", [](Point p) { return fmt::format("12:01:07 placed at {:.5f} {:.5f} by point\n", p.y, p.x); }}};
  for (const auto& [name, write] : ways) {
    for (const Point place : {kHome, kElsewhere}) {
      text(folder_.path() / name, write(place));
      EXPECT_EQ(check(folder_.path() / name).leaks.empty(), place == kElsewhere) << name;
    }
  }
  for (const Point place : {kHome, kElsewhere}) {  // as numbers of a workbook, a column each
    Table table;
    table.add(Column::reals("lat", {place.y}));
    table.add(Column::reals("lon", {place.x}));
    EXPECT_OK(sheets::writeTableWorkbook(table, "rows", folder_.path() / "numbers.xlsx", false, silent_));
    EXPECT_EQ(check(folder_.path() / "numbers.xlsx").leaks.empty(), place == kElsewhere);
  }
}

TEST_F(LeakFormats, LogsAndWhatHangsBehindAPicture) {
  expectFound("a.log", [](const fs::path& file, const std::string& words) { text(file, "12:01:07 placing [" + words + "] 0.2 s\n"); });
  expectFound("behind.png", [this](const fs::path& file, const std::string& words) {
    QImage image(8, 8, QImage::Format_RGB32);
    image.fill(Qt::white);
    const fs::path plain = folder_.path() / "plain.png";
    ASSERT_TRUE(image.save(QString::fromStdString(plain.string())));
    text(file, *readFile(plain) + words);
  });
  expectFound("embedded-picture.html", [](const fs::path& file, const std::string& words) {
    std::string bytes("\xFF\xD8\xFF\xFE", 4);
    bytes += static_cast<char>(0), bytes += static_cast<char>(words.size() + 2), bytes += words;
    bytes += std::string("\xFF\xDA\0\2\xFF\xD9", 6);
    text(file, "<img src=\"data:image/jpeg;base64," + QByteArray::fromStdString(bytes).toBase64().toStdString() + "\">");
  });
}

TEST_F(LeakFormats, WhatCannotBeLookedThroughDoesNotPass) {
  text(folder_.path() / "a.svgz", std::string("\x1F\x8B\x08", 3) + std::string(40, 'x'));
  EXPECT_FALSE(check(folder_.path() / "a.svgz").leaks.empty());
  text(folder_.path() / "1204 Ambleforth Ave.txt", "nothing");
  EXPECT_FALSE(check(folder_.path() / "1204 Ambleforth Ave.txt").leaks.empty());
}

}  // namespace
}  // namespace leeward
