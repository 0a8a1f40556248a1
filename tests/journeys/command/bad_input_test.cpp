// Whatever a person hands over by mistake: the right exit status, a problem that says what, where and how to mend it, and a
// ledger that keeps what it holds, to the byte.
#include <unistd.h>

#include <gtest/gtest.h>

#include "shared/base/hash.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"
#include "tests/support/zip.h"

namespace leeward::test {
namespace {

using Words = std::vector<std::string>;

struct Mistake {
  const char* name;
  Words call;                       ///< @S the study, @B the folder of bad files, @T the town's files
  int status = 3;
  std::vector<const char*> said;    ///< each somewhere in the text on standard error
};

std::string filled(std::string text, const std::map<std::string, std::string>& values) {
  for (const auto& [key, value] : values) {
    for (auto at = text.find(key); at != std::string::npos; at = text.find(key, at + value.size())) text.replace(at, key.size(), value);
  }
  return text;
}

/// The ledger's bytes after SQLite's file header of 100 bytes (sqlite.org/fileformat2.html, 1.3): opening it writes there that it is
/// open, and that it isn't any more.
std::string ledgerHash(const StudyFolder& study) {
  const auto bytes = readFile(study.ledger());
  EXPECT_OK(bytes);
  return bytes.ok() && bytes->size() > 100 ? sha256Hex(std::string_view(*bytes).substr(100)) : "";
}

/// One study with the town's layers and visits, and bad files beside it, for all mistakes.
class BadInput : public testing::Test {
 protected:
  static const StudyFolder& study() {
    static const StudyFolder made = townStudy();
    static const bool filled_once = [] {
      takeInTownRecords(made);
      EXPECT_EQ(made.call("next").status, 0);
      std::filesystem::create_directory(bad());
      put(bad() / "no_place.csv", "visit_id,date\n1,2025-01-01\n");
      put(bad() / "no_date.csv", "visit_id,address\n1,212 W Elm St\n");
      put(bad() / "empty.csv", "");
      put(bad() / "headings.csv", "visit_id,date,address,look,why_here\n");
      put(bad() / "text.xlsx", "visit_id,date,address\n1,2025-01-01,212 W Elm St\n");
      put(bad() / "quote.csv", "visit_id,date,address\n1,2025-01-01,\"212 W Elm St\n");
      put(bad() / "swapped.csv", "visit_id,date,lon,lat,look,why_here\nX1,2025-02-03,41.49,-37.2,street,planned\nX2,2025-02-04,41.492,-37.21,street,planned\n");
      put(bad() / "elsewhere.csv", "visit_id,date,lon,lat,look,why_here\nX1,2025-02-03,-71.1,42.3,street,planned\nX2,2025-02-04,-71.1,42.31,street,planned\n"
                                   "X3,2025-02-05,-71.11,42.3,street,planned\n");
      put(bad() / "elsewhere.geojson", R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"GEOID":"250173521011000"},)"
                                       R"("geometry":{"type":"Polygon","coordinates":[[[-71.1,42.3],[-71.09,42.3],[-71.09,42.31],[-71.1,42.3]]]}}]})");
      put(bad() / "unclear.csv", "date,address\n3/4/2025,212 W Elm St\n");
      put(bad() / "bomb.kml", "<?xml version=\"1.0\"?><!DOCTYPE a [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;&a;\">]><kml>&b;</kml>");
      put(bad() / "bomb.xlsx", Zip().add("xl/styles.xml", "<a/>").claim("xl/workbook.xml", 9, 3'000'000'000U).bytes());
      put(bad() / "page.gpx", "<!DOCTYPE html><html></html>");
      put(bad() / "way.gpx", "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"t\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>"
                             "<trkpt lat=\"1\" lon=\"1\"/></trkseg></trk></gpx>");
      put(bad() / "sound.csv", "visit_id,date,address,place,look,why_here,door_result\nX3,2025-02-03,212 W Elm St,Tolverwick,knock,planned,no_dog\n");
      return true;
    }();
    EXPECT_TRUE(filled_once);
    return made;
  }
  static std::filesystem::path bad() { return made_beside(); }
  static void expectRefused(const Mistake& mistake) {
    SCOPED_TRACE(mistake.name);
    const std::string before = ledgerHash(study());
    const auto settings = *readFile(study().path() / "study.toml");
    const auto files = filesIn(study().path());
    Words words;
    for (const auto& word : mistake.call) {
      words.push_back(filled(word, {{"@S", study().text()}, {"@B", bad().string()}, {"@T", townFile("").parent_path().string()}}));
    }
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, mistake.status) << ran.err;
    for (const char* fragment : mistake.said) EXPECT_NE(ran.err.find(fragment), std::string::npos) << "\"" << fragment << "\" is not in: " << ran.err;
    EXPECT_EQ(ledgerHash(study()), before) << "the ledger changed";
    EXPECT_EQ(*readFile(study().path() / "study.toml"), settings);
    EXPECT_EQ(filesIn(study().path()), files) << "files were left behind";
  }

 private:
  static std::filesystem::path made_beside() {
    static const TemporaryFolder folder;
    return folder.path() / "bad";
  }
};

TEST_F(BadInput, FilesThatCannotBeUsedAreRefusedWhole) {
  for (const Mistake& mistake : std::initializer_list<Mistake>{
           {"a column is missing", {"take-in", "@S", "visits", "@B/no_place.csv"}, 3, {"place", "no_place.csv", "--map address="}},
           {"another is missing", {"take-in", "@S", "visits", "@B/no_date.csv"}, 3, {"date", "no_date.csv", "--map date="}},
           {"nothing in it", {"take-in", "@S", "visits", "@B/empty.csv"}, 3, {"empty", "empty.csv", "headings"}},
           {"headings only", {"take-in", "@S", "visits", "@B/headings.csv"}, 3, {"no rows", "headings.csv", "right file"}},
           {"text named as a workbook", {"take-in", "@S", "visits", "@B/text.xlsx"}, 3, {"no workbook", "text.xlsx", ".csv"}},
           {"a quote never closed", {"take-in", "@S", "visits", "@B/quote.csv"}, 3, {"quot", "quote.csv", "2"}},
           {"longitude and latitude exchanged", {"take-in", "@S", "visits", "@B/swapped.csv"}, 3, {"exchanged", "swapped.csv", "--map"}},
           {"not there", {"take-in", "@S", "visits", "@B/nowhere.csv"}, 3, {"no such file", "nowhere.csv", "Check"}},
           {"a folder", {"take-in", "@S", "visits", "@B"}, 3, {"folder", "bad", "Name a file"}},
           {"dates of either order", {"take-in", "@S", "visits", "@B/unclear.csv"}, 3, {"3/4/2025", "unclear.csv", "date_order=mdy"}},
           {"XML that grows", {"take-in", "@S", "sightings", "@B/bomb.kml"}, 3, {"document type", "bomb.kml"}},
           {"a web page", {"take-in", "@S", "sightings", "@B/page.gpx"}, 3, {"web page", "page.gpx", "download"}},
           {"a workbook without end", {"take-in", "@S", "visits", "@B/bomb.xlsx"}, 4, {"2 GB", "bomb.xlsx", "CSV"}},
           {"tracks", {"take-in", "@S", "tracks", "@B/way.gpx"}, 3, {"not kept in the ledger yet", "way.gpx", "sightings"}},
           {"a table as heat", {"take-in", "@S", "heat", "@B/sound.csv"}, 3, {"looks like visits", "sound.csv", "--anyway"}},
           {"points as blocks", {"take-in", "@S", "blocks", "@T/address_points.csv"}, 3, {"looks like premises", "address_points.csv", "--anyway"}},
           {"points as blocks for sure", {"take-in", "@S", "blocks", "@T/address_points.csv", "--anyway"}, 3, {"areas", "address_points.csv", "Give"}},
           {"sightings as visits", {"take-in", "@S", "visits", "@T/sightings.csv"}, 3, {"looks like sightings", "sightings.csv", "--anyway"}},
           {"visits as sightings", {"take-in", "@S", "sightings", "@T/visits.csv"}, 3, {"looks like visits", "visits.csv", "--anyway"}},
           {"premises as visits", {"take-in", "@S", "visits", "@T/address_points.csv"}, 3, {"looks like premises", "address_points.csv", "--anyway"}},
           {"another town's visits", {"take-in", "@S", "visits", "@B/elsewhere.csv"}, 3, {"3 of 3 positions", "elsewhere.csv", "--anyway"}},
           {"another town's blocks", {"take-in", "@S", "blocks", "@B/elsewhere.geojson"}, 3, {"km from the study", "elsewhere.geojson", "--anyway"}},
           {"areas as premises", {"take-in", "@S", "premises", "@T/blocks.geojson"}, 3, {"looks like blocks", "blocks.geojson", "--anyway"}},
       }) {
    expectRefused(mistake);
  }
}

TEST_F(BadInput, WrongCallsEndWithTwoAndSayWhatIsKnown) {
  const std::vector<Mistake> mistakes = {
      {"an unknown verb", {"fly", "@S"}, 2, {"fly", "take-in", "next"}},
      {"no verb", {}, 2, {"--help"}},
      {"an unknown option", {"run", "@S", "--fast"}, 2, {"--fast", "--help"}},
      {"an unknown kind", {"take-in", "@S", "cats", "@B/sound.csv"}, 2, {"cats", "visits", "premises"}},
      {"a map with an unknown field", {"take-in", "@S", "visits", "@B/sound.csv", "--map", "adress=address"}, 2, {"adress", "address"}},
      {"a map with an unknown column", {"take-in", "@S", "visits", "@B/sound.csv", "--map", "address=Strasse"}, 2, {"Strasse"}},
      {"a map that is none", {"take-in", "@S", "visits", "@B/sound.csv", "--map", "address"}, 2, {"--map", "field=Column"}},
      {"an ending that can't be written", {"parse", "12 Oak St", "-o", "@B/out.doc"}, 2, {".doc", "out.doc", ".gpkg"}},
      {"no such day", {"next", "@S", "--as-of", "2025-02-31"}, 2, {"2025-02-31", "--as-of", "2025-09-30"}},
      {"no such period", {"changed", "@S", "--every", "week"}, 2, {"week", "quarter"}},
      {"areas of no kind", {"changed", "@S", "--by", "parishes"}, 2, {"parishes", "jurisdictions"}},
      {"doors are no areas", {"changed", "@S", "--by", "premises"}, 2, {"premises", "jurisdictions"}},
      {"no time to knock", {"next", "@S", "--doors", "--hours", "0"}, 2, {"--hours", "above 0"}},
      {"hours that are no number", {"next", "@S", "--doors", "--hours", "nan"}, 2, {"--hours", "nan"}},
      {"a level that is no number", {"next", "@S", "--level", "nan"}, 2, {"--level", "nan"}},
      {"a door sheet without doors", {"next", "@S", "-o", "@B/out.pdf"}, 2, {"--doors", "out.pdf"}},
      {"a sheet as a table", {"sheet", "@S", "coverage", "-o", "@B/out.csv"}, 2, {".csv", ".pdf"}},
      {"an unknown brief", {"brief", "@S", "dragons", "-o", "@B/out.pdf"}, 2, {"dragons", "board"}},
      {"an output that is a folder", {"changed", "@S", "-o", "@B"}, 2, {"bad"}},
      {"an unknown sheet", {"sheet", "@S", "dragons", "-o", "@B/out.pdf"}, 2, {"dragons", "coverage"}},
      {"a picture as a brief", {"brief", "@S", "board", "-o", "@B/out.png"}, 2, {".png", ".pdf"}},
      {"an unknown statistic", {"zonal", "@T/blocks.geojson", "@T/heat.tif", "--stats", "mode"}, 2, {"mode", "--stats", "median"}},
      {"nothing to place on", {"place", "@B/sound.csv", "--address", "address"}, 2, {"--points", "--streets"}},
  };
  for (const Mistake& mistake : mistakes) expectRefused(mistake);
  for (const auto& file : filesIn(bad())) EXPECT_EQ(file.filename().string().find("out."), std::string::npos) << file;
}

TEST_F(BadInput, StudiesThatAreNoneAndStudiesThatAreThere) {
  for (const Mistake& mistake : std::initializer_list<Mistake>{
           {"no study there", {"run", "@B"}, 3, {"no study", "bad", "leeward new"}},
           {"no folder there", {"next", "@B/none"}, 3, {"no study", "none", "leeward new"}},
           {"a study is there", {"new", "@S", "--name", "Second"}, 3, {"nothing was changed", "study.toml", "another folder"}},
           {"a backup over the ledger", {"backup", "@S", "@S/ledger.sqlite"}, 3, {"nothing was changed", "ledger.sqlite"}},
           {"areas that the study has not", {"zonal", "@T/address_points.csv", "@T/heat.tif"}, 3, {"no areas", "address_points.csv", "polygons"}},
           {"a folder that isn't there", {"next", "@S", "-o", "@B/none/next.csv"}, 4, {"none/next.csv", "folder exists"}},
       }) {
    expectRefused(mistake);
  }
}

TEST_F(BadInput, AStudyFileSaysLineAndKeyOfItsMistake) {
  const std::string sound = *readFile(study().path() / "study.toml");
  struct Slip {
    const char *was, *is;
    std::vector<const char*> said;
  };
  // Lines as counted in sample-data/town/study.toml.
  for (const Slip& slip : std::initializer_list<Slip>{
           {"service_interval_days", "servise_interval_days", {"servise_interval_days", "line 9", "service_interval_days"}},
           {"level = 0.90", "level = \"high\"", {"level", "line 7", "number"}},
           {"level = 0.90", "level = 7", {"level", "line 7", "0.5 to 0.999"}},
           {"crs = \"auto\" ", "crs = \"auto ", {"line 5", "Correct"}},
           {"as_of = 2025-09-30", "as_of = 2025-02-31", {"line 8", "day"}},
           {"[premises]", "[premise]", {"premise", "line 12", "premises"}},
           {"kind = \"land surface\"", "kind = \"lava\"", {"kind", "land surface", "proxy"}},
           {"call = 0.3", "call = 3", {"call", "0 to 1"}},
           {"direction = \"more\", weight = 0.5", "direction = \"up\", weight = 0.5", {"direction", "less"}},
       }) {
    SCOPED_TRACE(slip.is);
    ASSERT_NE(sound.find(slip.was), std::string::npos);
    put(study().path() / "study.toml", filled(sound, {{slip.was, slip.is}}));
    expectRefused({slip.is, {"next", "@S"}, 3, slip.said});
  }
  put(study().path() / "study.toml", sound);
  EXPECT_EQ(study().call("next").status, 0);
}

TEST_F(BadInput, ALatin1LogGoesInAndThatIsSaid) {
  const StudyFolder own = townStudy();
  const std::string log = put(own.beside("latin.csv"),
      "visit_id,date,address,place,look,why_here,door_result,notes\nX1,2025-03-04,212 W Elm St,Tolverwick,knock,planned,nobody_home,caf\xe9 behind\n");
  const Ran ran = leeward({"take-in", own.text(), "visits", log});
  EXPECT_EQ(ran.status, 0);
  EXPECT_NE(ran.err.find("not UTF-8"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("caf\xc3\xa9 behind"), std::string::npos) << ran.err;
}

TEST_F(BadInput, IdsThatBeginAnewEachYearReplaceNothing) {
  const StudyFolder own = townStudy();
  const std::string head = "visit_id,date,address,place,look,why_here,door_result\n";
  const auto take = [&](const char* name, const std::string& rows) { return leeward({"take-in", own.text(), "visits", put(own.beside(name), head + rows)}); };
  ASSERT_EQ(take("2024.csv", "1,2024-03-04,212 W Elm St,Tolverwick,knock,planned,no_dog\n").status, 0);
  const Ran again = take("2025.csv", "1,2025-03-05,31 E Fir St,Tolverwick,knock,planned,nobody_home\n");
  EXPECT_EQ(again.status, 3) << again.err;
  for (const char* said : {"the id 1", "2024-03-04", "2025.csv", "don't repeat"}) EXPECT_NE(again.err.find(said), std::string::npos) << again.err;
  // A correction keeps the day or the place, and goes in.
  const Ran corrected = take("mended.csv", "1,2024-03-04,214 W Elm St,Tolverwick,knock,planned,no_dog\n");
  EXPECT_EQ(corrected.status, 0) << corrected.err;
  EXPECT_NE(corrected.err.find("1 changed"), std::string::npos) << corrected.err;
}

TEST_F(BadInput, TheThirtyFirstOfFebruaryIsOneRefusedRowAndTheRestGoesIn) {
  const StudyFolder own = townStudy();
  const std::string log = put(own.beside("february.csv"),
      "visit_id,date,address,place,look,why_here\nX1,2025-02-31,212 W Elm St,Tolverwick,knock,planned\nX2,2025-02-28,212 W Elm St,Tolverwick,knock,planned\n");
  const Ran ran = leeward({"take-in", own.text(), "visits", log});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(ran.err.find("1 row was refused"), std::string::npos) << ran.err;
  const Table refused = csvOfFile(own.path() / "out/refused-visits.csv");
  ASSERT_EQ(refused.rows(), 1U);
  EXPECT_EQ(field(refused, "line", 0), "2");
  EXPECT_EQ(field(refused, "column", 0), "date");
  EXPECT_EQ(field(refused, "value", 0), "2025-02-31");
}

TEST_F(BadInput, APlaceThatMayNotBeWrittenEndsWithFour) {
  if (geteuid() == 0) GTEST_SKIP() << "root may write anywhere";
  const TemporaryFolder locked;
  std::filesystem::permissions(locked.path(), std::filesystem::perms::owner_read | std::filesystem::perms::owner_exec);
  const Ran ran = leeward({"parse", "12 Oak St", "-o", (locked.path() / "out.csv").string()});
  EXPECT_EQ(ran.status, 4) << ran.err;
  std::filesystem::permissions(locked.path(), std::filesystem::perms::owner_all);
}

}  // namespace
}  // namespace leeward::test
