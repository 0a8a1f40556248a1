// Visit logs in every wrapping that spreadsheets and phones give them, sound and broken.
#include <gtest/gtest.h>
#include <sys/stat.h>

#include "tests/journeys/odd_files/odd_files.h"
#include "tests/support/zip.h"

namespace leeward::test {
namespace {

const std::string kHead = "visit_id,date,address,look,why_here,door_result,notes\n";
const std::string kOne = "V1,2025-03-04,101 Elm St,knock,planned,no_dog,\n";
const std::string kTwo = "V2,2025-03-05,103 Elm St,knock,planned,nobody_home,gate\n";
const std::string kLog = kHead + kOne + kTwo;

std::string with(std::string text, char from, char to) {
  std::ranges::replace(text, from, to);
  return text;
}

std::string utf16(std::string_view text, bool big, bool mark) {
  std::string out = !mark ? "" : big ? "\xFE\xFF" : "\xFF\xFE";
  for (const char c : text) out.append(big ? std::string{'\0', c} : std::string{c, '\0'});
  return out;
}

std::string odsLog(const std::string& prolog = "") {
  const auto rows = odsRow({"visit_id", "date", "address", "look", "why_here", "door_result"}) + odsRow({"V1", "@2025-03-04", "101 Elm St", "knock", "planned", "no_dog"}) +
                    odsRow({"V2", "@2025-03-05", "103 Elm St", "knock", "planned", "vacant"});
  return odsBytes(odsSheet("visits", rows) + odsSheet("lists", ""), prolog);
}

const std::vector<std::vector<std::string>> kSheet = {{"visit_id", "date", "address", "look", "why_here", "door_result"},
                                                      {"V1", "=45720", "101 Elm St", "knock", "planned", "no_dog"},
                                                      {"V2", "3/15/2025", "103 Elm St", "knock", "planned", "vacant"}};

TEST(OddFilesTest, Workbooks) {
  const auto two_sheets = odsBytes(odsSheet("spring", odsRow({"date", "address"}) + odsRow({"@2025-03-04", "101 Elm St"})) +
                                   odsSheet("autumn", odsRow({"date", "address"}) + odsRow({"@2025-10-04", "103 Elm St"})));
  expectAll({
      {.what = "an OpenDocument sheet beside an empty one", .kind = "visits", .name = "log.ods", .made = bytes(odsLog()), .kept = 2},
      {.what = "two OpenDocument sheets with rows", .kind = "visits", .name = "log.ods", .made = bytes(two_sheets), .status = 3, .said = {"several sheets", "\"spring\", \"autumn\"", "#SHEET"}},
      {.what = "one of the two by its name", .kind = "visits", .name = "log.ods#autumn", .made = bytes(two_sheets), .kept = 1},
      {.what = "a sheet that is not there", .kind = "visits", .name = "log.ods#winter", .made = bytes(two_sheets), .status = 3, .said = {"no layer \"winter\"", "\"spring\""}},
      {.what = "a workbook with day numbers and typed dates", .kind = "visits", .name = "log.xlsx", .made = workbook({{"Sheet1", kSheet}, {"Sheet2", {}}}), .kept = 2},
      {.what = "two sheets with rows", .kind = "visits", .name = "log.xlsx", .made = workbook({{"2024", kSheet}, {"2025", kSheet}}), .status = 3, .said = {"several sheets", "\"2024\", \"2025\""}},
      {.what = "one of them by its name", .kind = "visits", .name = "log.xlsx#2025", .made = workbook({{"2024", kSheet}, {"2025", kSheet}}), .kept = 2},
      {.what = "a workbook under a phone's name", .kind = "visits", .name = "Download (3)", .made = workbook({{"Sheet1", kSheet}}), .kept = 2},
      {.what = "a workbook without rows", .kind = "visits", .name = "log.xlsx", .made = workbook({{"Sheet1", {}}}), .status = 3, .said = {"no rows"}},
      {.what = "a workbook cut off in a download", .kind = "visits", .name = "log.xlsx", .made = cutOff(0.6, workbook({{"Sheet1", kSheet}})), .status = 3, .said = {"cut off or damaged", "again"}},
      {.what = "a workbook named as text", .kind = "visits", .name = "log.csv", .made = workbook({{"Sheet1", kSheet}}), .status = 3, .said = {"not text", "workbook"}},
      {.what = "text named as a workbook", .kind = "visits", .name = "log.xlsx", .made = bytes(kLog), .status = 3, .said = {"no workbook", ".csv"}},
      {.what = "a workbook of the old kind", .kind = "visits", .name = "log.xls", .made = bytes("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1" + std::string(600, '\0')), .status = 3, .said = {"old kind", ".xlsx"}},
      {.what = "a sheet whose entities grow", .kind = "visits", .name = "log.ods", .made = bytes(odsLog("<!DOCTYPE a [<!ENTITY b \"bbbb\"><!ENTITY c \"&b;&b;&b;\">]>")), .status = 3, .said = {"document type"}},
      {.what = "a workbook that says it is enormous", .kind = "visits", .name = "log.xlsx", .made = bytes(Zip().add("xl/styles.xml", "<a/>").claim("xl/workbook.xml", 9, 3'000'000'000U).bytes()),
       .status = 4, .said = {"2 GB", "CSV"}},
      {.what = "a workbook that hides its size", .kind = "visits", .name = "log.xlsx", .made = bytes(Zip().addDeflated("xl/workbook.xml", deflatedRun("<a>", 40'000'000), 1000).bytes()),
       .status = 4, .said = {"less of its size"}},
      {.what = "a workbook with a password inside a ZIP", .kind = "visits", .name = "log.zip", .made = bytes(Zip().add("a.txt", "x").claim("log.xlsx", 0, 10, 1).bytes()), .status = 3, .said = {"password"}},
      {.what = "a log packed in a ZIP", .kind = "visits", .name = "log.zip", .made = bytes(Zip().add("log.csv", kLog).bytes()), .status = 3, .said = {"log.csv", "Unpack it"}},
      {.what = "a letter", .kind = "visits", .name = "log.docx", .made = bytes(Zip().add("word/document.xml", "<w/>").bytes()), .status = 3, .said = {"word/document.xml"}},
  });
}

TEST(OddFilesTest, PlainText) {
  expectAll({
      {.what = "tabs", .kind = "visits", .name = "log.tsv", .made = bytes(with(kLog, ',', '\t')), .kept = 2},
      {.what = "semicolons", .kind = "visits", .name = "log.csv", .made = bytes(with(kLog, ',', ';')), .kept = 2},
      {.what = "bars in a text file", .kind = "visits", .name = "log.txt", .made = bytes(with(kLog, ',', '|')), .kept = 2},
      {.what = "a first line that names the separator", .kind = "visits", .name = "log.csv", .made = bytes("sep=;\n" + with(kLog, ',', ';')), .kept = 2},
      {.what = "no ending at all", .kind = "visits", .name = "export", .made = bytes(kLog), .kept = 2},
      {.what = "UTF-16, low byte first", .kind = "visits", .name = "log.csv", .made = bytes(utf16(kLog, false, true)), .kept = 2},
      {.what = "UTF-16, high byte first", .kind = "visits", .name = "log.txt", .made = bytes(utf16(with(kLog, ',', '\t'), true, true)), .kept = 2},
      {.what = "UTF-16 without its mark", .kind = "visits", .name = "log.csv", .made = bytes(utf16(kLog, false, false)), .kept = 2},
      {.what = "a mark of UTF-8", .kind = "visits", .name = "log.csv", .made = bytes("\xEF\xBB\xBF" + kLog), .kept = 2},
      {.what = "Latin-1", .kind = "visits", .name = "log.csv", .made = bytes(kHead + "V1,2025-03-04,101 Elm St,knock,planned,no_dog,se\xF1or\n"), .said = {"not UTF-8", "Windows-1252"}, .kept = 1},
      {.what = "line ends of old machines", .kind = "visits", .name = "log.csv", .made = bytes(with(kLog, '\n', '\r')), .kept = 2},
      {.what = "a zero byte in the middle", .kind = "visits", .name = "log.csv", .made = bytes(kLog + std::string("V3,2025-03-06,105 Elm\0 St,knock,planned,no_dog,\n", 48)), .status = 3, .said = {"binary"}},
      {.what = "a quote never closed", .kind = "visits", .name = "log.csv", .made = bytes(kLog + "V3,2025-03-06,\"105 Elm St,knock,planned,no_dog,\n" + kOne), .status = 3,
       .said = {"quote is opened and never closed"}, .where = "line 4"},
      {.what = "a line break inside quotes", .kind = "visits", .name = "log.csv", .made = bytes(kHead + "V1,2025-03-04,101 Elm St,knock,planned,no_dog,\"two\nlines\"\nV2,2025-02-31,103 Elm St,knock,planned,,\n"),
       .kept = 1, .refused = {{4, "date", "no day 31"}}},
      {.what = "rows longer and shorter than the headings", .kind = "visits", .name = "log.csv",
       .made = bytes(kHead + "V1,2025-03-04,101 Elm St, Fairford,knock,planned,no_dog,gate\nV2,2025-03-05,103 Elm St\n"), .kept = 1, .refused = {{2, "", "more fields than"}}},
      {.what = "two columns of one heading", .kind = "visits", .name = "log.csv", .made = bytes("date,address,notes,notes\n2025-03-04,101 Elm St,gate,dog\n"), .said = {"'notes'", "twice"}, .kept = 1},
      {.what = "no headings", .kind = "visits", .name = "log.csv", .made = bytes(kOne + kTwo), .status = 3, .said = {"headings", "first line"}},
      {.what = "a title above the headings", .kind = "visits", .name = "log.csv", .made = bytes("Visits of the spring,,,,,,\n,,,,,,\n" + kLog), .status = 3, .said = {"line 3", "headings"}},
      {.what = "a title above the headings of a sheet", .kind = "visits", .name = "log.xlsx", .made = workbook({{"Sheet1", {{"Visits of the spring"}, {}, kSheet[0], kSheet[1]}}}), .status = 3,
       .said = {"line 3", "headings"}},
      {.what = "headings repeated below the first page", .kind = "visits", .name = "log.csv", .made = bytes(kLog + kHead + "V3,2025-03-06,105 Elm St,knock,planned,no_dog,\n"), .said = {"The headings stand again in 1 row (line 4)"}, .kept = 3},
      {.what = "empty", .kind = "visits", .name = "log.csv", .made = bytes(""), .status = 3, .said = {"empty"}},
      {.what = "nothing but a mark", .kind = "visits", .name = "log.csv", .made = bytes("\xEF\xBB\xBF"), .status = 3, .said = {"empty"}},
      {.what = "nothing but blank lines", .kind = "visits", .name = "log.csv", .made = bytes("\r\n\r\n\n"), .status = 3, .said = {"empty"}},
      {.what = "headings only", .kind = "visits", .name = "log.csv", .made = bytes(kHead), .status = 3, .said = {"no rows"}},
      {.what = "rows of separators", .kind = "visits", .name = "log.csv", .made = bytes(kHead + kOne + ",,,,,,\n,,,,,,\n"), .said = {"2 blank rows"}, .kept = 1},
      {.what = "a single column of text", .kind = "visits", .name = "log.txt", .made = bytes("Went to Elm St today.\nNobody home.\n"), .status = 3, .said = {"date"}},
      {.what = "formulas that a spreadsheet would run", .kind = "visits", .name = "log.csv", .made = bytes("date,address,notes\n2025-03-04,101 Elm St,=1+1\n2025-02-31,103 Elm St,@SUM(A1)\n"), .kept = 1,
       .refused = {{3, "date", "no day 31"}}},
  });
}

TEST(OddFilesTest, WhatIsNoTable) {
  expectAll({
      {.what = "a folder", .kind = "visits", .name = "logs", .made = [](const auto& path) { std::filesystem::create_directory(path); }, .status = 3, .said = {"folder", "Name a file"}},
      {.what = "not there", .kind = "visits", .name = "nowhere.csv", .made = {}, .status = 3, .said = {"no such file"}},
      {.what = "a pipe that never ends", .kind = "visits", .name = "pipe.csv", .made = [](const auto& path) { EXPECT_EQ(mkfifo(path.c_str(), 0600), 0); }, .status = 3, .said = {"no ordinary file"}},
      {.what = "a PDF", .kind = "visits", .name = "log.pdf", .made = bytes("%PDF-1.4\n1 0 obj\n<< >>, text\n"), .status = 3, .said = {"can't be read"}},
      {.what = "a PDF named as text", .kind = "visits", .name = "log.csv", .made = bytes("%PDF-1.4\n1 0 obj\n<< >>, text\n"), .status = 3, .said = {"a PDF"}},
      {.what = "a web page named as text", .kind = "visits", .name = "log.csv", .made = bytes("<!DOCTYPE html>\n<html><head><title>Sign in, please</title></head></html>\n"), .status = 3, .said = {"web page"}},
      {.what = "a web page named as a workbook", .kind = "visits", .name = "log.xls", .made = bytes("<html><table><tr><td>date</td></tr></table></html>\n"), .status = 3, .said = {"web page"}},
      {.what = "a map named as text", .kind = "visits", .name = "log.csv", .made = bytes(collection({feature("1", square(-84.6, 39.4, 0.001))})), .status = 3, .said = {"JSON", "name"}},
      {.what = "a gzip archive", .kind = "visits", .name = "log.csv.gz", .made = bytes("\x1F\x8B\x08" + std::string(40, '\1')), .status = 3, .said = {"Unpack it"}},
      {.what = "a picture", .kind = "visits", .name = "dog.jpg", .made = bytes("\xFF\xD8\xFF\xE0" + std::string(40, '\1')), .status = 3, .said = {"picture"}},
      {.what = "sightings as visits", .kind = "visits", .name = "seen.csv", .made = bytes("sighting_id,date,lon,lat,what,count,source\nS1,2025-03-04,-84.6,39.4,dog,1,caller\n"), .status = 3,
       .said = {"looks like sightings", "--anyway"}},
      {.what = "visits as sightings", .kind = "sightings", .name = "log.csv", .made = bytes(kLog), .status = 3, .said = {"looks like visits", "--anyway"}},
      {.what = "address points as visits", .kind = "visits", .name = "doors.csv", .made = bytes("number,street,lon,lat\n101,Elm St,-84.6,39.4\n103,Elm St,-84.6,39.4\n"), .status = 3, .said = {"looks like premises"}},
      {.what = "another town's visits", .kind = "visits", .name = "log.csv",
       .made = bytes("date,lon,lat,look,why_here\n2025-03-04,-71.1,42.3,street,planned\n2025-03-04,-71.1,42.31,street,planned\n2025-03-04,-71.11,42.3,street,planned\n"), .status = 3,
       .said = {"3 of 3 positions", "--anyway"}},
  });
}

}  // namespace
}  // namespace leeward::test
