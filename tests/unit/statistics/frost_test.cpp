#include "analysis/weather/frost.h"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace leeward::analysis {
namespace {

Date day(int year, unsigned month, unsigned of) { return *makeDate(year, month, of); }

/// Every day of two years from 1 July 2020 at 5 degrees, but for the frosts named.
struct Days {
  std::vector<Date> day;
  std::vector<double> minimum;
  explicit Days(const std::vector<Date>& frosts) {
    for (Date d = *makeDate(2020, 7, 1); d <= *makeDate(2022, 6, 30); d = d + 1) {
      day.push_back(d);
      minimum.push_back(std::find(frosts.begin(), frosts.end(), d) != frosts.end() ? -0.1 : 5);
    }
  }
};

TEST(Frost, FirstAndLastOfEachWinterAndTheirRange) {
  const Days days({day(2020, 11, 4), day(2021, 2, 28), day(2021, 10, 30), day(2022, 4, 2)});
  const auto winters = wintersOf(days.day, days.minimum);
  ASSERT_EQ(winters.size(), 2U);
  EXPECT_TRUE(winters[0].is_whole && winters[1].is_whole);
  EXPECT_EQ(winters[0].first, day(2020, 11, 4));
  EXPECT_EQ(winters[0].last, day(2021, 2, 28));
  const auto range = frostRange(winters);
  ASSERT_TRUE(range);
  EXPECT_EQ(range->winters, 2);
  EXPECT_EQ(range->earliest_first, day(2021, 10, 30));
  EXPECT_EQ(range->latest_last, day(2022, 4, 2));
}

TEST(Frost, WintersCutShortOrWithoutFrostTellNothing) {
  Days days({});
  EXPECT_FALSE(frostRange(wintersOf(days.day, days.minimum)));
  Days cut({day(2020, 11, 4)});
  for (std::size_t i = 0; i < cut.day.size(); ++i) {
    if (cut.day[i] >= day(2021, 3, 1) && cut.day[i] < day(2021, 3, 12)) cut.minimum[i] = std::numeric_limits<double>::quiet_NaN();  // eleven days
  }
  EXPECT_FALSE(frostRange(wintersOf(cut.day, cut.minimum)));
  EXPECT_TRUE(wintersOf({}, {}).empty());
}

TEST(Frost, ADayIsCarriedIntoTheWinterOfAnother) {
  EXPECT_EQ(inWinterOf(day(2012, 11, 10), day(2025, 12, 31)), day(2025, 11, 10));
  EXPECT_EQ(inWinterOf(day(2013, 3, 4), day(2025, 12, 31)), day(2026, 3, 4));
  EXPECT_EQ(inWinterOf(day(2012, 11, 10), day(2026, 6, 30)), day(2025, 11, 10));
  EXPECT_EQ(inWinterOf(day(2012, 2, 29), day(2025, 12, 31)), day(2026, 2, 28));
}

}  // namespace
}  // namespace leeward::analysis
