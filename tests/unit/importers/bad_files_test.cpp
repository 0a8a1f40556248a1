// Files that can't be used at all, or only with a remark.
#include <gtest/gtest.h>

#include "tests/unit/importers/files.h"
#include "importers/public_layer.h"
#include "importers/sightings.h"
#include "tests/support/data.h"

namespace leeward::importers {
namespace {

using test::Folder;
using test::frame;
using test::remarks;

class BadFilesTest : public ::testing::Test {
 protected:
  Result<CrewImport> visits(const std::string& file) { return importVisits(file, {}, frame(), progress_); }
  Folder folder_;
  Progress progress_;
};

void expectUseful(const Problem& problem) {
  EXPECT_FALSE(problem.what.empty());
  EXPECT_FALSE(problem.where.empty()) << problem.text();
  EXPECT_FALSE(problem.mend.empty()) << problem.text();
}

TEST_F(BadFilesTest, AMissingColumn) {
  const auto import = visits(folder_.file("v.csv", "date,crew,dogs_seen\n2025-03-04,north,2\n"));
  ASSERT_FALSE(import.ok());
  EXPECT_EQ(import.problem().code, ProblemCode::BadData);
  EXPECT_NE(import.problem().what.find("date, crew, dogs_seen"), std::string::npos);
  EXPECT_EQ(import.problem().where, "v.csv");
  expectUseful(import.problem());
}

TEST_F(BadFilesTest, AnEmptyFile) {
  const auto empty = visits(folder_.file("v.csv", ""));
  ASSERT_FALSE(empty.ok());
  EXPECT_EQ(empty.problem().code, ProblemCode::BadData);
  const auto headings = visits(folder_.file("h.csv", "date,address\n"));
  ASSERT_FALSE(headings.ok());
  EXPECT_EQ(headings.problem().code, ProblemCode::BadData);
  expectUseful(headings.problem());
}

TEST_F(BadFilesTest, AFileThatIsNotThere) {
  const auto import = visits(folder_.path("nowhere.csv"));
  ASSERT_FALSE(import.ok());
  EXPECT_EQ(import.problem().code, ProblemCode::NotFound);
}

TEST_F(BadFilesTest, ATextFileNamedXlsx) {
  const auto import = visits(folder_.file("v.xlsx", "date,address\n2025-03-04,1 Elm St\n"));
  ASSERT_FALSE(import.ok());
  EXPECT_EQ(exitStatus(import.problem().code), 3);
  expectUseful(import.problem());
}

TEST_F(BadFilesTest, AWorkbookNamedCsv) {
  const std::string book = folder_.workbook("v.xlsx", {{"date", "address"}, {"2025-03-04", "1 Elm St"}});
  std::filesystem::rename(book, folder_.path("v.csv"));
  const auto import = visits(folder_.path("v.csv"));
  ASSERT_FALSE(import.ok());
  EXPECT_EQ(import.problem().code, ProblemCode::BadData);
}

TEST_F(BadFilesTest, Latin1IsReadAndSaid) {
  const auto import = visits(folder_.file("v.csv", "date,address,notes\n2025-03-04,12 Caf\xE9 St,se\xF1or\n"));
  ASSERT_OK(import);
  EXPECT_EQ(import->batch.rows.at(Entity::Looks).find("address")->textAt(0), "12 Caf\xC3\xA9 St");
  EXPECT_TRUE(remarks(import->batch.report, "Windows-1252"));
}

TEST_F(BadFilesTest, AShapefileWithoutPrj) {
  const std::string shape = folder_.shapefile("blocks");
  const auto unknown = importPublic(Kind::Blocks, {.source = shape}, {}, progress_);
  ASSERT_FALSE(unknown.ok());
  EXPECT_EQ(unknown.problem().code, ProblemCode::CrsMismatch);
  EXPECT_NE(unknown.problem().mend.find("--crs EPSG:"), std::string::npos);
  expectUseful(unknown.problem());
  const auto known = importPublic(Kind::Blocks, {.source = shape, .crs = "EPSG:26986"}, {}, progress_);
  ASSERT_OK(known);
  EXPECT_EQ(known->layer.table.find("id")->textAt(0), "390170101001000");
  EXPECT_EQ(known->layer.crs.authority(), "EPSG:26986");
}

TEST_F(BadFilesTest, RowsWithMoreFieldsThanHeadingsAreRefused) {
  const auto import = visits(folder_.file("v.csv", "date,address\n2025-03-04,1 Elm St\n2025-03-05,2 Elm St, Fairford\n"));
  ASSERT_OK(import);
  EXPECT_EQ(import->batch.report.refused.size(), 1U);
  EXPECT_EQ(import->batch.report.refused[0].line, 3U);
}

TEST_F(BadFilesTest, AWorkbookOfVisitsWithSerialDates) {
  const std::string book = folder_.workbook("v.xlsx", {{"Visit date", "Street address", "Dogs", "Result"},
                                                       {"=45720", "12 Elm St", "=2", "not home"},
                                                       {"3/15/2025", "14 Elm St", "=1", "welcomed"},
                                                       {"2025-02-31", "16 Elm St", "=1", "welcomed"}});
  const auto import = visits(book);
  ASSERT_OK(import);
  const Table& looks = import->batch.rows.at(Entity::Looks);
  ASSERT_EQ(looks.rows(), 2U);
  EXPECT_EQ(looks.find("date")->textAt(0), "2025-03-04");
  EXPECT_EQ(looks.find("dogs_seen")->asInteger(0), 2);
  ASSERT_EQ(import->batch.report.refused.size(), 1U);
  EXPECT_EQ(import->batch.report.refused[0].line, 4U);
  EXPECT_EQ(import->batch.sha256.size(), 64U);
}

TEST_F(BadFilesTest, StoppingLeavesNothing) {
  std::stop_source stop;
  stop.request_stop();
  Progress stopped({}, stop.get_token(), 1);
  const auto import = importVisits(folder_.file("v.csv", "date,address\n2025-03-04,1 Elm St\n"), {}, frame(), stopped);
  ASSERT_FALSE(import.ok());
  EXPECT_EQ(import.problem().code, ProblemCode::Cancelled);
}

}  // namespace
}  // namespace leeward::importers
