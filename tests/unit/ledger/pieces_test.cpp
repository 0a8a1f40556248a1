// A file that comes in pieces goes in as one import, all of it or nothing.
#include <stop_token>

#include "tests/unit/ledger/batches.h"
#include "tests/unit/ledger/fixture.h"

namespace leeward::test {
namespace {

class PiecesTest : public LedgerFixture {
 protected:
  /// Gives pieces of ten looks each from `from` on, `count` of them, then `end`.
  static Ledger::NextPiece pieces(std::size_t from, std::size_t count, Result<bool> end = false) {
    return [from, count, end, given = std::size_t{0}](ImportBatch& piece) mutable -> Result<bool> {
      if (given == count) return end;
      piece = visitsBatch(10, "log.csv", 1, from + 10 * given++);
      piece.report.refused.push_back({1, "date", "?", "no day", "?,1 Elm St", {}});
      return true;
    };
  }
  static ImportBatch head() {
    ImportBatch head = visitsBatch(0, "log.csv");
    head.report.read = 36, head.report.kept = 30;
    head.report.remarks = {"said at the end"};
    return head;
  }
};

TEST_F(PiecesTest, ThePiecesOfAFileAreOneImport) {
  Ledger ledger = make();
  take(ledger, visitsBatch(5, "before.csv"));
  Progress progress;
  const auto taken = ledger.take(head(), pieces(0, 3), progress);
  ASSERT_OK(taken);
  EXPECT_EQ(taken->added, 25U);
  EXPECT_EQ(taken->known, 5U);
  EXPECT_EQ(count(ledger, Entity::Looks), 30U);
  EXPECT_EQ(count(ledger, Entity::Visits), 30U) << "children of known looks stay out";
  EXPECT_EQ(count(ledger, Entity::RefusedRows), 3U);
  ASSERT_OK(ledger.close());
  EXPECT_EQ(query(file(), "SELECT rows_read || ' ' || rows_kept || ' ' || rows_known || ' ' || rows_refused || ' ' || remarks FROM imports ORDER BY id DESC LIMIT 1"),
            std::vector<std::string>{"36 30 5 3 said at the end"});
}

TEST_F(PiecesTest, TheSameFileAgainIsNotEvenRead) {
  Ledger ledger = make();
  Progress progress;
  ASSERT_OK(ledger.take(head(), pieces(0, 2), progress));
  const auto again = ledger.take(head(), [](ImportBatch&) -> Result<bool> { return Problem{ProblemCode::Internal, "it was read", "", ""}; }, progress);
  ASSERT_OK(again);
  EXPECT_TRUE(again->same_file_before);
}

TEST_F(PiecesTest, AProblemAfterTheFirstPiecesLeavesNothing) {
  Ledger ledger = make();
  const std::string key = stateKey(ledger);
  Progress progress;
  const auto taken = ledger.take(head(), pieces(0, 3, Problem{ProblemCode::BadData, "the end is missing", "log.csv", ""}), progress);
  ASSERT_FALSE(taken.ok());
  EXPECT_EQ(taken.problem().what, "the end is missing");
  for (const Entity entity : {Entity::Imports, Entity::Looks, Entity::Visits, Entity::RefusedRows}) EXPECT_EQ(count(ledger, entity), 0U) << tableName(entity);
  EXPECT_EQ(stateKey(ledger), key);
}

TEST_F(PiecesTest, AStopBetweenPiecesLeavesNothing) {
  Ledger ledger = make();
  std::stop_source stop;
  Progress progress({}, stop.get_token(), 1);
  auto three = pieces(0, 3);
  std::size_t given = 0;
  const auto taken = ledger.take(
      head(),
      [&](ImportBatch& piece) {
        if (++given == 3) stop.request_stop();
        return three(piece);
      },
      progress);
  ASSERT_FALSE(taken.ok());
  EXPECT_EQ(taken.problem().code, ProblemCode::Cancelled);
  EXPECT_EQ(count(ledger, Entity::Looks), 0U);
}

TEST_F(PiecesTest, RowsOfOneLookInTwoPiecesThatDifferAreRefused) {
  Ledger ledger = make();
  Progress progress;
  std::size_t given = 0;
  const auto taken = ledger.take(
      head(),
      [&](ImportBatch& piece) -> Result<bool> {
        if (given == 2) return false;
        piece = visitsBatch(3, "log.csv", static_cast<int>(++given));
        return true;
      },
      progress);
  ASSERT_FALSE(taken.ok());
  EXPECT_EQ(taken.problem().code, ProblemCode::BadData);
  EXPECT_NE(taken.problem().text().find("V-000000"), std::string::npos) << taken.problem().text();
  EXPECT_NE(taken.problem().text().find("Sort the file"), std::string::npos);
  EXPECT_EQ(count(ledger, Entity::Looks), 0U);
}

}  // namespace
}  // namespace leeward::test
