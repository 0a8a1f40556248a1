// Forgetting a household, and the log of what left the team.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/ledger/fixture.h"

namespace leeward {
namespace {

using test::texts;

class ForgetTest : public test::LedgerFixture {
 protected:
  /// Three looks at three homes; the second is the Quillfeather household's.
  static ImportBatch batch(const std::string& file, int version = 1) {
    ImportBatch made = test::visitsBatch(3, file, version);
    Table& looks = made.rows[Entity::Looks];
    looks.add(texts("address", {"11 Ambleforth Road", "12 Ambleforth Road", "13 Ambleforth Road"}));
    looks.add(texts("household", {"", "Ida Quillfeather", "Tom Underbridge"}));
    looks.add(texts("phone", {"", "555-0142", ""}));
    made.report.refused = {{7, "date", "31 February", "no such day", "V-9,31 February,12 Ambleforth Road,Ida Quillfeather", "V-9"}, {8, "date", "x", "no day", "V-8,x,14 Ambleforth Road", "V-8"}};
    return made;
  }
  /// Places the looks at premises PUB-0 to PUB-2.
  void place(Ledger& ledger) {
    const Table looks = test::read(ledger, Entity::Looks);
    std::vector<std::string> ids, placements, publics, addresses, typed, decision(3, "placed"), by(3, "point");
    for (std::size_t row = 0; row < 3; ++row) {
      ids.push_back(newUuid()), placements.push_back(newUuid()), publics.push_back("PUB-" + std::to_string(row));
      addresses.push_back(test::at(looks, "address", row)), typed.push_back(addresses.back() + " |  | ");
    }
    const std::vector<double> five(3, 5.0), score(3, 1.0);
    Table premises, places, links;
    for (auto& column : {texts("id", ids), texts("public_id", publics), texts("address", addresses)}) premises.add(column);
    premises.add(Column::reals("uncertainty_m", five));
    for (auto& column : {texts("id", placements), texts("typed_key", typed), texts("decision", decision), texts("placed_by", by), texts("premises_id", ids), texts("matched_address", addresses)}) places.add(column);
    places.add(Column::reals("score", score));
    std::vector<std::string> look_ids;
    for (std::size_t row = 0; row < 3; ++row) look_ids.push_back(test::at(looks, "id", row));
    for (auto& column : {texts("id", look_ids), texts("placement_id", placements), texts("premises_id", ids)}) links.add(column);
    put(ledger, Entity::Premises, premises);
    put(ledger, Entity::Placements, places);
    put(ledger, Entity::Looks, links);
  }
  std::string bytes() const { return *readFile(file()); }
  Progress silent_;
};

TEST_F(ForgetTest, NothingOfTheHouseholdIsLeftInTheFileAndTheRestStays) {
  {
    Ledger ledger = make();
    take(ledger, batch("a.csv"));
    place(ledger);
    take(ledger, batch("b.csv", 2));  // corrections: former values stand in the change log
    const auto done = ledger.forget({.premises = {"PUB-1"}, .premises_tags = {}, .household = "", .day = "2026-01-01"}, silent_);
    ASSERT_OK(done);
    EXPECT_EQ(done->looks, 1U);
    EXPECT_EQ(done->refused_rows, 2U);
    EXPECT_THAT(done->words, testing::UnorderedElementsAre("12 Ambleforth Road", "555-0142", "Ida Quillfeather"));
    EXPECT_EQ(test::count(ledger, Entity::Looks), 2U);
    EXPECT_EQ(test::count(ledger, Entity::Visits), 2U);
    EXPECT_EQ(test::count(ledger, Entity::Premises), 2U);
    EXPECT_EQ(test::count(ledger, Entity::RefusedRows), 2U);
    EXPECT_OK(ledger.close());
  }
  const std::string all = bytes();
  for (const char* gone : {"Quillfeather", "555-0142", "12 Ambleforth", "PUB-1", "Dog 1"}) EXPECT_EQ(all.find(gone), std::string::npos) << gone;
  for (const char* kept : {"Underbridge", "13 Ambleforth", "Dog 2", "14 Ambleforth"}) EXPECT_NE(all.find(kept), std::string::npos) << kept;
}

TEST_F(ForgetTest, AReimportDoesNotBringItBackButALaterVisitComesIn) {
  Ledger ledger = make();
  take(ledger, batch("a.csv"));
  place(ledger);
  ASSERT_OK(ledger.forget({.premises = {"PUB-1"}, .premises_tags = {}, .household = "", .day = "2025-06-30"}, silent_));
  const auto again = take(ledger, batch("c.csv", 3));
  EXPECT_EQ(again.forgotten, 2U);  // the look and the refused row
  EXPECT_EQ(test::count(ledger, Entity::Looks), 2U);
  EXPECT_EQ(test::count(ledger, Entity::Visits), 2U);
  ImportBatch later = test::visitsBatch(1, "d.csv", 1, 8);  // 2025-09
  later.rows[Entity::Looks].add(texts("address", {"12 Ambleforth Road"}));
  EXPECT_EQ(take(ledger, later).added, 1U);
  EXPECT_TRUE(ledger.forgottenPremises()->empty());
  // The same row under another name and spelling comes in, but is known again once it was placed at those premises.
  ImportBatch other = test::visitsBatch(1, "e.csv", 1, 4);  // 2025-05
  other.rows[Entity::Looks].add(texts("address", {"12 Amblefort Rd"}));
  EXPECT_EQ(take(ledger, other).added, 1U);
  const Table looks = test::read(ledger, Entity::Looks);
  Table premises, links;
  const std::string id = newUuid();
  for (auto& column : {texts("id", {id}), texts("public_id", {"PUB-1"}), texts("address", {"12 Ambleforth Road"})}) premises.add(column);
  premises.add(Column::reals("uncertainty_m", {5.0}));
  for (auto& column : {texts("id", {test::at(looks, "id", 2), test::at(looks, "id", 3)}), texts("premises_id", {id, id})}) links.add(column);
  put(ledger, Entity::Premises, premises);
  put(ledger, Entity::Looks, links);
  const auto back = ledger.forgottenPremises();
  ASSERT_OK(back);
  ASSERT_EQ(back->size(), 1U);
  ForgetRequest again_and_for_good{.premises = {back->front().first}, .premises_tags = {}, .household = "", .day = back->front().second};
  again_and_for_good.until_day = true;
  const auto left = ledger.forget(again_and_for_good, silent_);
  ASSERT_OK(left);
  EXPECT_EQ(left->looks, 1U);
  EXPECT_EQ(test::count(ledger, Entity::Looks), 3U) << "the later visit stays";
  EXPECT_EQ(test::count(ledger, Entity::Premises), 3U);
}

TEST_F(ForgetTest, ByNameOnlyThatHouseholdsRowsGoAndADryRunChangesNothing) {
  Ledger ledger = make();
  take(ledger, batch("a.csv"));
  place(ledger);
  const std::string before = test::stateKey(ledger);
  const auto tried = ledger.forget({.premises = {}, .premises_tags = {}, .household = "tom underbridge", .day = "2026-01-01", .despite_referral = false, .dry_run = true}, silent_);
  ASSERT_OK(tried);
  EXPECT_EQ(tried->looks, 1U);
  EXPECT_EQ(test::stateKey(ledger), before);
  ASSERT_OK(ledger.forget({.premises = {}, .premises_tags = {}, .household = "tom underbridge", .day = "2026-01-01"}, silent_));
  const Table looks = test::read(ledger, Entity::Looks);
  ASSERT_EQ(looks.rows(), 2U);
  EXPECT_EQ(test::at(looks, "household", 1), "Ida Quillfeather");
}

TEST_F(ForgetTest, AReferralWithoutAnAnswerHoldsTheRecord) {
  Ledger ledger = make();
  ImportBatch with = batch("a.csv");
  auto& referrals = with.rows[Entity::Referrals];
  for (auto& column : {texts("id", {newUuid()}), texts("look_id", {test::at(with.rows[Entity::Looks], "id", 1)}), texts("date", {"2025-03-01"}), texts("referred_to", {"County wardens"})}) referrals.add(column);
  take(ledger, with);
  place(ledger);
  ForgetRequest request{.premises = {"PUB-1"}, .premises_tags = {}, .household = "", .day = "2026-01-01"};
  EXPECT_EQ(ledger.forget(request, silent_).problem().code, ProblemCode::AlreadyExists);
  EXPECT_EQ(test::count(ledger, Entity::Looks), 3U);
  request.despite_referral = true;
  EXPECT_OK(ledger.forget(request, silent_));
  EXPECT_EQ(test::count(ledger, Entity::Looks), 2U);
}

TEST_F(ForgetTest, WhatLeftTheTeamIsKeptAndNeverChanges) {
  Ledger ledger = make();
  HandOverNote note;
  note.what = {newUuid(), "2026-01-05T10:00:00Z", "lead", "public", "", "2025-12-31", "abc", "abc areas.csv"};
  note.tables = "areas, quarter";
  note.cells = {{"T1", "2025 Q3", "visits", 12, false}, {"T2", "2025 Q3", "visits", 3, true}};
  note.places = {{"tag-1", Point{-71.5, 42.5}, 25, 61, "2025", ""}, {"tag-2", std::nullopt, 0, 0, "2025", "alone"}};
  ASSERT_OK(ledger.noteHandOver(note));
  EXPECT_EQ(ledger.exports()->size(), 1U);
  EXPECT_THAT(*ledger.handedTables("public"), testing::ElementsAre("areas, quarter"));
  EXPECT_TRUE(ledger.handedTables("partner")->empty());
  const auto cells = *ledger.handedCells("public", "areas, quarter");
  ASSERT_EQ(cells.size(), 2U);
  EXPECT_TRUE(cells[1].withheld);
  EXPECT_EQ(cells[1].value, 3);
  EXPECT_EQ(ledger.maskedPlaces("public")->at(0).lon_lat, (Point{-71.5, 42.5}));
  EXPECT_FALSE(ledger.maskedPlaces("public")->at(1).lon_lat.has_value());
  note.what.id = newUuid();
  EXPECT_FALSE(ledger.noteHandOver(note).ok());
  EXPECT_EQ(ledger.exports()->size(), 1U);
}

}  // namespace
}  // namespace leeward
