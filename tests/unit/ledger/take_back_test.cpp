// Imports taken back, rows corrected without an id of their own, refused rows that were corrected, receipts.
#include <algorithm>

#include "shared/ledger/ledger.h"
#include "shared/ledger/receipt.h"
#include "tests/unit/ledger/fixture.h"

namespace leeward {
namespace {

using test::at;
using test::count;
using test::query;
using test::read;
using test::visitsBatch;

class TakeBackTest : public test::LedgerFixture {
 protected:
  std::string contents() {
    std::string all;
    for (const char* table : {"looks", "visits", "checks", "services", "permissions", "treatments", "outcomes", "referrals", "sightings", "refused_rows",
                              "imports", "placements", "premises", "animals"}) {
      for (const auto& row : query(file(), std::string("SELECT * FROM ") + table)) all += std::string(table) + " " + row + "\n";
    }
    return all;
  }
  Result<ImportStanding> takeBack(Ledger& ledger, const std::string& id, bool decided_too = false) {
    Progress progress;
    return ledger.takeBack(id, decided_too, progress);
  }
  /// Places the looks of the ledger at one premises, as a run does.
  void place(Ledger& ledger, const std::string& typed) {
    const std::string placement = newUuid();
    put(ledger, Entity::Premises, test::premises("P-" + typed, typed, 5, -71.0));
    Table placements;
    for (const auto& [name, value] : std::vector<std::pair<std::string, std::string>>{
             {"id", placement}, {"typed_key", typed}, {"decision", "placed"}, {"placed_by", "point"}, {"premises_id", "P-" + typed}}) {
      placements.add(Column::text(name, {value}));
    }
    placements.add(Column::reals("score", {1}));
    put(ledger, Entity::Placements, placements);
    const Table looks = read(ledger, Entity::Looks);
    Table links;
    std::vector<std::string> ids, placed(looks.rows(), placement), at_premises(looks.rows(), "P-" + typed);
    for (std::size_t row = 0; row < looks.rows(); ++row) ids.push_back(at(looks, "id", row));
    links.add(Column::text("id", ids)), links.add(Column::text("placement_id", placed)), links.add(Column::text("premises_id", at_premises));
    put(ledger, Entity::Looks, links);
  }
};

/// `count` looks without ids of their own: the key is what they are made of, as the importer makes it.
ImportBatch rowsBatch(const std::string& file, const std::string& sha, const std::vector<std::array<std::string, 4>>& looks) {
  ImportBatch batch = visitsBatch(looks.size(), file);
  batch.sha256 = sha;
  Table& table = batch.rows[Entity::Looks];
  Table& visits = batch.rows[Entity::Visits];
  std::vector<std::string> key, date, crew, address, name;
  for (const auto& [on, by, where, dog] : looks) {
    key.push_back("row:" + sha256Hex(on + by + where)), date.push_back(on), crew.push_back(by), address.push_back(where), name.push_back(dog);
  }
  const auto with = [](const Table& of, const std::map<std::string, std::vector<std::string>>& columns) {
    Table out;
    for (const auto& column : of.columns()) {
      if (!columns.contains(column.name())) out.add(column);
    }
    for (const auto& [column, values] : columns) out.add(Column::text(column, values));
    return out;
  };
  table = with(table, {{"source_key", key}, {"content_hash", key}, {"date", date}, {"crew", crew}, {"address", address}});
  visits = with(visits, {{"name", name}});
  return batch;
}

TEST_F(TakeBackTest, AnImportLeavesWithAllThatHangsOnItAndComesAgain) {
  Ledger ledger = make();
  const auto first = take(ledger, visitsBatch(4, "a.csv"));
  const std::string before = contents();
  ImportBatch other = visitsBatch(3, "b.csv", 1, 10);
  other.report.refused.push_back({.line = 7, .column = "date", .value = "31 Feb", .reason = "no such day", .row = "31 Feb,x"});
  const auto second = take(ledger, other);
  EXPECT_EQ(count(ledger, Entity::Looks), 7U);
  const auto list = ledger.imports();
  ASSERT_OK(list);
  ASSERT_EQ(list->size(), 2U);
  EXPECT_EQ((*list)[1].file_name, "b.csv");
  EXPECT_EQ((*list)[1].rows, 3U);
  EXPECT_EQ((*list)[1].refused, 1U);
  const auto back = takeBack(ledger, second.import_id);
  ASSERT_OK(back);
  EXPECT_EQ(back->rows, 3U);
  EXPECT_EQ(contents(), before) << "as if the file had never come";
  // 3 looks, 3 visits, 3 checks, 3 services, 1 refused row, 1 import: 14 lines, each with the whole row.
  EXPECT_EQ(query(file(), "SELECT count(*) FROM change_log WHERE action = 'delete' AND before LIKE '{%'"), std::vector<std::string>{"14"});
  EXPECT_TRUE(ledger.check().value().empty());
  const auto again = take(ledger, other);
  EXPECT_FALSE(again.same_file_before);
  EXPECT_EQ(again.added, 3U);
  EXPECT_EQ(count(ledger, Entity::Looks), 7U);
  EXPECT_EQ(takeBack(ledger, "nothing of the kind").problem().code, ProblemCode::NotFound);
  EXPECT_OK(takeBack(ledger, first.import_id));
  EXPECT_EQ(count(ledger, Entity::Looks), 3U);
}

TEST_F(TakeBackTest, PlacementsGoWithTheirLastRowAndStayWithAnother) {
  Ledger ledger = make();
  const auto first = take(ledger, visitsBatch(2, "a.csv"));
  const auto second = take(ledger, visitsBatch(2, "b.csv", 1, 10));
  place(ledger, "12 Oak St |  | ");
  ASSERT_OK(takeBack(ledger, second.import_id));
  EXPECT_EQ(count(ledger, Entity::Placements), 1U);
  EXPECT_EQ(count(ledger, Entity::Premises), 1U);
  ASSERT_OK(takeBack(ledger, first.import_id));
  EXPECT_EQ(count(ledger, Entity::Placements), 0U);
  EXPECT_EQ(count(ledger, Entity::Premises), 0U);
  EXPECT_TRUE(ledger.check().value().empty());
}

TEST_F(TakeBackTest, HandDecisionsHoldItUntilConfirmed) {
  Ledger ledger = make();
  const auto taken = take(ledger, visitsBatch(2, "a.csv"));
  place(ledger, "12 Oak St |  | ");
  Table decision;
  for (const auto& [name, value] : std::vector<std::pair<std::string, std::string>>{
           {"id", newUuid()}, {"decided_at", "2025-06-30"}, {"kind", "accept"}, {"typed", "12 Oak St |  | "}, {"meant", "12 Oak Street"}}) {
    decision.add(Column::text(name, {value}));
  }
  put(ledger, Entity::Decisions, decision);
  const std::string before = contents();
  const auto refused = takeBack(ledger, taken.import_id);
  ASSERT_FALSE(refused.ok());
  EXPECT_EQ(refused.problem().code, ProblemCode::AlreadyExists);
  EXPECT_EQ(contents(), before);
  ASSERT_OK(takeBack(ledger, taken.import_id, true));
  EXPECT_EQ(count(ledger, Entity::Looks), 0U);
  EXPECT_EQ(count(ledger, Entity::Decisions), 1U) << "about the address as typed; it holds again when the file comes again";
}

TEST_F(TakeBackTest, AStopChangesNothing) {
  Ledger ledger = make();
  const auto taken = take(ledger, visitsBatch(3, "a.csv"));
  const std::string before = contents();
  std::stop_source stop;
  stop.request_stop();
  Progress stopped(Progress::Sink{}, stop.get_token(), 1);
  EXPECT_EQ(ledger.takeBack(taken.import_id, false, stopped).problem().code, ProblemCode::Cancelled);
  EXPECT_EQ(contents(), before);
}

TEST_F(TakeBackTest, ItIsToldWhoseRowsItReplacedAndWhoRepeatsIts) {
  Ledger ledger = make();
  take(ledger, visitsBatch(4, "a.csv"));
  const auto second = take(ledger, visitsBatch(2, "b.csv", 2, 0));  // corrects two rows of a.csv
  take(ledger, visitsBatch(4, "c.csv", 1, 2));                      // repeats two of a.csv, adds two
  const auto back = takeBack(ledger, second.import_id);
  ASSERT_OK(back);
  EXPECT_EQ(back->rows, 2U);
  EXPECT_EQ(back->corrected, std::vector<std::string>{"a.csv"});
  EXPECT_EQ(back->repeated_in, std::vector<std::string>{"c.csv"});
}

TEST_F(TakeBackTest, ACorrectedRowWithoutAnIdOfItsOwnDoesNotStandTwice) {
  const std::vector<std::array<std::string, 4>> log = {
      {"2025-03-04", "van a", "12 Oak St", "Zora"}, {"2025-03-04", "van a", "14 Oak St", "Rex"},   {"2025-03-05", "van b", "3 Elm Ave", ""},
      {"2025-03-06", "van b", "5 Elm Ave", "Bo"},   {"2025-03-07", "van a", "9 Birch Ct", "Luna"}, {"2025-03-08", "van a", "11 Birch Ct", ""}};
  Ledger ledger = make();
  take(ledger, rowsBatch("log.xlsx", "one", log));
  auto corrected = log;
  corrected[0][2] = "12 Oak Street";                                          // the address; same day, crew and dog
  corrected[2][1] = "van a";                                                  // the crew
  corrected[3][0] = "2025-06-03";                                             // day and month were exchanged
  corrected.push_back({"2025-07-01", "van a", "12 Oak Street", "Zora"});      // a return visit is a new row
  const auto taken = take(ledger, rowsBatch("log.xlsx", "two", corrected));
  EXPECT_EQ(taken.recognised, 3U);
  EXPECT_EQ(taken.changed, 3U);
  EXPECT_EQ(taken.known, 3U);
  EXPECT_EQ(taken.added, 1U);
  EXPECT_EQ(count(ledger, Entity::Looks), 7U);
  EXPECT_EQ(count(ledger, Entity::Visits), 7U);
  EXPECT_TRUE(taken.gone.empty());
  EXPECT_TRUE(taken.alike.empty());
}

TEST_F(TakeBackTest, TheSameBytesReadOtherwiseAreTheSameRows) {
  std::vector<std::array<std::string, 4>> log;
  for (int i = 0; i < 40; ++i) log.push_back({"2025-03-" + std::to_string(10 + i / 2), "", std::to_string(100 + i) + " Oak St", i % 3 == 0 ? "Rex" : ""});
  Ledger ledger = make();
  ImportBatch first = rowsBatch("log.csv", "one", log);
  take(ledger, first);
  for (auto& row : log) row[1] = "van a";  // now the crew's column was taken as well, so every row is known by something else
  ImportBatch second = rowsBatch("renamed.csv", "two", log);
  second.sha256 = first.sha256, second.columns = "date=Date\ncrew=Who\n";
  const auto taken = take(ledger, second);
  EXPECT_EQ(taken.added, 0U);
  EXPECT_EQ(taken.changed, 40U);
  EXPECT_EQ(count(ledger, Entity::Looks), 40U);
  EXPECT_TRUE(taken.alike.empty());
}

TEST_F(TakeBackTest, RowsThatLeftTheFileStayAndAreTold) {
  Ledger ledger = make();
  take(ledger, rowsBatch("log.xlsx", "one", {{"2025-03-04", "van a", "12 Oak St", ""}, {"2025-03-05", "van a", "3 Elm Ave", ""}, {"2025-03-06", "van a", "5 Elm Ave", ""}}));
  const auto taken = take(ledger, rowsBatch("log.xlsx", "two", {{"2025-03-04", "van a", "12 Oak St", ""}, {"2025-03-05", "van a", "3 Elm Ave", ""}}));
  EXPECT_EQ(count(ledger, Entity::Looks), 3U);
  EXPECT_EQ(taken.gone, std::vector<std::string>{"2025-03-06, 5 elm ave, van a"});
}

TEST_F(TakeBackTest, RowsOfAnotherFileThatAreAlikeAreToldNotMerged) {
  Ledger ledger = make();
  take(ledger, rowsBatch("march.csv", "one", {{"2025-03-04", "van a", "12 Oak St", "Zora"}, {"2025-03-05", "van a", "3 Elm Ave", ""}}));
  ImportBatch other = rowsBatch("typed.csv", "two", {{"2025-03-04", "van b", "12 Oak St", "Zora"}, {"2025-03-05", "van b", "3 Elm Ave", ""}});
  const auto taken = take(ledger, other);
  EXPECT_EQ(taken.added, 2U);
  // The same dog on the same day at the same address; the second row has another crew and no dog: another visit.
  EXPECT_EQ(taken.alike, std::vector<std::string>{"2025-03-04, 12 oak st, van b: like a row of march.csv"});
}

TEST_F(TakeBackTest, ARefusedRowThatCameInSinceIsNotCountedAsRefused) {
  Ledger ledger = make();
  ImportBatch first = visitsBatch(3, "log.csv");
  for (const char* key : {"V-000010", "V-000011", ""}) {
    first.report.refused.push_back({.line = 9, .column = "date", .value = "31 Feb", .reason = "no such day", .row = "x", .key = key});
  }
  take(ledger, first);
  EXPECT_EQ(*ledger.openRefusals(), 3U);
  take(ledger, visitsBatch(1, "corrected.csv", 1, 10));  // V-000010, put right in a file of its own
  EXPECT_EQ(*ledger.openRefusals(), 2U);
  ImportBatch grown = visitsBatch(6, "log.csv");         // the log again: three rows known, one still refused
  grown.sha256 = "grown";
  grown.report.refused.push_back({.line = 9, .column = "date", .value = "31 Feb", .reason = "no such day", .row = "x", .key = "V-000011"});
  take(ledger, grown);
  EXPECT_EQ(*ledger.openRefusals(), 1U);
}

TEST(ReceiptTest, HoldsInputsAndParametersAsJson) {
  Receipt receipt;
  receipt.what = "Sheet: \"coverage\"";
  receipt.version = "1";
  receipt.as_of = "2025-06-30";
  receipt.inputs = {{"visits", "a \"b\".csv", "00ff"}};
  receipt.parameters = {{"looks.knock", "0.8, 0.8, 0.8, 0.8"}};
  EXPECT_EQ(toJson(receipt),
            R"({"what":"Sheet: \"coverage\"","findings":"","version":"1","seed":1,"level":0.9,"as_of":"2025-06-30",)"
            R"("inputs":[{"what":"visits","file":"a \"b\".csv","sha256":"00ff"}],"parameters":{"looks.knock":"0.8, 0.8, 0.8, 0.8"}})");
}

}  // namespace
}  // namespace leeward
