// The store and the vans, from the list as typed to what a crew has to load.
#include <gtest/gtest.h>

#include "shared/base/files.h"
#include "tests/journeys/record/record_study.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

constexpr const char* kList =
    "date,move,item,quantity,unit,van,lot,use_by,cost\n"
    "2025-12-01,in,Bowls,10,piece,,,,30\n"
    "2025-12-02,load,bowl,2,piece,North,,,\n"
    "2025-12-02,load,bowl,2,piece,North,,,\n"
    "2025-12-03,in,dewormer,5,dose,,L7,2026-06-30,\n"
    "2025-12-04,load,dewormer,1,dose,South,,,\n";

/// Rows by their first columns, "a b c".
std::vector<std::string> rowsAs(const Table& table, const std::vector<std::string>& columns) {
  std::vector<std::string> rows;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    std::string text;
    for (const auto& column : columns) text += (text.empty() ? "" : " ") + (field(table, column, row).empty() ? "-" : field(table, column, row));
    rows.push_back(text);
  }
  return rows;
}

struct StockStudy : RecordStudy {
  /// With what is said to people.
  Ran said(const char* verb, const std::vector<std::string>& more) const {
    std::vector<std::string> words = {verb, text()};
    words.insert(words.end(), more.begin(), more.end());
    return leeward(words);
  }
  StockStudy() : RecordStudy(6) {
    Log log;
    log.add(0, {"2025-12-10 crew=North; done=bowl 1; promised=2 bowls; return_by=2026-01-03"});         // North: two bowls
    log.add(1, {"2025-12-10 crew=North; water=unmet; promised=look again; return_by=2026-01-04"});      // North: one bowl, since no water was left (urgent)
    log.add(2, {"2025-12-10 crew=South; treatment=Dewormer|L7|18 kg|2026-01-05"});                      // South: one dewormer
    log.add(3, {"2025-12-10 crew=South; promised=owner will fix the bowl; return_by=2026-01-03"});      // nothing to bring
    log.add(4, {"2025-11-20 crew=North; done=bowl 4"});                                                 // before the list begins
    const Ran taken = call("take-in", {"visits", put(beside("visits.csv"), log.csv())});
    EXPECT_EQ(taken.status, 0) << taken.err;
    const Ran list = said("take-in", {"stock", put(beside("stock.csv"), kList)});
    EXPECT_EQ(list.status, 0) << list.err;
    EXPECT_NE(list.err.find("5 of 5 rows went in"), std::string::npos) << "two equal loads of one day are two: " << list.err;
  }
  Ran stock(std::vector<std::string> more = {}) const {
    more.insert(more.begin(), {"--as-of", kRecordDay});
    return call("stock", more);
  }
};

TEST(StockJourney, BalancesWhatIsDueAndWhatToLoad) {
  const StockStudy study;
  const Ran items = study.stock();
  ASSERT_EQ(items.status, 0) << items.err;
  // By hand: bowls 10 in, 4 loaded, 1 given by North; dewormer 5 in, 1 loaded, that one given by South.
  EXPECT_EQ(rowsAs(csvOfText(items.out), {"item", "in_store", "on_vans", "vans", "given", "to_bring", "short", "use_by", "cost_each"}),
            (std::vector<std::string>{"bowl 6 3 North 3 1 3 0 - 3", "dewormer 4 0 - 1 1 0 2026-06-30 -"}));
  const Ran loads = study.stock({"--by", "crew"});
  EXPECT_EQ(rowsAs(csvOfText(loads.out), {"crew", "item", "to_bring", "on_van", "load", "in_store"}), (std::vector<std::string>{"North bowl 3 3 0 6", "South dewormer 1 0 1 4"}));
  const Ran due = study.said("due", {"--as-of", kRecordDay});
  EXPECT_NE(due.err.find("To bring, North: bowl 3"), std::string::npos) << due.err;
  EXPECT_NE(due.err.find("To bring, South: dewormer 1"), std::string::npos) << due.err;
}

TEST(StockJourney, TheSameListAgainAddsNothingAndAGrownOneOnlyWhatIsNew) {
  const StockStudy study;
  const Ran again = study.said("take-in", {"stock", study.beside("stock.csv").string()});
  EXPECT_NE(again.err.find("taken in before"), std::string::npos) << again.err;
  const Ran grown = study.said("take-in", {"stock", put(study.beside("stock.csv"), std::string(kList) + "2025-12-20,load,bowl,2,piece,North,,,\n2025-12-30,counted,bowl,4,piece,North,,,\n")});
  EXPECT_NE(grown.err.find("2 new stock rows, 0 changed, 5 known before"), std::string::npos) << grown.err;
  EXPECT_EQ(rowsAs(csvOfText(study.stock().out), {"item", "in_store", "on_vans", "counted"}).front(), "bowl 4 4 2025-12-30");
  const Ran back = study.said("take-back", {});
  EXPECT_NE((back.out + back.err).find("stock"), std::string::npos);
}

TEST(StockJourney, WhatCannotBeMeantIsRefusedAndAFileOfAnotherKindIsNotTaken) {
  const StockStudy study;
  const Ran wrong = study.said("take-in", {"stock", put(study.beside("wrong.csv"),
                                                        "date,move,item,quantity,van\n2025-12-01,load,bowl,2,\n2025-12-01,in,bowl,-2,\n2025-12-01,vanished,bowl,1,\n2025-12-01,in,,1,\n2025-12-01,in,bowl,0,\n"
                                                        "2025-12-01,counted,bowl,0,North\n")});
  EXPECT_EQ(wrong.status, 0) << wrong.err;
  EXPECT_NE(wrong.err.find("1 of 6 rows went in"), std::string::npos) << wrong.err;
  const Ran log = study.said("take-in", {"stock", study.beside("visits.csv").string()});
  EXPECT_EQ(log.status, 3);
  EXPECT_NE(log.err.find("looks like visits"), std::string::npos) << log.err;
  EXPECT_EQ(study.said("take-in", {"visits", study.beside("stock.csv").string()}).status, 3);
}

TEST(StockJourney, TheTemplatesComeBackInBothLanguages) {
  const StockStudy study;
  for (const char* language : {"en", "es"}) {
    for (const char* ending : {".xlsx", ".csv"}) {
      const auto file = study.beside(std::string("list-") + language + ending);
      const Ran made = leeward({"template", "stock", "--language", language, "--example", "-o", file.string()});
      ASSERT_EQ(made.status, 0) << made.err;
      const Ran taken = study.said("take-in", {"stock", file.string()});
      EXPECT_EQ(taken.status, 0) << taken.err;
      EXPECT_NE(taken.err.find("1 of 1 rows went in"), std::string::npos) << taken.err;
    }
  }
}

}  // namespace
}  // namespace leeward::test
