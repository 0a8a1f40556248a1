#include "analysis/need/unmet.h"

#include <gtest/gtest.h>

#include <numeric>

#include "analysis/need/count_distribution.h"
#include "tests/unit/heart/town.h"

namespace leeward::test {

namespace {
UnmetEstimate estimateOf(const Record& record, const UnmetOptions& options = {}) {
  const auto effort = plannedEffort(record);
  EXPECT_TRUE(effort.ok());
  Progress progress;
  auto estimate = expectedUnmet(record, *effort, options, progress);
  EXPECT_TRUE(estimate.ok());
  return std::move(estimate).value();
}
}  // namespace

TEST(UnmetTest, DayOneRestsOnTheAssumptionDoorsAndNeedAndSaysSo) {
  Record record = emptyRecord(3);
  for (int i = 0; i < 20; ++i) addDoor(record, i < 10 ? 0 : 1);
  const UnmetEstimate plain = estimateOf(record);
  EXPECT_TRUE(plain.day_one);
  EXPECT_NEAR(plain.unmet[0], 10 * 0.05 * 1.4, 1e-9);  // 1.4 assumed dogs a door with dogs
  EXPECT_EQ(plain.unmet[2], 0) << "no doors";
  EXPECT_NE(plain.remarks.front().find("assumption"), std::string::npos);
  const std::vector<double> need = {1, 0, 0.5};
  const UnmetEstimate tilted = estimateOf(record, {.need = need});
  EXPECT_NEAR(tilted.unmet[0] / tilted.unmet[1], 3, 1e-9);  // (0.5 + 1) / (0.5 + 0)
  EXPECT_NEAR(tilted.unmet[0] + tilted.unmet[1], plain.unmet[0] + plain.unmet[1], 1e-9);
}

TEST(UnmetTest, NeedIsNotReadOnceThereIsAPlannedLook) {
  Record record = emptyRecord(2);
  for (int i = 0; i < 4; ++i) addDoor(record, i / 2);
  addLook(record, 0, day(2025, 6, 1));
  const std::vector<double> need = {1, 0};
  EXPECT_EQ(estimateOf(record).unmet, estimateOf(record, {.need = need}).unmet);
}

TEST(UnmetTest, ALeadCountsOnceAndFades) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addAnimal(record, 0, record.as_of + (-365));
  const UnmetEstimate e = estimateOf(record);
  EXPECT_NEAR(e.leads[0], 0.5, 1e-12);
  EXPECT_EQ(e.lead_count[0], 1);
  EXPECT_LE(e.unseen[0], 0.5 * e.rate[0] + 1e-12) << "its door expects others only as far as it may have left";
  EXPECT_NEAR(e.unmet[0], e.door_unmet[0], 1e-12);
}

TEST(UnmetTest, AnimalsWithoutADoorOrABlockAreKeptApart) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addAnimal(record, kNowhere, record.as_of);
  const std::size_t lost = addAnimal(record, kNowhere, record.as_of);
  record.animals.block[lost] = kNowhere;
  const UnmetEstimate e = estimateOf(record);
  EXPECT_NEAR(e.leads[0], 1, 1e-12);
  EXPECT_NE(e.remarks.back().find("1 animals could be put in no block"), std::string::npos);
}

TEST(UnmetTest, MetAnimalsAreNotUnmetWhateverTheyLack) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  const Date met = day(2025, 6, 1);
  addLook(record, 0, met, {.result = DoorResult::Welcomed, .seen = 1, .met = 1});
  addAnimal(record, 0, met, {.met = met, .last_visit = met, .planned = true, .found = Known::Yes, .left = Known::Yes});
  const UnmetEstimate e = estimateOf(record);
  EXPECT_EQ(e.leads[0], 0);
  EXPECT_EQ(e.met_in_need[0], 1);
  EXPECT_EQ(e.first_checks_critical[0], 1);
  EXPECT_GT(e.share_in_need[0], 0.5);
  EXPECT_LT(e.share_in_need[0], 1) << "one check does not make a certainty";
}

TEST(UnmetTest, BlocksLeanOnTheirOwnRecordAsFarAsItCarries) {
  Record record = emptyRecord(3);
  for (int i = 0; i < 90; ++i) addDoor(record, i / 30);
  for (int i = 0; i < 60; ++i) {
    const bool dog = i < 12;  // all in block 0
    addLook(record, i, day(2025, 6, 20), {.result = dog ? DoorResult::Declined : DoorResult::NoDog, .seen = dog ? 1 : 0});
    if (dog) addAnimal(record, i, day(2025, 6, 20), {.planned = true});
  }
  const UnmetEstimate e = estimateOf(record);
  EXPECT_GT(e.rate[0], e.rate[2]);
  EXPECT_GT(e.rate[2], e.rate[1]);
  EXPECT_LT(e.rate[0], 12 / (30 * 0.8) * e.town.mean_dogs) << "drawn in from the raw rate";
  EXPECT_NEAR(e.leads[0], 12 * std::exp2(-10 / 365.0), 1e-9);
  for (int b = 0; b < 3; ++b) {
    EXPECT_GE(e.mass[b], 0.90);
    EXPECT_LE(e.low[b], e.unmet[b]);
    EXPECT_GE(e.high[b], e.unmet[b]);
    EXPECT_LT(e.rate_low[b], e.rate[b]);
    EXPECT_GT(e.rate_high[b], e.rate[b]);
  }
}

TEST(UnmetTest, DistributionsStayWholeForLargeMeans) {
  const std::vector<double> each = {0.7, 0.2, 0.1};
  for (const double exposure : {0.001, 1.0, 50.0, 4000.0}) {
    const CountChances chances = compoundNegativeBinomial(1.5, 0.5, exposure, each);
    double sum = 0, mean = 0;
    for (std::size_t x = 0; x < chances.size(); ++x) {
      sum += chances[x];
      mean += static_cast<double>(x) * chances[x];
    }
    EXPECT_NEAR(sum, 1, 1e-9);
    EXPECT_NEAR(mean, 1.5 * 0.5 * exposure * 1.4, 1e-6 * exposure) << exposure;
  }
  const CountChances tight = compoundNegativeBinomial(5000, 0.001, 1000, each);  // the chance of 0 is below 1e-1000
  EXPECT_NEAR(std::accumulate(tight.begin(), tight.end(), 0.0), 1, 1e-9);
}

TEST(UnmetTest, WrongOptionsAreRefused) {
  Record record = emptyRecord(1);
  const auto effort = plannedEffort(record);
  Progress progress;
  EXPECT_FALSE(expectedUnmet(record, *effort, {.level = 1}, progress).ok());
  const std::vector<double> need = {1, 2};
  EXPECT_FALSE(expectedUnmet(record, *effort, {.need = need}, progress).ok());
  EXPECT_FALSE(expectedUnmet(emptyRecord(2), *effort, {}, progress).ok());
}

}  // namespace leeward::test
