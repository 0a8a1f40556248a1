// Facts of the trade that the program must hold to. All are common practice, no published source.
#include <gtest/gtest.h>

#include "analysis/outcomes/catalogue.h"
#include "importers/values.h"
#include "importers/visits.h"
#include "shared/base/files.h"
#include "tests/support/command.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using analysis::BodyScale;
using analysis::bodyState;
using analysis::ItemState;

// A five-step body condition scale is in use where 1 is ideal and 5 emaciated (common practice, no published source).
TEST(TradeFacts, OnTheScaleThatBeginsWithIdealTheHighStepsAreThin) {
  EXPECT_EQ(bodyState(1, BodyScale::FiveIdealFirst), ItemState::Met);
  EXPECT_EQ(bodyState(4, BodyScale::FiveIdealFirst), ItemState::Unmet);
  EXPECT_EQ(bodyState(5, BodyScale::FiveIdealFirst), ItemState::Unmet);
}

// Other common scales, 1 to 5 and 1 to 9, run the other way, low being thin (common practice, no published source).
TEST(TradeFacts, OnTheOtherScalesTheLowStepsAreThin) {
  for (const BodyScale scale : {BodyScale::FiveThinFirst, BodyScale::NineThinFirst}) {
    EXPECT_EQ(bodyState(1, scale), ItemState::Unmet);
    EXPECT_EQ(bodyState(2, scale), ItemState::Unmet);
    EXPECT_EQ(bodyState(5, scale), ItemState::Met);
  }
}

// So a score without its scale says nothing, and nothing is converted silently (common practice, no published source).
TEST(TradeFacts, AScoreWithoutItsScaleIsRefused) {
  EXPECT_EQ(bodyState(5, BodyScale::Unknown), ItemState::NotSeen);
  EXPECT_TRUE(importers::readBodyScale("1-5").bad());
  const TemporaryFolder folder;
  const auto file = put(folder.path() / "visits.csv",
                        "visit_id,date,address,look,why_here,door_result,dogs_seen,dogs_met,dog_name,body_condition,body_scale\n"
                        "V1,2025-03-04,12 Oak St,knock,planned,welcomed,1,1,Rex,5,\n"
                        "V2,2025-03-04,14 Oak St,knock,planned,welcomed,1,1,Ash,5,five_ideal_first\n");
  Progress progress;
  const auto read = importers::importVisits(file, {}, {Bbox{}, *makeDate(2025, 4, 1)}, progress);
  ASSERT_OK(read);
  ASSERT_EQ(read->batch.report.refused.size(), 1U);
  EXPECT_EQ(read->batch.report.refused.front().line, 2U);
  EXPECT_EQ(read->batch.report.kept, 1U);
}

// No water, no shelter, a collar that is embedded or too tight, a wound, a tangled or too short tether can't wait (common
// practice, no published source).
TEST(TradeFacts, WhatCannotWaitIsCritical) {
  for (const char* id : {"water", "house", "collar_fit", "wound", "tether"}) {
    const auto item = analysis::conditionItemIndex(id);
    ASSERT_TRUE(item.has_value()) << id;
    EXPECT_TRUE(analysis::conditionItems()[*item].critical) << id;
  }
  EXPECT_FALSE(analysis::conditionItems()[*analysis::conditionItemIndex("nails")].critical);
}

// "Not seen" is never met (common practice, no published source).
TEST(TradeFacts, NotSeenIsNeverMet) {
  const auto items = analysis::parseItems("house=not seen;water=met");
  ASSERT_OK(items);
  EXPECT_EQ((*items)[*analysis::conditionItemIndex("house")], ItemState::NotSeen);
  EXPECT_EQ((*items)[*analysis::conditionItemIndex("bedding")], ItemState::NotSeen);
}

}  // namespace
}  // namespace leeward::test
