// Frost on a station's real days: Seattle 2012 to 2015, public domain (NOAA), as kept in the open data beside the project.
#include "analysis/weather/frost.h"

#include <gtest/gtest.h>

#include "shared/table/csv.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

// First and last days with a minimum of 0 or below, counted from the file with Python's csv and datetime modules; the winters that the record cuts
// short tell nothing.
TEST(FrostReference, FirstAndLastFrostOfSeattlesWinters) {
  LEEWARD_OUTSIDE_DATA(file, "data/weather/seattle-weather.csv");
  Progress progress;
  const auto csv = readCsv(file, progress);
  ASSERT_OK(csv);
  std::vector<Date> day;
  std::vector<double> minimum;
  for (std::size_t row = 0; row < csv->table.rows(); ++row) {
    day.push_back(*parseIsoDate(csv->table.find("date")->asText(row)));
    minimum.push_back(std::stod(csv->table.find("temp_min")->asText(row)));
  }
  const auto winters = wintersOf(day, minimum);
  ASSERT_EQ(winters.size(), 5U);
  const char* expected[][2] = {{"2012-11-10", "2013-03-04"}, {"2013-11-21", "2014-02-09"}, {"2014-11-12", "2015-03-04"}};
  EXPECT_FALSE(winters.front().is_whole || winters.back().is_whole);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_TRUE(winters[i + 1].is_whole);
    EXPECT_EQ(toIso(*winters[i + 1].first), expected[i][0]);
    EXPECT_EQ(toIso(*winters[i + 1].last), expected[i][1]);
  }
  const auto range = frostRange(winters);
  ASSERT_TRUE(range);
  EXPECT_EQ(range->winters, 3);
  EXPECT_EQ(toIso(range->earliest_first), "2012-11-10");
  EXPECT_EQ(toIso(range->latest_last), "2013-03-04");
}

}  // namespace
}  // namespace leeward::analysis
