#include "analysis/need/rank.h"

#include <gtest/gtest.h>

#include <numeric>

#include "analysis/need/where_next.h"
#include "tests/unit/heart/town.h"

namespace leeward::test {

namespace {
WhereNext nextOf(const Record& record, const WhereNextRequest& request = {}, unsigned threads = 1) {
  Progress progress(Progress::Sink{}, std::stop_token{}, threads);
  auto next = whereNext(record, request, progress);
  EXPECT_TRUE(next.ok());
  return std::move(next).value();
}
}  // namespace

TEST(RankTest, ThreadsDoNotChangeAnything) {
  const InventedTown town = inventTown({.blocks = 150}, 5);
  const WhereNext one = nextOf(town.record, {}, 1), four = nextOf(town.record, {}, 4);
  EXPECT_EQ(one.ranking.chance_top_k, four.ranking.chance_top_k);
  EXPECT_EQ(one.ranking.chance_rank_k, four.ranking.chance_rank_k);
  EXPECT_EQ(one.ranking.rank_low, four.ranking.rank_low);
  EXPECT_EQ(one.ranking.rank_high, four.ranking.rank_high);
  EXPECT_EQ(one.ranking.total_high, four.ranking.total_high);
  EXPECT_EQ(one.unmet.high, four.unmet.high);
  EXPECT_EQ(one.because, four.because);
}

TEST(RankTest, ChancesOfTheTopSumToItsSize) {
  const WhereNext next = nextOf(inventTown({.blocks = 80}, 3).record);
  const auto& r = next.ranking;
  EXPECT_NEAR(std::accumulate(r.chance_top_k.begin(), r.chance_top_k.end(), 0.0), 20, 1e-9);
  EXPECT_NEAR(std::accumulate(r.chance_rank_k.begin(), r.chance_rank_k.end(), 0.0), 20, 1e-9);
  for (std::size_t i = 0; i + 1 < r.order.size(); ++i) EXPECT_GE(r.per_crew_hour[r.order[i]], r.per_crew_hour[r.order[i + 1]]);
  for (const std::size_t b : r.order) {
    EXPECT_LE(r.rank_low[b], r.rank[b]);
    EXPECT_LE(r.rank[b], r.rank_high[b]);
  }
}

TEST(RankTest, ABlocksOwnRankLiesInItsInterval) {
  // Worths are skewed, so that a rank by the mean can lie beside the middle half of the drawn ranks.
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const InventedTown town = inventTown({.blocks = 40, .told_share = 0.3}, seed);
    WhereNextRequest request;
    request.rank.level = 0.5;
    const auto r = nextOf(town.record, request).ranking;
    for (const std::size_t b : r.order) {
      EXPECT_LE(r.rank_low[b], r.rank[b]) << "seed " << seed;
      EXPECT_LE(r.rank[b], r.rank_high[b]) << "seed " << seed;
    }
  }
}

TEST(RankTest, TheSentenceNamesTheAnimalsThatAreInItsFigure) {
  // One door, a dog seen on the day of the figures: 1 x 2^0 = 1 animal, and the door itself starts again as examined, so the
  // figure is the lead and nothing else. The rate alone (0.05 x 1.4 a door) could never give "about 1".
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addAnimal(record, 0, record.as_of);
  const WhereNext next = nextOf(record);
  EXPECT_NEAR(next.unmet.unmet[0], 1.0, 1e-9);
  EXPECT_NE(next.because[0].find("by which, with the 1 never met, about 1.0 dog"), std::string::npos) << next.because[0];
}

TEST(RankTest, FarBlocksAreWorthLessAnHour) {
  Record record = emptyRecord(2);
  for (int i = 0; i < 40; ++i) addDoor(record, i / 20, {i / 20 * 8000.0 + i * 10, 0});
  WhereNextRequest request;
  request.outing.start = Point{0, 0};
  const WhereNext next = nextOf(record, request);
  EXPECT_GT(next.ranking.per_crew_hour[0], next.ranking.per_crew_hour[1]);
  EXPECT_EQ(next.ranking.rank[0], 1);
}

TEST(RankTest, EdgesHaveAnAnswerAndASentence) {
  Record record = emptyRecord(4);
  addDoor(record, 1);                              // one door
  for (int i = 0; i < 3; ++i) addDoor(record, 2);  // all asked not to return
  for (int i = 1; i < 4; ++i) askNotToReturn(record, i, day(2025, 1, 1));
  for (int i = 0; i < 2; ++i) addDoor(record, 3);
  addAnimal(record, 4, day(2025, 6, 1));
  WhereNextRequest request;
  request.outing.hours = 0;
  const WhereNext next = nextOf(record, request);
  EXPECT_EQ(next.ranking.rank[0], 0) << "no doors, no rank";
  EXPECT_TRUE(std::isnan(next.ranking.chance_top_k[0]));
  EXPECT_EQ(next.ranking.per_crew_hour[2], 0);
  EXPECT_GT(next.unmet.unmet[2], 0) << "dogs behind closed doors are still unmet";
  EXPECT_EQ(next.ranking.rank[2], 3) << "nothing to do there: last";
  EXPECT_EQ(next.ranking.rank[3], 1);
  EXPECT_EQ(next.because[0], "No doors are on file here, so the block is not ranked.");
  EXPECT_NE(next.because[2].find("All 3 doors asked not to be visited again"), std::string::npos) << next.because[2];
  EXPECT_NE(next.because[3].find("seen but never met"), std::string::npos) << next.because[3];
  for (const std::string& text : next.because) {
    EXPECT_EQ(text.find("safe"), std::string::npos);
    EXPECT_EQ(std::ranges::count(text, '\n'), 0);
    EXPECT_TRUE(text.ends_with("."));
  }
}

TEST(RankTest, NothingAtAllIsNoError) {
  const WhereNext none = nextOf(emptyRecord(0));
  EXPECT_TRUE(none.ranking.order.empty());
  const WhereNext no_doors = nextOf(emptyRecord(3));
  EXPECT_EQ(no_doors.because.size(), 3U);
}

TEST(RankTest, AllBlocksLookedAtAreStillRanked) {
  Record record = emptyRecord(2);
  for (int i = 0; i < 20; ++i) {
    addDoor(record, i / 10);
    addLook(record, i, day(2025, i < 10 ? 6 : 1, 15));
  }
  const WhereNext next = nextOf(record);
  EXPECT_EQ(next.ranking.rank[1], 1) << "looked at longer ago";
  EXPECT_NE(next.because[0].find("found no dog, yet one kept here had a 20 % chance of being missed"), std::string::npos)
      << next.because[0];
}

TEST(RankTest, WrongOptionsAreRefused) {
  Progress progress;
  WhereNextRequest request;
  request.rank.k = 0;
  EXPECT_FALSE(whereNext(emptyRecord(1), request, progress).ok());
  request.rank.k = 5;
  request.outing.walking_kmh = 0;
  EXPECT_FALSE(whereNext(emptyRecord(1), request, progress).ok());
}

}  // namespace leeward::test
