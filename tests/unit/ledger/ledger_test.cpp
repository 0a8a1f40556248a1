// Opening, taking in, reading, putting.
#include "shared/ledger/ledger.h"

#include <thread>

#include "tests/unit/ledger/fixture.h"

namespace leeward {
namespace {

using test::at;
using test::count;
using test::modeOf;
using test::premises;
using test::query;
using test::read;
using test::stateKey;
using test::visitsBatch;

class LedgerTest : public test::LedgerFixture {};

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
  EXPECT_EQ(filesInFolder(), 1U);
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

TEST_F(LedgerTest, TablesReadSideBySideAreThoseReadOneByOneAndOfOneMoment) {
  Ledger ledger = make();
  take(ledger, visitsBatch(300, "a.csv"));
  const std::vector<Entity> wanted = {Entity::Looks, Entity::Visits, Entity::Checks, Entity::Services, Entity::Sightings};
  const auto ids = [](const Table& table) {
    std::vector<std::string> all;
    for (std::size_t row = 0; row < table.rows(); ++row) all.push_back(table.find("id")->asText(row));
    return all;
  };
  for (const unsigned threads : {1U, 2U, 4U}) {
    Progress many(nullptr, std::stop_token{}, threads);
    const auto tables = ledger.read(wanted, many);
    ASSERT_OK(tables);
    for (std::size_t i = 0; i < wanted.size(); ++i) {
      const auto alone = ledger.read(wanted[i]);
      ASSERT_OK(alone);
      EXPECT_EQ(ids((*tables)[i]), ids(*alone)) << threads << " threads, table " << i;
      EXPECT_EQ((*tables)[i].columns().size(), alone->columns().size());
    }
  }
  // Another program takes files in while tables are read: every look has its animal, or neither is there.
  std::jthread other([&](const std::stop_token& stop) {
    auto again = Ledger::open(file()).value();
    Progress quiet;
    for (std::size_t turn = 1; turn < 200 && !stop.stop_requested(); ++turn) EXPECT_OK(again.take(visitsBatch(5, fmt::format("{}.csv", turn), 1, 300 + 5 * turn), quiet));
  });
  Progress two(nullptr, std::stop_token{}, 2);
  for (int turn = 0; turn < 40; ++turn) {
    const auto tables = ledger.read(wanted, two);
    ASSERT_OK(tables);
    for (const std::size_t of : {1U, 2U, 3U}) EXPECT_EQ((*tables)[0].rows(), (*tables)[of].rows()) << turn;
  }
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

TEST_F(LedgerTest, EmptyAndMissingTextAreNotTheSame) {
  Ledger ledger = make();
  ImportBatch batch = visitsBatch(2, "a.csv");
  Column return_by("return_by", Column::Kind::Text);
  return_by.addText("");
  return_by.addMissing();
  Column crew("crew", Column::Kind::Text);
  crew.addMissing();
  crew.addText("north");
  batch.rows[Entity::Looks].add(return_by);
  batch.rows[Entity::Looks].add(crew);
  take(ledger, batch);
  const Table looks = read(ledger, Entity::Looks);
  EXPECT_EQ(at(looks, "return_by", 0), "");
  EXPECT_EQ(at(looks, "return_by", 1), "NULL");
  EXPECT_EQ(at(looks, "crew", 0), "") << "a missing value gets the default where NULL is not allowed";
}

TEST_F(LedgerTest, TheChangeLogIsShortForImportsAndWholeForChanges) {
  Ledger ledger = make();
  take(ledger, visitsBatch(5, "a.csv"));
  EXPECT_EQ(query(file(), "SELECT table_name, action, count, before FROM change_log ORDER BY sequence"),
            (std::vector<std::string>{"imports|insert|1|NULL", "looks|import|5|NULL", "visits|import|5|NULL",
                                      "checks|import|5|NULL", "services|import|5|NULL"}));
  const std::string visit = at(read(ledger, Entity::Visits), "id", 1);
  const std::string look = at(read(ledger, Entity::Looks), "id", 1);
  take(ledger, visitsBatch(1, "b.csv", 2, 1));
  const auto updated =
      query(file(), "SELECT row_id, before ->> 'notes', before ->> 'date' FROM change_log WHERE action = 'update'");
  EXPECT_EQ(updated, (std::vector<std::string>{look + "|gate sticks, version 1|NULL"})) << "only what changed is kept";
  const auto deleted = query(file(),
                             "SELECT table_name, before ->> 'id' = row_id, before ->> 'name' FROM change_log "
                             "WHERE action = 'delete' ORDER BY sequence");
  EXPECT_EQ(deleted, (std::vector<std::string>{"services|1|NULL", "checks|1|NULL", "visits|1|Dog 1"}));
  EXPECT_EQ(query(file(), "SELECT count(*) FROM change_log WHERE action = 'delete' AND row_id = '" + visit + "'").front(), "1");
}

TEST_F(LedgerTest, PutLogsTheFormerPosition) {
  Ledger ledger = make();
  const std::string id = newUuid();
  put(ledger, Entity::Premises, premises(id, "1 Elm Street", 5, -71.123456789012345));
  put(ledger, Entity::Premises, premises(id, "1 Elm Street", 5, -71.25));
  EXPECT_EQ(query(file(), "SELECT before FROM change_log WHERE action = 'update'").front(),
            "{\"position\":[-71.12345678901235,42.5]}");
}

TEST_F(LedgerTest, LinksOfLooksAreSetAndOtherColumnsOfTheirsAreNot) {
  Ledger ledger = make();
  take(ledger, visitsBatch(2, "a.csv"));
  const std::string id = newUuid();
  put(ledger, Entity::Premises, premises(id, "1 Elm Street", 5, -71.5));
  Table links;
  links.add(Column::text("id", {at(read(ledger, Entity::Looks), "id", 1)}));
  links.add(Column::text("premises_id", {id}));
  put(ledger, Entity::Looks, links);
  EXPECT_EQ(at(read(ledger, Entity::Looks), "premises_id", 0), "NULL");
  EXPECT_EQ(at(read(ledger, Entity::Looks), "premises_id", 1), id);
  Progress progress;
  Table notes = links;
  notes.add(Column::text("notes", {"rewritten"}));
  EXPECT_FALSE(ledger.put({{Entity::Looks, notes}}, progress).ok());
  Table unknown;
  unknown.add(Column::text("id", {newUuid()}));
  unknown.add(Column::text("premises_id", {id}));
  EXPECT_EQ(ledger.put({{Entity::Looks, unknown}}, progress).problem().code, ProblemCode::NotFound);
  links.column(1) = Column::text("premises_id", {newUuid()});
  EXPECT_FALSE(ledger.put({{Entity::Looks, links}}, progress).ok()) << "a link to nothing is refused";
  EXPECT_TRUE(ledger.check().value().empty());
}

/// Animals as gathered: id, key and the days.
Table animals(const std::vector<std::string>& ids, const std::vector<std::string>& keys) {
  Table table;
  const std::vector<std::string> days(ids.size(), "2025-03-04");
  for (auto& column : {test::texts("id", ids), test::texts("gather_key", keys), test::texts("first_seen", days), test::texts("last_seen", days)})
    table.add(column);
  return table;
}

TEST_F(LedgerTest, AnimalsNoLongerGatheredGoAndTheLinksToThemToo) {
  Ledger ledger = make();
  take(ledger, visitsBatch(3, "a.csv"));
  const std::string first = newUuid(), second = newUuid(), third = newUuid();
  const Table visits = read(ledger, Entity::Visits);
  const auto linked = [&](const std::vector<std::string>& rows, const std::vector<std::string>& to) {
    Table table;
    table.add(test::texts("id", rows));
    table.add(test::texts("animal_id", to));
    return std::vector<std::pair<Entity, Table>>{{Entity::Visits, table}};
  };
  const std::string v0 = at(visits, "id", 0), v1 = at(visits, "id", 1), v2 = at(visits, "id", 2);
  Progress progress;
  ASSERT_OK(ledger.putAllAnimals(animals({first, second}, {"a", "b"}), linked({v0, v1, v2}, {first, second, second}), progress));
  const auto before = stateKey(ledger);
  ASSERT_OK(ledger.putAllAnimals(animals({first, second}, {"a", "b"}), linked({v0, v1, v2}, {first, second, second}), progress));
  EXPECT_EQ(stateKey(ledger), before) << "the same once more is no change";
  // The second is gathered no longer; one of its visits is said to show a third, the other isn't mentioned.
  ASSERT_OK(ledger.putAllAnimals(animals({first, third}, {"a", "c"}), linked({v0, v1}, {first, third}), progress));
  EXPECT_EQ(count(ledger, Entity::Animals), 2U);
  const Table after = read(ledger, Entity::Visits);
  EXPECT_EQ(at(after, "animal_id", 0), first);
  EXPECT_EQ(at(after, "animal_id", 1), third);
  EXPECT_TRUE(after.find("animal_id")->isMissing(2));
  EXPECT_TRUE(ledger.check().value().empty());
  EXPECT_OK(ledger.close());
  const auto log = query(file(), "SELECT table_name, row_id, before FROM change_log WHERE action = 'delete'");
  ASSERT_EQ(log.size(), 1U);
  EXPECT_TRUE(log[0].starts_with("animals|" + second + "|")) << log[0];
  EXPECT_NE(log[0].find(R"("gather_key":"b")"), std::string::npos) << log[0];
  EXPECT_EQ(query(file(), "SELECT before FROM change_log WHERE table_name = 'visits' AND row_id = '" + v2 + "' ORDER BY sequence DESC LIMIT 1"),
            std::vector<std::string>{"{\"animal_id\":\"" + second + "\"}"});
}

TEST_F(LedgerTest, AStoppedGatheringRemovesNothing) {
  Ledger ledger = make();
  Progress progress;
  ASSERT_OK(ledger.putAllAnimals(animals({newUuid(), newUuid()}, {"a", "b"}), {}, progress));
  std::stop_source stop;
  stop.request_stop();
  Progress stopped({}, stop.get_token(), 1);
  EXPECT_EQ(ledger.putAllAnimals(animals({newUuid()}, {"c"}), {}, stopped).problem().code, ProblemCode::Cancelled);
  EXPECT_EQ(count(ledger, Entity::Animals), 2U);
}

TEST_F(LedgerTest, TwiceTheSameKeyInOneBatchIsKnownOrAProblem) {
  Ledger ledger = make();
  const auto doubled = [&](bool same) {
    ImportBatch batch = visitsBatch(2, same ? "a.csv" : "b.csv");
    Table& looks = batch.rows[Entity::Looks];
    looks.column(*looks.indexOf("source_key")) = Column::text("source_key", {"V-1", "V-1"});
    if (same) looks.column(*looks.indexOf("content_hash")) = Column::text("content_hash", {"h", "h"});
    return batch;
  };
  const auto taken = take(ledger, doubled(true));
  EXPECT_EQ(taken.added, 1U);
  EXPECT_EQ(taken.known, 1U);
  EXPECT_EQ(count(ledger, Entity::Visits), 1U);
  Progress progress;
  EXPECT_OK(ledger.take(visitsBatch(1, "c.csv"), progress));
  ImportBatch differing = doubled(false);
  Table& looks = differing.rows[Entity::Looks];
  looks.column(*looks.indexOf("source_key")) = Column::text("source_key", {"V-2", "V-2"});
  const auto refused = ledger.take(differing, progress);
  ASSERT_FALSE(refused.ok());
  EXPECT_NE(refused.problem().text().find("V-2"), std::string::npos);
  EXPECT_EQ(count(ledger, Entity::Looks), 2U);
}

TEST_F(LedgerTest, AStopLeavesNothing) {
  Ledger ledger = make();
  const std::string key = stateKey(ledger);
  std::stop_source stop;
  Progress progress(
      [&](double, std::string_view message) {
        if (message == "writing visits") stop.request_stop();
      },
      stop.get_token(), 1);
  const auto taken = ledger.take(visitsBatch(3000, "a.csv"), progress);
  ASSERT_FALSE(taken.ok());
  EXPECT_EQ(taken.problem().code, ProblemCode::Cancelled);
  EXPECT_EQ(count(ledger, Entity::Looks), 0U);
  EXPECT_EQ(count(ledger, Entity::Imports), 0U);
  EXPECT_EQ(stateKey(ledger), key);
}

TEST_F(LedgerTest, OutputsAndSettingsDoNotChangeTheStateKey) {
  Ledger ledger = make();
  take(ledger, visitsBatch(2, "a.csv"));
  const std::string key = stateKey(ledger);
  EXPECT_OK(ledger.setSetting("area", "north"));
  Table receipt;
  for (const auto& [name, value] : std::vector<std::pair<std::string, std::string>>{{"id", newUuid()},
                                                                                    {"sha256", "0"},
                                                                                    {"file_name", "a.pdf"},
                                                                                    {"audience", "crew"},
                                                                                    {"made_at", "2025-01-01T00:00:00Z"},
                                                                                    {"receipt", "{}"}}) {
    receipt.add(Column::text(name, {value}));
  }
  put(ledger, Entity::Outputs, receipt);
  EXPECT_EQ(count(ledger, Entity::Outputs), 1U);
  EXPECT_EQ(ledger.setting("area").value(), "north");
  EXPECT_EQ(stateKey(ledger), key);
}

TEST_F(LedgerTest, PositionsAreWhatSpatialiteMakesOfThem) {
  {
    Ledger ledger = make();
    take(ledger, visitsBatch(3, "a.csv"));
  }
  EXPECT_EQ(query(file(), "SELECT ST_AsText(position) FROM looks WHERE source_key = 'V-000000'", true).front(), "POINT(-71 42)");
  EXPECT_EQ(query(file(), "SELECT hex(position) = hex(MakePoint(ST_X(position), ST_Y(position), 4326)) FROM looks", true),
            (std::vector<std::string>{"1", "1", "1"}));
  EXPECT_EQ(query(file(), "SELECT srid FROM spatial_ref_sys").size(), 1U);
  EXPECT_EQ(query(file(), "SELECT f_table_name FROM geometry_columns WHERE srid = 4326 ORDER BY 1"),
            (std::vector<std::string>{"looks", "photos", "placements", "premises", "sightings"}));
}

}  // namespace
}  // namespace leeward
