#include "importers/sightings.h"

#include <gtest/gtest.h>

#include "tests/unit/importers/files.h"
#include "tests/support/data.h"

namespace leeward::importers {
namespace {

using test::Folder;
using test::frame;
using test::refusedAt;
using test::remarks;

TEST(SightingsTest, RowsBecomeSightings) {
  Folder folder;
  Progress progress;
  const auto import = importSightings(folder.file("s.csv", "id;Date seen;Longitude;Latitude;Where;Type;How many;Reported by\n"
                                                           "S1;04.03.2025;-84,6;39,4;;chained dog;2;neighbor\n"
                                                           "S2;05.03.2025;;;corner of Elm and Oak;doghouse;;team\n"
                                                           "S3;06.03.2025;;;;dog;1;crew\n"
                                                           "S4;06.03.2025;-84,6;39,4;;unicorn;1;crew\n"),
                                      {}, frame(), progress);
  ASSERT_OK(import);
  const Table& table = import->batch.rows.at(Entity::Sightings);
  ASSERT_EQ(table.rows(), 2U);
  EXPECT_EQ(table.find("date")->textAt(0), "2025-03-04");
  EXPECT_EQ(table.find("what")->textAt(0), "dog");
  EXPECT_EQ(table.find("source")->textAt(0), "caller");
  EXPECT_EQ(table.find("count")->asInteger(0), 2);
  EXPECT_EQ(table.find("lon")->asReal(0), -84.6);
  EXPECT_EQ(table.find("address")->textAt(1), "corner of Elm and Oak");
  EXPECT_TRUE(table.find("lon")->isMissing(1));
  EXPECT_NE(refusedAt(import->batch.report, 4).reason.find("neither an address nor a position"), std::string::npos);
  EXPECT_EQ(refusedAt(import->batch.report, 5).column, "Type");
  EXPECT_TRUE(remarks(import->batch.report, "without a count"));
}

TEST(SightingsTest, OneIdThatSaysTwoThingsIsRefusedTwice) {
  Folder folder;
  Progress progress;
  const auto import = importSightings(folder.file("s.csv", "sighting_id,date,address,what\n"
                                                           "S1,2025-03-04,1 Elm St,dog\nS1,2025-03-05,1 Elm St,dog\n"
                                                           "S2,2025-03-04,2 Elm St,pen\nS2,2025-03-04,2 Elm St,pen\n"),
                                      {}, frame(), progress);
  ASSERT_OK(import);
  EXPECT_EQ(import->batch.report.refused.size(), 2U);
  EXPECT_NE(import->batch.report.refused[0].reason.find("lines 2 and 3"), std::string::npos);
  EXPECT_EQ(import->batch.rows.at(Entity::Sightings).rows(), 1U);
  EXPECT_EQ(import->batch.report.kept, 2U);
}

}  // namespace
}  // namespace leeward::importers
