// Opening, taking in, reading, putting.
#include "shared/ledger/ledger.h"

#include <sys/stat.h>

#include "shared/base/files.h"
#include "tests/support/data.h"
#include "tests/unit/ledger/batches.h"

namespace leeward {
namespace {

namespace fs = std::filesystem;
using test::visitsBatch;

class LedgerTest : public testing::Test {
 protected:
  Ledger make() {
    auto made = Ledger::create(file());
    EXPECT_OK(made);
    return std::move(made).value();
  }
  TakenIn take(Ledger& ledger, const ImportBatch& batch) {
    Progress progress;
    auto taken = ledger.take(batch, progress);
    EXPECT_OK(taken);
    return taken ? *taken : TakenIn{};
  }
  void put(Ledger& ledger, Entity entity, const Table& rows) {
    Progress progress;
    EXPECT_OK(ledger.put({{entity, rows}}, progress));
  }
  fs::path file() const { return folder_.path() / "ledger.sqlite"; }
  TemporaryFolder folder_;
};

std::uint64_t count(const Ledger& ledger, Entity entity) {
  const auto counted = ledger.count(entity);
  EXPECT_OK(counted);
  return counted ? *counted : 0;
}

Table read(const Ledger& ledger, Entity entity) {
  auto table = ledger.read(entity);
  EXPECT_OK(table);
  return table ? std::move(table).value() : Table{};
}

std::string at(const Table& table, const std::string& column, std::size_t row) {
  const Column* found = table.find(column);
  EXPECT_NE(found, nullptr) << column;
  return !found ? "" : found->isMissing(row) ? "NULL" : found->asText(row);
}

std::string stateKey(const Ledger& ledger) {
  const auto key = ledger.stateKey();
  EXPECT_OK(key);
  return key ? *key : "";
}

Table premises(const std::string& id, const std::string& address, double uncertainty_m, std::optional<double> lon) {
  Table table;
  table.add(Column::text("id", {id}));
  table.add(Column::text("address", {address}));
  table.add(Column::reals("uncertainty_m", {uncertainty_m}));
  table.add(Column::reals("lon", {lon.value_or(std::nan(""))}));
  table.add(Column::reals("lat", {lon ? 42.5 : std::nan("")}));
  return table;
}

unsigned modeOf(const fs::path& file) {
  struct stat status {};
  return ::stat(file.c_str(), &status) == 0 ? status.st_mode & 0777U : 0;
}

TEST_F(LedgerTest, ANewLedgerIsPrivateHasItsSecretAndLeavesNoSideFiles) {
  Ledger ledger = make();
  EXPECT_EQ(modeOf(file()), 0600U);
  const auto secret = ledger.setting("masking_secret");
  ASSERT_OK(secret);
  ASSERT_TRUE(*secret);
  EXPECT_EQ((*secret)->size(), 64U);
  EXPECT_TRUE(ledger.setting("study_id").value());
  EXPECT_FALSE(ledger.setting("nothing of the kind").value());
  take(ledger, visitsBatch(3, "a.csv"));
  EXPECT_EQ(modeOf(file().string() + "-wal"), 0600U);
  EXPECT_EQ(modeOf(file().string() + "-shm"), 0600U);
  EXPECT_OK(ledger.close());
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_.path()), fs::directory_iterator{}), 1);
  EXPECT_FALSE(ledger.count(Entity::Looks).ok()) << "a closed ledger answers with a problem";
}

TEST_F(LedgerTest, CreatingOverAFileIsRefused) {
  make();
  const auto again = Ledger::create(file());
  ASSERT_FALSE(again.ok());
  EXPECT_EQ(again.problem().code, ProblemCode::AlreadyExists);
}

TEST_F(LedgerTest, WhatGoesInComesOutTheSame) {
  {
    Ledger ledger = make();
    ImportBatch batch = visitsBatch(5, "a.csv");
    batch.report.refused.push_back({.line = 7, .column = "date", .value = "31 Feb", .reason = "no such day", .row = "31 Feb,x"});
    batch.report.remarks = {"one", "two"};
    const auto taken = take(ledger, batch);
    EXPECT_EQ(taken.added, 5U);
    EXPECT_EQ(taken.changed + taken.known, 0U);
    EXPECT_FALSE(taken.same_file_before);
  }
  auto opened = Ledger::open(file());
  ASSERT_OK(opened);
  const Table looks = read(*opened, Entity::Looks);
  ASSERT_EQ(looks.rows(), 5U);
  EXPECT_EQ(at(looks, "source_key", 3), "V-000003");
  EXPECT_EQ(looks.find("lon")->asReal(3), -71.0 - 3e-6) << "to the last bit";
  EXPECT_EQ(looks.find("lat")->asReal(3), 42.0 + 3e-6);
  EXPECT_EQ(at(looks, "phone", 0), "") << "a column that was not given has the schema's default";
  EXPECT_EQ(at(looks, "dogs_seen", 0), "NULL");
  const Table visits = read(*opened, Entity::Visits);
  EXPECT_EQ(at(visits, "look_id", 2), at(looks, "id", 2));
  EXPECT_EQ(at(read(*opened, Entity::Services), "quantity", 0), "1");
  const Table refused = read(*opened, Entity::RefusedRows);
  ASSERT_EQ(refused.rows(), 1U);
  EXPECT_EQ(at(refused, "line", 0), "7");
  EXPECT_EQ(at(refused, "row", 0), "31 Feb,x");
  const Table imports = read(*opened, Entity::Imports);
  EXPECT_EQ(at(imports, "remarks", 0), "one\ntwo");
  EXPECT_EQ(at(imports, "rows_refused", 0), "1");
  EXPECT_EQ(at(looks, "import_id", 0), at(imports, "id", 0));
}

TEST_F(LedgerTest, TheSameFileTwiceAddsNothing) {
  Ledger ledger = make();
  const auto first = take(ledger, visitsBatch(5, "a.csv"));
  const std::string key = stateKey(ledger);
  const auto second = take(ledger, visitsBatch(5, "a.csv"));
  EXPECT_TRUE(second.same_file_before);
  EXPECT_EQ(second.import_id, first.import_id);
  EXPECT_EQ(count(ledger, Entity::Looks), 5U);
  EXPECT_EQ(count(ledger, Entity::Imports), 1U);
  EXPECT_EQ(stateKey(ledger), key);
}

TEST_F(LedgerTest, KnownLooksAreLeftAloneWithTheirChildren) {
  Ledger ledger = make();
  take(ledger, visitsBatch(5, "a.csv"));
  const Table before = read(ledger, Entity::Visits);
  const auto taken = take(ledger, visitsBatch(8, "b.csv"));  // the first five again
  EXPECT_EQ(taken.known, 5U);
  EXPECT_EQ(taken.added, 3U);
  EXPECT_EQ(taken.changed, 0U);
  const Table after = read(ledger, Entity::Visits);
  ASSERT_EQ(after.rows(), 8U);
  for (std::size_t row = 0; row < 5; ++row) EXPECT_EQ(at(after, "id", row), at(before, "id", row));
  EXPECT_EQ(count(ledger, Entity::Checks), 8U);
  EXPECT_EQ(count(ledger, Entity::Services), 8U);
  EXPECT_EQ(at(read(ledger, Entity::Imports), "rows_known", 1), "5");
}

TEST_F(LedgerTest, AChangedLookKeepsItsIdAndGetsTheNewChildren) {
  Ledger ledger = make();
  take(ledger, visitsBatch(5, "a.csv"));
  const Table before = read(ledger, Entity::Looks);
  const auto taken = take(ledger, visitsBatch(2, "b.csv", 2, 1));  // looks 1 and 2 say something else now
  EXPECT_EQ(taken.changed, 2U);
  EXPECT_EQ(taken.added + taken.known, 0U);
  const Table after = read(ledger, Entity::Looks);
  ASSERT_EQ(after.rows(), 5U);
  for (std::size_t row = 0; row < 5; ++row) EXPECT_EQ(at(after, "id", row), at(before, "id", row));
  EXPECT_EQ(at(after, "notes", 1), "gate sticks, version 2");
  EXPECT_EQ(at(after, "notes", 3), "gate sticks, version 1");
  EXPECT_EQ(at(after, "import_id", 1), taken.import_id);
  const Table visits = read(ledger, Entity::Visits);
  ASSERT_EQ(visits.rows(), 5U);
  EXPECT_EQ(count(ledger, Entity::Services), 5U);
  const Table checks = read(ledger, Entity::Checks);
  ASSERT_EQ(checks.rows(), 5U);
  std::size_t met = 0;
  for (std::size_t row = 0; row < 5; ++row) met += at(checks, "items", row) == "house=met;water=met" ? 1U : 0U;
  EXPECT_EQ(met, 2U);
  EXPECT_TRUE(ledger.check().value().empty());
}

TEST_F(LedgerTest, AnUnknownColumnIsNamedAndNothingIsWritten) {
  Ledger ledger = make();
  ImportBatch batch = visitsBatch(3, "a.csv");
  batch.rows[Entity::Checks].add(Column::text("moood", {"a", "b", "c"}));
  Progress progress;
  const auto taken = ledger.take(batch, progress);
  ASSERT_FALSE(taken.ok());
  EXPECT_EQ(taken.problem().code, ProblemCode::Internal);
  EXPECT_NE(taken.problem().text().find("moood"), std::string::npos);
  EXPECT_EQ(count(ledger, Entity::Imports), 0U);
  EXPECT_EQ(count(ledger, Entity::Looks), 0U);
}

TEST_F(LedgerTest, PutAddsUpdatesAndLeavesAlone) {
  Ledger ledger = make();
  const std::string id = newUuid();
  put(ledger, Entity::Premises, premises(id, "1 Elm Street", 5, -71.5));
  const std::string first = stateKey(ledger);
  put(ledger, Entity::Premises, premises(id, "1 Elm Street", 5, -71.5));
  EXPECT_EQ(stateKey(ledger), first) << "the same again is no change";
  put(ledger, Entity::Premises, premises(id, "1 Elm Street", 5, -71.25));
  EXPECT_NE(stateKey(ledger), first);
  Table table = read(ledger, Entity::Premises);
  ASSERT_EQ(table.rows(), 1U);
  EXPECT_EQ(table.find("lon")->asReal(0), -71.25);
  put(ledger, Entity::Premises, premises(id, "1 Elm Street", 5, std::nullopt));
  EXPECT_EQ(at(read(ledger, Entity::Premises), "lat", 0), "NULL");
}

}  // namespace
}  // namespace leeward
