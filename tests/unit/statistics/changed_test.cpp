#include "analysis/outcomes/changed.h"

#include <random>

#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

Date day(const char* text) { return *parseIsoDate(text); }

ConditionCheck check(const char* date, bool house_met) {
  ConditionCheck one;
  one.date = day(date);
  one.items.fill(ItemState::Met);
  if (!house_met) one.items[*conditionItemIndex("house")] = ItemState::Unmet;
  one.body_condition = 1;
  one.body_scale = BodyScale::FiveIdealFirst;
  return one;
}

/// Two areas and what lies in none; quarters of 2024.
class ChangedTest : public testing::Test {
 protected:
  std::vector<ChangedRow> count() {
    Progress progress;
    return countChanges({looks, met, outcomes, animals}, request, progress).value();
  }
  static const ChangedRow& at(const std::vector<ChangedRow>& rows, std::int32_t area, const char* period) {
    const auto found =
        std::find_if(rows.begin(), rows.end(), [&](const auto& row) { return row.area == area && row.period.name() == period; });
    EXPECT_NE(found, rows.end()) << area << " " << period;
    return *found;
  }

  std::vector<LookEvent> looks = {
      {0, day("2024-01-10"), true}, {0, day("2024-01-11"), false}, {1, day("2024-05-01"), true}, {0, day("2024-12-01"), true}};
  std::vector<MetEvent> met;
  std::vector<OutcomeEvent> outcomes;
  std::vector<CheckedAnimal> animals;
  ChangedRequest request{.areas = 2, .every = Every::Quarter, .as_of = day("2024-11-15"), .from = std::nullopt, .rule = {}};
};

TEST_F(ChangedTest, EveryAreaAndPeriodHasARowUpToTheDayOfTheFigures) {
  const auto rows = count();
  ASSERT_EQ(rows.size(), 8U);
  EXPECT_EQ(rows[0].period.name(), "2024 Q1");
  EXPECT_EQ(at(rows, 0, "2024 Q1").looks, 2);
  EXPECT_EQ(at(rows, 0, "2024 Q1").visits, 1);
  EXPECT_EQ(at(rows, 1, "2024 Q2").visits, 1);
  EXPECT_EQ(at(rows, 0, "2024 Q4").looks, 0) << "1 December is after the day of the figures";
  EXPECT_TRUE(at(rows, 0, "2024 Q3").complete);
  EXPECT_FALSE(at(rows, 0, "2024 Q4").complete);
}

TEST_F(ChangedTest, AnAnimalMetTwiceInAPeriodCountsOnce) {
  met = {{0, day("2024-01-10"), 7}, {0, day("2024-03-31"), 7},  {0, day("2024-04-01"), 7},
         {0, day("2024-01-10"), 8}, {0, day("2024-01-10"), -1}, {0, day("2024-01-10"), -1}};
  const auto rows = count();
  EXPECT_EQ(at(rows, 0, "2024 Q1").dogs_met, 4);
  EXPECT_EQ(at(rows, 0, "2024 Q2").dogs_met, 1);
}

TEST_F(ChangedTest, NeuteredIsOnceForAllAndGivenUpOnceAPeriod) {
  using enum OutcomeKind;
  outcomes = {{0, day("2024-05-01"), 7, Neutered}, {0, day("2024-02-01"), 7, Neutered},  {0, day("2024-02-01"), 9, GivenUp},
              {0, day("2024-02-02"), 9, GivenUp},  {1, day("2024-05-01"), -1, Referred}, {1, day("2024-05-01"), -1, Referred}};
  const auto rows = count();
  EXPECT_EQ(at(rows, 0, "2024 Q1").neutered, 1);
  EXPECT_EQ(at(rows, 0, "2024 Q2").neutered, 0);
  EXPECT_EQ(at(rows, 0, "2024 Q1").given_up, 1);
  EXPECT_EQ(at(rows, 1, "2024 Q2").referred, 2);
}

TEST_F(ChangedTest, AnAnimalReferredInThreeQuartersCountsOnceInAll) {
  using enum OutcomeKind;
  // By hand: animal 7 is referred in Q1, Q2 and Q4 (two areas), animal 8 in Q2; one case without an animal in Q2: 3 in all, not 5.
  outcomes = {{0, day("2024-02-01"), 7, Referred}, {0, day("2024-05-01"), 7, Referred},  {1, day("2024-10-01"), 7, Referred},
              {0, day("2024-05-02"), 8, Referred}, {1, day("2024-05-03"), -1, Referred}, {0, day("2024-02-01"), 9, GivenUp},
              {0, day("2024-08-01"), 9, GivenUp}};
  met = {{0, day("2024-01-10"), 7}, {0, day("2024-05-10"), 7}, {1, day("2024-05-10"), 7}, {0, day("2024-12-10"), 8}};
  Progress progress;
  auto totals = countTotals({looks, met, outcomes, animals}, request, progress).value();
  ASSERT_EQ(totals.size(), 3U) << "two areas and all together";
  EXPECT_EQ(totals[0].area, 0);
  EXPECT_EQ(totals[0].referred, 2) << "7 and 8";
  EXPECT_EQ(totals[1].referred, 2) << "7 and the case without an animal";
  EXPECT_EQ(totals[2].area, kAllAreas);
  EXPECT_EQ(totals[2].referred, 3);
  EXPECT_EQ(totals[2].given_up, 1);
  EXPECT_EQ(totals[2].dogs_met, 1) << "8 was met after the day of the figures";
  EXPECT_EQ(totals[2].looks, 3);
  std::int64_t by_quarter = 0;
  for (const auto& row : count()) by_quarter += row.referred;
  EXPECT_EQ(by_quarter, 5) << "each quarter by itself counts its animals";
  request.from = day("2024-04-01");
  totals = countTotals({looks, met, outcomes, animals}, request, progress).value();
  EXPECT_EQ(totals[0].referred, 2);
  EXPECT_EQ(totals[2].given_up, 1);
  EXPECT_EQ(totals[2].looks, 1) << "of May; January's two lie before";
}

TEST_F(ChangedTest, AnAnimalThatImprovedTwiceCountsOnceInAll) {
  // House unmet, met (improved), unmet (no better than the first), met (improved again): two quarters, one animal.
  animals = {{0, {check("2024-01-10", false), check("2024-04-10", true), check("2024-07-10", false), check("2024-10-10", true)}}};
  std::int64_t by_quarter = 0;
  for (const auto& row : count()) by_quarter += row.improved;
  EXPECT_EQ(by_quarter, 2);
  Progress progress;
  const auto totals = countTotals({{}, {}, {}, animals}, request, progress).value();
  EXPECT_EQ(totals.back().improved, 1);
  EXPECT_EQ(totals.back().rechecked, 1);
  EXPECT_EQ(totals.back().rechecked_improved, 1);
}

TEST_F(ChangedTest, AnAnimalCountsAsImprovedInThePeriodInWhichItCameToBeSo) {
  animals = {{0, {check("2024-01-10", false), check("2024-05-10", true), check("2024-08-10", true)}},
             {0, {check("2024-01-10", true), check("2024-05-10", true)}}};
  const auto rows = count();
  EXPECT_EQ(at(rows, 0, "2024 Q1").improved, 0);
  EXPECT_EQ(at(rows, 0, "2024 Q2").improved, 1);
  EXPECT_EQ(at(rows, 0, "2024 Q3").improved, 0) << "it still stands improved, but came to be so before";
  EXPECT_EQ(at(rows, 0, "2024 Q1").rechecked, 0);
  EXPECT_EQ(at(rows, 0, "2024 Q2").rechecked, 2);
  EXPECT_EQ(at(rows, 0, "2024 Q2").rechecked_improved, 1);
  EXPECT_EQ(at(rows, 0, "2024 Q3").rechecked_improved, 1);
}

TEST_F(ChangedTest, ACheckAfterTheDayOfTheFiguresMovesNothing) {
  animals = {{0, {check("2024-01-10", false), check("2024-05-10", true)}}};
  const auto before = count();
  animals[0].found.push_back(check("2024-11-20", false));
  const auto after = count();
  for (std::size_t i = 0; i < before.size(); ++i) EXPECT_EQ(after[i].rechecked, before[i].rechecked);
}

TEST_F(ChangedTest, WhatLiesInNoAreaIsKeptApartSoThatColumnsSumToTheWhole) {
  looks.push_back({-1, day("2024-07-01"), false});
  const auto rows = count();
  EXPECT_EQ(at(rows, -1, "2024 Q3").looks, 1);
  EXPECT_EQ(std::accumulate(rows.begin(), rows.end(), std::int64_t{0}, [](auto sum, const auto& row) { return sum + row.looks; }),
            4);
}

TEST_F(ChangedTest, AFirstPeriodCanBeNamedAndWrongAreasAreRefused) {
  request.from = day("2024-04-15");
  const auto rows = count();
  EXPECT_EQ(rows.front().period.name(), "2024 Q2");
  EXPECT_EQ(rows.size(), 6U);
  looks.push_back({2, day("2024-07-01"), false});
  Progress progress;
  EXPECT_FALSE(countChanges({looks, met, outcomes, animals}, request, progress).ok());
}

// Invented events drawn at random: every count, in every area and period, has just as many things behind it, and each lies in that period.
TEST_F(ChangedTest, BehindEveryCountStandAsManyThings) {
  std::mt19937_64 draw(11);
  const auto upTo = [&](int n) { return static_cast<int>(draw() % static_cast<std::uint64_t>(n)); };
  looks.clear();
  for (int i = 0; i < 400; ++i) looks.push_back({upTo(3) - 1, day("2024-01-05") + upTo(400), upTo(2) == 0, upTo(60) - 1, upTo(70) - 1, upTo(2) == 0});
  for (int i = 0; i < 200; ++i) met.push_back({upTo(3) - 1, day("2024-01-05") + upTo(400), upTo(50) - 1, upTo(2) == 0});
  for (int i = 0; i < 120; ++i) outcomes.push_back({upTo(3) - 1, day("2024-01-05") + upTo(400), upTo(40) - 1, static_cast<OutcomeKind>(upTo(3))});
  for (int i = 0; i < 50; ++i) {
    CheckedAnimal animal{upTo(3) - 1, {}};
    for (int at = upTo(60); at < 400; at += 1 + upTo(150)) animal.found.push_back(check(toIso(day("2024-01-05") + at).c_str(), upTo(2) == 0));
    animals.push_back(animal);
  }
  const auto rows = count();
  Progress progress;
  std::int64_t things = 0;
  for (const Count counted : {&ChangeCounts::looks, &ChangeCounts::visits, &ChangeCounts::premises, &ChangeCounts::households, &ChangeCounts::planned_doors, &ChangeCounts::first_met, &ChangeCounts::dogs_met,
                              &ChangeCounts::given_up, &ChangeCounts::improved, &ChangeCounts::neutered, &ChangeCounts::referred, &ChangeCounts::rechecked, &ChangeCounts::rechecked_improved}) {
    std::int64_t of_count = 0;
    for (const auto& row : rows) {
      const auto behind = thingsCounted({looks, met, outcomes, animals}, request, counted, row.area, row.period, progress);
      ASSERT_OK(behind);
      EXPECT_EQ(static_cast<std::int64_t>(behind->size()), row.*counted) << row.area << " " << row.period.name();
      for (const auto& thing : *behind) EXPECT_EQ(periodOf(thing.date, request.every), row.period);
      of_count += row.*counted;
    }
    EXPECT_GT(of_count, 0) << "a count of which nothing happened proves nothing";
    things += of_count;
  }
  EXPECT_GT(things, 1000);
}

}  // namespace
}  // namespace leeward::analysis
