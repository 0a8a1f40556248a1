// Sheets, briefs, door sheets and workbooks, read back with the system's PDF tools and Qt's XML reader.
#include <gmock/gmock.h>

#include <QImage>
#include <QXmlStreamReader>

#include "shared/base/files.h"
#include "tests/support/data.h"
#include "tests/unit/paper/kept.h"
#include "tests/unit/paper/town.h"
#include "viewer/draw/type.h"
#include "viewer/sheets/brief.h"
#include "viewer/sheets/door_sheet.h"
#include "viewer/sheets/sheet.h"
#include "viewer/sheets/workbook.h"

namespace leeward::sheets {
namespace {

using test::outputOf;
using test::paperFile;
using testing::HasSubstr;
using testing::Not;

const study::Findings& town() {
  static draw::PaintingApplication application;
  static const study::Findings findings = test::paperTown();
  return findings;
}

/// The words of a PDF with single blanks, so that a sentence is found across line ends.
std::string wordsOf(const std::filesystem::path& pdf) {
  std::string words;
  for (const char c : outputOf("pdftotext -layout '" + pdf.string() + "' -")) {
    const bool blank = c == ' ' || c == '\n' || c == '\f';
    if (!blank)
      words += c;
    else if (!words.empty() && words.back() != ' ')
      words += ' ';
  }
  return words;
}

bool hasPdfTools() { return !outputOf("command -v pdftotext").empty() && !outputOf("command -v pdffonts").empty(); }
#define NEED_PDF_TOOLS() \
  if (!hasPdfTools()) GTEST_SKIP() << "pdftotext and pdffonts (poppler-utils) are not installed"

TEST(SheetTest, EveryKindStatesStampTitleCountsSourcesAndDay) {
  NEED_PDF_TOOLS();
  for (const SheetKind& kind : sheetKinds()) {
    Progress progress;
    const auto file = paperFile(std::string("sheet_") + kind.name + ".pdf");
    const auto done = writeSheet(town(), {kind.name, file, PaperSize::A4, 300, false}, progress);
    ASSERT_OK(done);
    EXPECT_EQ(done->labels_left_out, 0U);
    const std::string words = wordsOf(file);
    EXPECT_THAT(words, HasSubstr(kCrewStamp));
    EXPECT_THAT(words, HasSubstr(done->title));
    EXPECT_THAT(words, HasSubstr("n = "));
    EXPECT_THAT(words, HasSubstr("Address points 2025"));
    EXPECT_THAT(words, HasSubstr("30 June 2025"));
    EXPECT_THAT(words, Not(HasSubstr("nan")));
    EXPECT_THAT(words, Not(HasSubstr("%1")));
  }
}

TEST(SheetTest, HeatBeneathNeedHasItsOwnRampWithUnit) {
  NEED_PDF_TOOLS();
  Progress progress;
  const auto file = paperFile("need_heat.pdf");
  ASSERT_OK(writeSheet(town(), {"need", file, PaperSize::A4, 300, true}, progress));
  EXPECT_THAT(wordsOf(file), HasSubstr("Heat beneath: proxy"));
  EXPECT_THAT(wordsOf(file), HasSubstr("share paved"));
}

TEST(SheetTest, FontsAreEmbedded) {
  NEED_PDF_TOOLS();
  Progress progress;
  const auto file = paperFile("fonts.pdf");
  ASSERT_OK(writeSheet(town(), {"coverage", file}, progress));
  const std::string fonts = outputOf("pdffonts '" + file.string() + "' | tail -n +3");
  EXPECT_THAT(fonts, HasSubstr("OpenSans"));
  std::istringstream lines(fonts);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_THAT(line, testing::ContainsRegex(" yes (yes|no) +(yes|no) ")) << line;  // emb sub uni
    EXPECT_THAT(line, HasSubstr("OpenSans")) << line;
  }
}

TEST(SheetTest, SameFindingsGiveTheSameBytes) {
  for (const char* ending : {".pdf", ".svg", ".png"}) {
    Progress progress;
    const auto first = paperFile(std::string("first") + ending), second = paperFile(std::string("second") + ending);
    ASSERT_OK(writeSheet(town(), {"next", first, PaperSize::A4, 100, false}, progress));
    ASSERT_OK(writeSheet(town(), {"next", second, PaperSize::A4, 100, false}, progress));
    const auto a = readFile(first), b = readFile(second);
    ASSERT_OK(a);
    ASSERT_OK(b);
    EXPECT_EQ(*a == *b, true) << ending;
  }
}

TEST(SheetTest, SvgIsWellFormedAndCarriesText) {
  Progress progress;
  const auto file = paperFile("coverage.svg");
  ASSERT_OK(writeSheet(town(), {"coverage", file}, progress));
  const auto bytes = readFile(file);
  ASSERT_OK(bytes);
  QXmlStreamReader reader(QByteArray::fromStdString(*bytes));
  QString text;
  while (!reader.atEnd()) {
    if (reader.readNext() == QXmlStreamReader::Characters) text += reader.text();
  }
  EXPECT_FALSE(reader.hasError()) << reader.errorString().toStdString();
  EXPECT_THAT(text.toStdString(), HasSubstr(kCrewStamp));
}

TEST(SheetTest, PictureHasThePaperSizeInDots) {
  Progress progress;
  const auto file = paperFile("coverage.png");
  ASSERT_OK(writeSheet(town(), {"coverage", file, PaperSize::Letter, 200, false}, progress));
  const QImage image(QString::fromStdString(file.string()));
  EXPECT_EQ(image.width(), 2200);   // 11 in
  EXPECT_EQ(image.height(), 1700);  // 8.5 in
  EXPECT_NEAR(image.dotsPerMeterX() * 0.0254, 200, 0.1);
}

TEST(SheetTest, RefusesAnUnknownKindEndingOrResolution) {
  Progress progress;
  const auto kind = writeSheet(town(), {"everything", paperFile("x.pdf")}, progress);
  ASSERT_FALSE(kind.ok());
  EXPECT_EQ(kind.problem().code, ProblemCode::InvalidArgument);
  EXPECT_THAT(kind.problem().mend, HasSubstr("coverage, next, need, sightings, changed"));
  EXPECT_FALSE(writeSheet(town(), {"next", paperFile("x.doc")}, progress).ok());
  EXPECT_FALSE(writeSheet(town(), {"next", paperFile("x.png"), PaperSize::A4, 5, false}, progress).ok());
  EXPECT_FALSE(std::filesystem::exists(paperFile("x.doc")));
}

TEST(SheetTest, EmptyFindingsStillMakeEverySheetAndBrief) {
  town();
  study::Findings empty;
  empty.name = "New study";
  empty.as_of = *makeDate(2025, 1, 2);
  for (const SheetKind& kind : sheetKinds()) {
    Progress progress;
    EXPECT_OK(writeSheet(empty, {kind.name, paperFile(std::string("empty_") + kind.name + ".pdf")}, progress));
  }
  Progress progress;
  EXPECT_OK(writeBrief(empty, {"board", paperFile("empty_brief.pdf")}, progress));
}

TEST(SheetTest, AStopLeavesNoFile) {
  std::stop_source stop;
  stop.request_stop();
  Progress progress({}, stop.get_token(), 1);
  const auto file = paperFile("stopped.pdf");
  const auto done = writeSheet(town(), {"next", file}, progress);
  ASSERT_FALSE(done.ok());
  EXPECT_EQ(done.problem().code, ProblemCode::Cancelled);
  EXPECT_FALSE(std::filesystem::exists(file));
}

TEST(BriefTest, FourPagesSayWhatWasFoundHowSureAndHowNotToUseThem) {
  NEED_PDF_TOOLS();
  Progress progress;
  const auto file = paperFile("board.pdf");
  const auto done = writeBrief(town(), {"board", file}, progress);
  ASSERT_OK(done);
  EXPECT_EQ(done->pages, 4U);
  const std::string words = wordsOf(file);
  for (const char* phrase :
       {"page 4 of 4", "no list for enforcement", "change, not effect", "never a target", "Wilson 1927", "Westbank"}) {
    EXPECT_THAT(words, HasSubstr(phrase));
  }
  const std::string first_because = town().next.find("because")->asText(0);
  EXPECT_THAT(words, HasSubstr(first_because.substr(0, 20)));
  EXPECT_THAT(words, HasSubstr("2025 Q2, to 14 Jun")) << "a quarter that isn't over says so";
  EXPECT_THAT(words, HasSubstr("Together each once"));
  EXPECT_THAT(words, HasSubstr("% asked for: these claim"));
}

Table doors() {
  Table table;
  table.add(Column::integers("order", {1, 2, 3, 4, 5, 6}));
  table.add(Column::text("premises_id", {"p1", "p2", "p3", "p4", "p5", "p6"}));
  table.add(Column::text("block_id", {"2501101", "2501101", "2501101", "2501102", "2501102", "2501102"}));
  table.add(Column::text("address", {"12 Millrace Road", "14 Millrace Road", "18 Millrace Road, rear", "3 Kiln Street",
                                     "5 Kiln Street", "9 Kiln Street"}));
  table.add(Column::reals("chance_unmet", {0.31, 0.22, 1.0, 0.18, 0.17, 0.05}));
  table.add(Column::reals("minutes", {8, 8, 20, 8, 8, 14}));
  table.add(Column::text("due", {"", "straw out, promised 2025-06-20", "", "", "three-month visit", "2025-07-04"}));
  table.add(Column::text("hazard", {"", "", "dog on a long chain beside the path; has bitten", "", "", ""}));
  table.add(Column::text("permission", {"", "from the owner, at the door: enter, handle, treat", "", "", "", ""}));
  table.add(Column::text("bring", {"", "swivel 1, collar", "", "", "straw 1", ""}));
  table.add(Column::text("because",
                         std::vector<std::string>(6, "Never looked at; houses like it had a dog outdoors one time in five.")));
  return table;
}

TEST(DoorSheetTest, EveryDoorHasItsCardAndSilenceIsNotNoHazard) {
  NEED_PDF_TOOLS();
  town();
  Progress progress;
  const auto file = paperFile("doors.pdf");
  const auto done =
      writeDoorSheet(doors(), {file, "Sillbridge outreach", "Crew 1", *makeDate(2025, 6, 30), 3.5, PaperSize::A4}, progress);
  ASSERT_OK(done);
  const std::string words = wordsOf(file);
  for (const char* phrase :
       {kCrewStamp, "12 Millrace Road", "9 Kiln Street", "has bitten", "none on record, which does not mean none",
        "asked not to return", "swivel 1, collar", "Go in pairs", "3.5 hours", "a dog not yet met: chance 31", "a dog not yet met: almost surely", "Dogs seen", "Dogs met",
        "4 July 2025"}) {
    EXPECT_THAT(words, HasSubstr(phrase));
  }
  EXPECT_THAT(words, Not(HasSubstr("100"))) << "nothing at a door is certain";
  EXPECT_THAT(words, Not(HasSubstr("2025-07-04")));
}

TEST(WorkbookTest, StampedAndTheSameBytesTwice) {
  Progress progress;
  const auto first = paperFile("first.xlsx"), second = paperFile("second.xlsx");
  ASSERT_OK(writeWorkbook(town(), first, progress));
  ASSERT_OK(writeWorkbook(town(), second, progress));
  EXPECT_EQ(*readFile(first) == *readFile(second), true);
  const std::string strings =
      outputOf("unzip -p '" + first.string() + "' xl/sharedStrings.xml xl/workbook.xml docProps/core.xml");
  if (strings.empty()) GTEST_SKIP() << "unzip is not installed";
  EXPECT_THAT(strings, HasSubstr(kCrewStamp));
  EXPECT_THAT(strings, HasSubstr("2025-06-30T00:00:00Z"));
  for (const char* sheet : {"\"next\"", "\"changed\"", "\"due\"", "\"sources\""}) EXPECT_THAT(strings, HasSubstr(sheet));
}

}  // namespace
}  // namespace leeward::sheets
