// Addresses settled by hand: what was open is placed by the next run, holds when the log comes in again, and can be undone.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/ledger/ledger.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using nlohmann::json;

json settled(const StudyFolder& study, std::vector<std::string> words) {
  words.insert(words.end(), {"--json"});
  const Ran ran = study.call("settle", words);
  EXPECT_EQ(ran.status, 0) << ran.err;
  return json::parse(ran.out, nullptr, false);
}

/// The placement of one address as typed, as a row of the ledger.
struct PlacementRow {
  std::string decision, placed_by, matched_address, matched_id, why;
  double lon = 0, lat = 0;
};

PlacementRow placementOf(const StudyFolder& study, const std::string& typed_key) {
  const auto ledger = Ledger::open(study.ledger());
  EXPECT_OK(ledger);
  const auto rows = ledger->read(Entity::Placements);
  EXPECT_OK(rows);
  const auto found = rowsBy(*rows, "typed_key");
  const auto at = found.find(typed_key);
  EXPECT_NE(at, found.end()) << typed_key;
  if (at == found.end()) return {};
  return {field(*rows, "decision", at->second), field(*rows, "placed_by", at->second), field(*rows, "matched_address", at->second),
          field(*rows, "matched_id", at->second), field(*rows, "why", at->second), number(*rows, "lon", at->second), number(*rows, "lat", at->second)};
}

class SettleJourney : public testing::Test {
 protected:
  void SetUp() override {
    log_ = put(study_.beside("log.csv"),
               "visit_id,date,crew,address,place,postcode,look,why_here,door_result,dogs_seen\n"
               "S1,2024-05-01,A,14 zz top palace,,,knock,planned,nobody_home,0\n"
               "S2,2024-05-02,A,14 zz top palace,,,knock,planned,nobody_home,0\n"
               "S3,2024-05-02,A,the blue barn,,,knock,planned,nobody_home,0\n"
               "S4,2024-05-03,A,314 tlln ave,,,knock,planned,nobody_home,0\n"
               "S5,2024-05-03,A,687 East Alder St,Tolverwick,,knock,planned,nobody_home,0\n");
    ASSERT_EQ(study_.call("take-in", {"visits", log_.string()}).status, 0);
    next();
  }
  void next() {
    const Ran ran = study_.call("next");
    ASSERT_EQ(ran.status, 0) << ran.err;
  }
  /// The open address of that text; null where it isn't open.
  json open(const std::string& text) {
    const json list = settled(study_, {"list"});
    for (const auto& one : list["open"]) {
      if (one["typed"].get<std::string>().starts_with(text)) return one;
    }
    return nullptr;
  }

  StudyFolder study_ = townStudy();
  std::filesystem::path log_;
};

TEST_F(SettleJourney, ACandidateAcceptedIsPlacedByTheNextRunUntilItIsUndone) {
  const json one = open("687 East Alder St");
  ASSERT_FALSE(one.is_null());
  ASSERT_GE(one["candidates"].size(), 2U);
  const json second = one["candidates"][1];
  const json kept = settled(study_, {"accept", one["id"].get<std::string>(), "2"});
  EXPECT_EQ(kept["kind"], "accept");
  EXPECT_EQ(kept["meant"], second["address"]);
  EXPECT_EQ(kept["rows"], 1);
  EXPECT_TRUE(open("687 East Alder St").is_null()) << "settled, so no longer open";
  next();
  const std::string key = one["typed"];
  const PlacementRow placed = placementOf(study_, key);
  EXPECT_EQ(placed.decision, "placed");
  EXPECT_EQ(placed.placed_by, second["placed_by"]);
  EXPECT_EQ(placed.matched_address, second["address"]);
  EXPECT_NEAR(placed.lon, second["lon"].get<double>(), 1e-6);
  EXPECT_NE(placed.why.find("by hand"), std::string::npos) << placed.why;

  EXPECT_EQ(settled(study_, {"undo"})["undone"], true);
  EXPECT_EQ(study_.call("settle", {"undo"}).status, 3) << "there is nothing more to undo";
  next();
  EXPECT_EQ(placementOf(study_, key).decision, "undecided");
}

TEST_F(SettleJourney, APlaceSetByHandIsADoorAndStaysWhenTheLogComesInAgain) {
  const PlacementRow near = placementOf(study_, open("687 East Alder St")["typed"]);
  const std::string lon = std::to_string(near.lon + 0.0004), lat = std::to_string(near.lat + 0.0004);
  EXPECT_EQ(study_.call("settle", {"move", "the blue barn", "--lon", lat, "--lat", lon}).status, 2) << "a pair the wrong way round";
  EXPECT_EQ(study_.call("settle", {"move", "the blue barn"}).status, 2);
  settled(study_, {"move", "the blue barn", "--lon", lon, "--lat", lat});
  next();
  const PlacementRow moved = placementOf(study_, "the blue barn |  | ");
  EXPECT_EQ(moved.decision, "placed");
  EXPECT_EQ(moved.placed_by, "hand");
  EXPECT_NEAR(moved.lon, near.lon + 0.0004, 3e-4);

  ASSERT_EQ(study_.call("take-back", {"log.csv", "--yes"}).status, 0);
  ASSERT_EQ(study_.call("take-in", {"visits", log_.string()}).status, 0);
  next();
  EXPECT_EQ(placementOf(study_, "the blue barn |  | ").placed_by, "hand");
  const auto ledger = Ledger::open(study_.ledger());
  ASSERT_OK(ledger);
  const auto looks = ledger->read(Entity::Looks);
  ASSERT_OK(looks);
  EXPECT_NE(field(*looks, "premises_id", rowsBy(*looks, "source_key").at("S3")), "") << "the look counts for a door";
}

TEST_F(SettleJourney, ARefusedAddressIsNotAskedAboutAgain) {
  const json one = open("14 zz top palace");
  ASSERT_FALSE(one.is_null());
  EXPECT_EQ(one["rows"], 2);
  EXPECT_EQ(settled(study_, {"refuse", one["id"].get<std::string>()})["rows"], 2);
  next();
  EXPECT_TRUE(open("14 zz top palace").is_null());
  EXPECT_EQ(placementOf(study_, one["typed"]).decision, "none");
  EXPECT_EQ(study_.call("settle", {"refuse", "99 nowhere at all"}).status, 3);
}

TEST_F(SettleJourney, ATaughtReadingIsPutInForWholeWordsOfEveryLine) {
  const json one = open("314 tlln ave");
  ASSERT_FALSE(one.is_null());
  EXPECT_EQ(study_.call("settle", {"teach", "tlln", ""}).status, 2) << "a reading needs a meaning";
  settled(study_, {"teach", "TLLN", "tallow"});
  next();
  const PlacementRow placed = placementOf(study_, one["typed"]);
  EXPECT_NE(placed.why.find("read as taught: 314 tallow ave"), std::string::npos) << placed.why;
  EXPECT_NE(placed.matched_address.find("Tallow"), std::string::npos) << placed.matched_address;
  settled(study_, {"undo"});
  next();
  EXPECT_EQ(placementOf(study_, one["typed"]).why.find("taught"), std::string::npos);
}

TEST_F(SettleJourney, TheListForPeopleNamesIdsAndCandidates) {
  const Ran list = leeward({"settle", study_.text()});
  ASSERT_EQ(list.status, 0);
  EXPECT_NE(list.out.find("687 East Alder St"), std::string::npos) << list.out;
  EXPECT_NE(list.out.find("score"), std::string::npos);
  EXPECT_NE(list.err.find("to settle: leeward settle"), std::string::npos) << list.err;
}

}  // namespace
}  // namespace leeward::test
