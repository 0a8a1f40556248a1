// Where the town's log is placed, against where the crews really were (sample-data/town/truth/visits_truth.csv).
#include <cstdio>

#include <gtest/gtest.h>

#include "shared/ledger/ledger.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

/// What became of one visit's address.
struct Where {
  std::string premises;  ///< public id; "" = no premises
  double score = 0;
};

struct Score {
  double visits = 0, right = 0, sure_but_wrong = 0;
};

/// Counts against the truth. `readable`: only visits whose typed line still names the door where the crew was; digits that
/// changed places, a number that isn't in the street, or a crossing instead of an address don't (truth's column `mangled`).
Score scored(const std::map<std::string, Where>& placed, bool readable) {
  const Table truth = csvOfFile(townFile("truth/visits_truth.csv"));
  Score score;
  for (std::size_t row = 0; row < truth.rows(); ++row) {
    const std::string mangled = field(truth, "mangled", row);
    bool lost = false;
    for (const char* loss : {"digits transposed", "number outside every range", "crossing instead of address"}) {
      lost = lost || mangled.find(loss) != std::string::npos;
    }
    if (readable && lost) continue;
    score.visits += 1;
    const auto found = placed.find(field(truth, "visit_id", row));
    if (found == placed.end()) continue;
    const bool right = found->second.premises == field(truth, "premises_id", row);
    if (right) score.right += 1;
    if (!right && !found->second.premises.empty() && found->second.score >= 0.9) score.sure_but_wrong += 1;
  }
  return score;
}

void expectWellPlaced(const std::map<std::string, Where>& placed, const char* how) {
  const Score all = scored(placed, false), readable = scored(placed, true);
  for (const auto& [name, score] : {std::pair{"all lines", all}, std::pair{"lines that name the door", readable}}) {
    std::printf("%s, %s: %.0f visits, %.2f %% at the right premises, %.2f %% sure of a wrong one\n", how, name, score.visits,
                100 * score.right / score.visits, 100 * score.sure_but_wrong / score.visits);
  }
  EXPECT_GE(all.right / all.visits, 0.93);
  EXPECT_LE(all.sure_but_wrong / all.visits, 0.01);
  EXPECT_GE(readable.right / readable.visits, 0.99);
  EXPECT_LE(readable.sure_but_wrong / readable.visits, 0.001);
}

TEST(TownPlacing, PlaceFindsTheDoorsOfTheLog) {
  const TemporaryFolder folder;
  const std::string out = (folder.path() / "placed.csv").string();
  const Ran ran = leeward({"place", townFile("visits.csv").string(), "--address", "address", "--city", "place", "--postcode", "postcode", "--points",
                           townFile("address_points.csv").string(), "--streets", townFile("streets.geojson").string(), "-o", out, "--quiet"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Table placed = csvOfFile(out);
  ASSERT_EQ(placed.rows(), csvOfFile(townFile("visits.csv")).rows());
  std::map<std::string, Where> where;
  for (std::size_t row = 0; row < placed.rows(); ++row) {
    const bool sure = field(placed, "decision", row) == "placed";
    where.try_emplace(field(placed, "visit_id", row), Where{sure ? field(placed, "matched_id", row) : "", number(placed, "score", row)});
  }
  expectWellPlaced(where, "place");
}

TEST(TownPlacing, LooksInTheLedgerStandAtTheirDoors) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  ASSERT_EQ(study.call("next").status, 0);
  const auto ledger = Ledger::open(study.ledger());
  ASSERT_OK(ledger);
  const auto looks = ledger->read(Entity::Looks), premises = ledger->read(Entity::Premises), placements = ledger->read(Entity::Placements);
  ASSERT_OK(looks);
  ASSERT_OK(premises);
  ASSERT_OK(placements);
  const auto premises_row = rowsBy(*premises, "id"), placement_row = rowsBy(*placements, "id");
  std::map<std::string, Where> where;
  for (std::size_t row = 0; row < looks->rows(); ++row) {
    Where at;
    if (const auto found = premises_row.find(field(*looks, "premises_id", row)); found != premises_row.end()) at.premises = field(*premises, "public_id", found->second);
    if (const auto found = placement_row.find(field(*looks, "placement_id", row)); found != placement_row.end()) at.score = number(*placements, "score", found->second);
    where.emplace(field(*looks, "source_key", row), at);
  }
  expectWellPlaced(where, "ledger");
}

}  // namespace
}  // namespace leeward::test
