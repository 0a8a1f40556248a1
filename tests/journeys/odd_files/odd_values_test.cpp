// Cells as people type them: what is read, what is asked for, what refuses its row, with line and column.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/journeys/odd_files/odd_files.h"

namespace leeward::test {
namespace {

OddFile log(const char* what, std::string text) { return {.what = what, .kind = "visits", .name = "log.csv", .made = bytes(std::move(text))}; }
OddFile taken(OddFile file, std::size_t kept, std::vector<const char*> said = {}, std::vector<RefusedLine> refused = {}) {
  file.kept = kept, file.said = std::move(said), file.refused = std::move(refused);
  return file;
}
OddFile stopped(OddFile file, int status, std::vector<const char*> said, const char* where = nullptr) {
  file.status = status, file.said = std::move(said), file.where = where;
  return file;
}
OddFile mapped(OddFile file, std::string map) {
  file.more = {"--map", std::move(map)};
  return file;
}
/// The same for another kind and name.
OddFile of(const char* kind, std::string name, OddFile file) {
  file.kind = kind, file.name = std::move(name);
  return file;
}

TEST(OddFilesTest, Days) {
  const std::string unclear = "date,address\n3/4/2025,101 Elm St\n4/5/2025,103 Elm St\n";
  expectAll({
      stopped(log("day or month first, and nothing shows it", unclear), 3, {"3/4/2025", "date_order=mdy"}),
      taken(mapped(log("the same, said", unclear), "date_order=dmy"), 2),
      stopped(mapped(log("said wrongly", unclear), "date_order=ymd"), 2, {"'ymd'", "date_order=mdy"}, "date_order"),
      taken(log("one day shows it", "date,address\n3/4/2025,101 Elm St\n25/4/2025,103 Elm St\n"), 2, {"day/month/year"}),
      taken(log("both orders in one column", "date,address\n25/4/2025,101 Elm St\n4/25/2025,103 Elm St\n3/4/2025,105 Elm St\n"), 2, {"day first (1)"}, {{4, "date", "can't be told"}}),
      taken(log("days that are none", "date,address\n2025-02-31,101 Elm St\n2025-13-01,101 Elm St\n2025-00-10,101 Elm St\n2024-02-29,103 Elm St\n2023-02-29,105 Elm St\n"), 1, {},
            {{2, "date", "no day 31"}, {3, "date", "no month 13"}, {4, "date", "no month 0"}, {6, "date", "no day 29"}}),
      taken(log("days to come and long gone", "date,address\n2199-01-01,101 Elm St\n1925-03-04,103 Elm St\n2025-03-04,105 Elm St\n"), 1, {}, {{2, "date", "future"}, {3, "date", "too long ago"}}),
      taken(log("no day", "date,address\n,101 Elm St\nyesterday,103 Elm St\n2025-03-04,105 Elm St\n"), 1, {}, {{2, "date", "no date"}, {3, "date", "no date; write it as"}}),
      taken(log("Spanish days", "fecha,direccion,resultado\nmartes 4 de marzo de 2025,101 Elm St,nadie en casa\n5 abr 2025,103 Elm St,sin perros\n"), 2),
      taken(log("two digits of a year", "date,address\n3/25/25,101 Elm St\n"), 1, {"20yy"}),
      taken(log("a spreadsheet's day numbers", "date,address\n45720,101 Elm St\n45720.5,103 Elm St\n7,105 Elm St\n"), 2, {}, {{4, "date", "a number alone"}}),
      taken(log("times in UTC", "date,address\n2025-03-05T01:05:00Z,101 Elm St\n"), 1, {"UTC", "time_zone=EST5EDT"}),
      taken(mapped(log("times in UTC by the team's clock", "date,address\n2025-03-05T01:05:00Z,101 Elm St\n"), "time_zone=EST5EDT"), 1, {"converted"}),
      stopped(mapped(log("a clock that nobody knows", "date,address\n2025-03-05T01:05:00Z,101 Elm St\n"), "time_zone=Mars"), 2, {"'Mars'", "EST5EDT"}, "time_zone"),
      taken(log("times that are none", "date,time,address\n2025-03-04,25:10,101 Elm St\n2025-03-04,2:05 pm,103 Elm St\n2025-03-04,14:05-05:00,105 Elm St\n"), 1, {},
            {{2, "time", "no time"}, {4, "time", "zone"}}),
  });
}

TEST(OddFilesTest, PlacesNumbersAndWords) {
  expectAll({
      taken(of("visits", "log.csv", log("decimal commas", "date;lon;lat;look\n2025-03-04;-84,605;39,395;street\n2025-03-05;-84,606;39,396;street\n")), 2),
      taken(log("degrees, minutes and seconds", "date,lon,lat,look\n2025-03-04,84 36 18 W,39 23 42 N,street\n"), 1),
      stopped(log("longitude and latitude exchanged", "date,lon,lat,look\n2025-03-04,39.395,-84.605,street\n2025-03-05,39.396,-84.606,street\n"), 3, {"exchanged", "--map \"lon=lat,lat=lon\""}),
      taken(log("a phone without a fix, half a place, no place, a place far off", "date,lon,lat,look,address\n2025-03-04,0,0,street,\n2025-03-04,-84.605,,street,\n2025-03-04,,,street,\n"
                                                                                 "2025-03-04,-71.1,42.3,street,\n2025-03-04,-84.605,39.395,street,\n2025-03-04,-84.605,139.395,street,\n"),
            1, {}, {{2, "lat", "without a fix"}, {3, "lat", "one is blank"}, {4, "address", "neither"}, {5, "lat", "50 km"}, {7, "lat", "between -90 and 90"}}),
      taken(log("counts that are none", "date,address,dogs_seen,dogs_met\n2025-03-04,101 Elm St,2-3,0\n2025-03-04,103 Elm St,3+,0\n2025-03-04,105 Elm St,-1,0\n2025-03-04,107 Elm St,1000,0\n"
                                        "2025-03-04,109 Elm St,1.5,0\n2025-03-04,111 Elm St,dos,uno\n2025-03-04,113 Elm St,lots,\n"),
            1, {}, {{2, "dogs_seen", "no count"}, {3, "dogs_seen", ""}, {4, "dogs_seen", ""}, {5, "dogs_seen", "200"}, {6, "dogs_seen", ""}, {8, "dogs_seen", ""}}),
      taken(log("words that are not known", "date,address,look,door_result\n2025-03-04,101 Elm St,knock,nobdy home\n2025-03-04,103 Elm St,knock,nobdy home\n2025-03-04,105 Elm St,kncok,no_dog\n"
                                            "2025-03-04,107 Elm St,knock,no_dog\n"),
            1, {"2 rows were refused for words in column 'door_result'", "nearest: nobody_home"},
            {{2, "door_result", "nobody_home is nearest"}, {3, "door_result", "not known"}, {4, "look", "write one of: knock"}}),
      taken(log("Spanish words", "date,address,look,door_result,why_here\n2025-03-04,101 Elm St,puerta,nadie en casa,ronda\n2025-03-04,103 Elm St,llamada,no quiso,queja\n"), 2),
      taken(log("a score without its scale", "date,address,door_result,dogs_met,dog_name,body_condition\n2025-03-04,101 Elm St,welcomed,1,Rex,2\n2025-03-04,103 Elm St,welcomed,1,Bo,\n"), 1, {},
            {{2, "body_condition", "scale"}}),
      taken(mapped(log("a score with its scale", "date,address,door_result,dogs_met,dog_name,body_condition\n2025-03-04,101 Elm St,welcomed,1,Rex,2\n2025-03-04,103 Elm St,welcomed,1,Bo,6\n"),
                   "scale=five_ideal_first"), 1, {}, {{3, "body_condition", "1 to 5"}}),
      stopped(mapped(log("a scale that nobody knows", "date,address,body_condition\n2025-03-04,101 Elm St,2\n"), "scale=seven"), 2, {"seven"}, "scale"),
      taken(log("several animals in a row", "date,address,door_result,dogs_met,dog_name,sex\n2025-03-04,101 Elm St,welcomed,2,Rex; Luna,M; F\n2025-03-05,103 Elm St,welcomed,2,Rex; Luna,M; F; F\n"), 1,
            {"names several animals"}, {{3, "sex", "3 values"}}),
      taken(log("lists in a cell", "date,address,door_result,dogs_met,dog_name,done,treatment\n2025-03-04,101 Elm St,welcomed,1,Rex,straw 2; swivel 1,\n2025-03-04,103 Elm St,welcomed,1,Bo,,drops|L1|heavy kg\n"), 1,
            {}, {{3, "treatment", ""}}),
      taken(log("an x that can mean either", "date,address,door_result,dogs_met,dog_name,water\n2025-03-04,101 Elm St,welcomed,1,Rex,x\n2025-03-04,103 Elm St,welcomed,1,Bo,ok\n"), 1, {}, {{2, "water", "can mean met or unmet"}}),
      taken(log("one id, two days", "visit_id,date,address\n1,2025-03-04,101 Elm St\n1,2025-03-05,101 Elm St\n2,2025-03-05,103 Elm St\n"), 1, {}, {{2, "date", "lines 2 and 3"}, {3, "date", "lines 2 and 3"}}),
      stopped(mapped(log("a column that is not there", "date,address\n2025-03-04,101 Elm St\n"), "address=Calle"), 2, {"Calle", "address"}, "--map"),
      stopped(log("no column of places", "date,crew\n2025-03-04,north\n"), 3, {"place", "--map address="}),
      of("visits", "log.csv", stopped(log("every row refused", "date,address\n2025-02-31,101 Elm St\n2025-02-30,103 Elm St\n"), 3, {"None of the 2 rows", "line 2"})),
      {.what = "a cell of a million letters", .kind = "visits", .name = "log.csv", .made = bytes("date,address,notes\n2025-03-04,101 Elm St," + std::string(1'000'000, 'x') + "\n"), .kept = 1},
      {.what = "two thousand columns", .kind = "visits", .name = "log.csv", .made = [](const auto& path) {
         std::string head = "date,address", row = "2025-03-04,101 Elm St";
         for (int i = 0; i < 2000; ++i) head += fmt::format(",c{}", i), row += ",1";
         bytes(head + "\n" + row + "\n")(path);
       }, .kept = 1},
  });
}

TEST(OddFilesTest, Weather) {
  const auto days = [](const char* what, const std::string& text) { return of("weather", "days.csv", log(what, "date,tmax,tmin\n" + text)); };
  expectAll({
      stopped(days("neither Celsius nor Fahrenheit", "2025-03-04,41,30\n2025-03-05,39,30\n"), 3, {"not known", "unit=C"}),
      taken(mapped(days("the same, said", "2025-03-04,41,30\n2025-03-05,39,30\n"), "unit=F"), 2, {"converted"}),
      stopped(mapped(days("said wrongly", "2025-03-04,41,30\n"), "unit=X"), 2, {"unit=C"}, "unit=x"),
      taken(days("more than Celsius can be", "2025-07-04,96,70\n2025-07-05,91,72\n"), 2, {"Fahrenheit"}),
      taken(of("weather", "days.csv", log("a heading that says it", "date,Max temp (C),Min temp (C)\n2025-03-04,11,3\n2025-03-05,-99.9,2\n")), 2, {"-99.9"}),
      taken(mapped(days("a day twice, the lowest above the highest, hotter than ever", "2025-03-04,11,3\n2025-03-04,12,3\n2025-03-05,3,11\n2025-03-06,99,1\n"), "unit=C"), 1, {},
            {{3, "date", "line 2"}, {4, "tmin", "above the highest"}, {5, "tmax", "between"}}),
  });
}

TEST(OddFilesTest, Census) {
  const auto table = [](const char* what, const std::string& name, const std::string& text) { return of("census", name, log(what, text)); };
  expectAll({
      taken(table("lost zeros", "c.csv", "GEOID,B01003_001E,B01003_001M\n10010201001,520,90\n10010201002,610,80\n90010201001,700,70\n"), 3, {"leading zero was put back on 3 ids"}),
      taken(table("a prefix up to US", "c.csv", "GEO_ID,B01003_001E\n1500000US390170101001,520\n1500000US390170101002,610\n"), 2, {"'US' was taken off 2 ids"}),
      taken(table("special values", "c.csv", "GEO_ID,B19013_001E,B19013_001M\n1500000US390170101001,-666666666,-222222222\n1500000US390170101002,\"250,000+\",***\n1500000US390170101003,52000,9000\n"
                                             "1500000US390170101004,41000,*****\n"),
            4, {"1 value is missing (no estimate", "open-ended", "zero (the estimate is controlled"}),
      taken(table("two rows of headings", "ACSDT5Y2022.B19013-Data.csv", "GEO_ID,NAME,B19013_001E,B19013_001M\nGeography,Geographic Area Name,Estimate!!Median,Margin of Error!!Median\n"
                                                                         "1500000US390170101001,A,52000,9000\n1500000US390170101002,B,41000,8000\n"),
            2, {"row below the headings holds labels", "of 2022"}),
      taken(table("ids that a spreadsheet rounded, none, twice", "c.csv", "GEOID,B01003_001E\n3.90170E+11,520\n,610\n390170101003,700\n390170101003,701\n390170101004,abc\n390170101005,10\n390170101006,11\n"), 3, {},
            {{2, "GEOID", "rounded"}, {3, "GEOID", "no id"}, {5, "GEOID", "line 4 already"}, {6, "B01003_001E", "no number"}}),
      stopped(table("no figures", "c.csv", "GEOID,NAME\n390170101001,A\n390170101002,B\n"), 3, {"figures"}),
      taken(table("thousands and decimal commas", "c.csv", "GEOID;people;share\n390170101001;1.234;12,5\n390170101002;12.345;7,25\n"), 2),
  });
}

}  // namespace
}  // namespace leeward::test
