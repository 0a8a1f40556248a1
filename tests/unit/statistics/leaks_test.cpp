// What the leak check finds in text and bytes, and what it leaves alone.
#include <ctime>
#include <cstring>

#include <gtest/gtest.h>

#include "analysis/disclosure/leaks.h"
#include "shared/base/random.h"

namespace leeward::analysis {
namespace {

PrivateFacts facts() {
  PrivateFacts facts;
  facts.homes = {{"1204", "N Ambleforth Ave"}, {"12", "4th St"}, {"77B", "Saint Orvin's Court"}, {"9", "Avenue B"}, {"7", "Quenby Lane"}};
  facts.names = {"María Quillfeather", "Jo Ann Underbridge"};
  facts.phones = {"(610) 555-0142", "555-0177"};
  facts.single_names = {"Biscuit"};
  facts.lon_lat = {{-37.171529, 41.518792}};
  facts.projected = {{{318'500.25, 4'598'123.75}}};
  return facts;
}

LeakCount read(const std::string& text) {
  static const LeakFinder finder(facts());
  LeakCount found;
  finder.readText(text, found);
  return found;
}

TEST(Leaks, AnAddressIsFoundInAnySpelling) {
  for (const char* text : {"1204 N Ambleforth Ave", "1204 North Ambleforth Avenue", "the dog at 1204 Ambleforth was met", "1204 AMBLEFORTH AV.", "1204, n. ambleforth ave.", "1,204 Ambleforth Ave",
                           "1204 Amblefort Ave", "Ambleforth Avenue 1204", "Ambleforth Ave No. 1204", "12 4th St", "12 Fourth Street", "12 W 4th Street", "twelve Fourth Street", "77B St. Orvin's Ct",
                           "77 Saint Orvins Court", "77-B St Orvins", "9 Avenue B", "9 Ave. B", "1204\nN Ambleforth Ave", "1204\tAmbleforth", "seven Quenby Lane"}) {
    const auto found = read(text);
    ASSERT_FALSE(found.leaks.empty()) << text;
    EXPECT_EQ(found.leaks.front().kind, LeakKind::Address) << text;
  }
}

TEST(Leaks, OtherNumbersAndBareStreetsAreLeftAlone) {
  for (const char* text : {"1206 N Ambleforth Ave", "Ambleforth Avenue was visited", "12, 4, 9", "12 of 4 areas", "in 2025, 12 dogs on 5th St", "9 dogs, group B", "Tract 2: 1204 looks", "7 or more", "Quenby Lane"}) {
    EXPECT_TRUE(read(text).leaks.empty()) << text;
  }
}

// What a whole city of homes brought up: names of attributes, and bytes of numbers in which letters stand by chance.
TEST(Leaks, MarkupAndBytesOfNumbersAreNoAddresses) {
  PrivateFacts city;
  city.homes = {{"12", "Max Ave"}, {"8", "Union St"}, {"1", "Sixth St"}, {"6", "E St"}};
  const LeakFinder finder(city);
  const auto count = [&](const std::string& text) {
    LeakCount found;
    finder.readText(text, found);
    return found.leaks.size();
  };
  for (const std::string& text : {std::string("<col min=\"12\" max=\"12\" width=\"62.7\"/>"), "u 7 B)u 8" + std::string(16, '\n') + "B)un B)up", "G 6 W 1 Ea" + std::string(9, '\n'), std::string("8\0\0\0\x01UN", 8)}) {
    EXPECT_EQ(count(text), 0U) << text;
  }
  for (const char* text : {"12 Max Ave", "12 Max", "Max Ave 12", "8 union st", "8 Union\nStreet", "8\nUnion St", "1 6th St", "1 Sixth St", "Sixth St 1", "6 E St", "<td>12</td><td>Max Ave</td>", "number=\"12\">Max Ave<"}) {
    EXPECT_EQ(count(text), text == std::string_view("<td>12</td><td>Max Ave</td>") ? 0U : 1U) << text;  // tags leave with the reader of that format
  }
}

TEST(Leaks, TelephonesAreFoundHoweverGrouped) {
  for (const char* text : {"610-555-0142", "(610) 555-0142", "+1 610 555 0142", "6105550142", "610.555.0142", "call 555-0142 now", "1-610-555-0142", "5550177"}) {
    const auto found = read(text);
    ASSERT_EQ(found.leaks.size(), 1U) << text;
    EXPECT_EQ(found.leaks.front().kind, LeakKind::Phone) << text;
  }
  for (const char* text : {"610-555-0143", "610,555,0142", "16105550142999", "0142"}) EXPECT_TRUE(read(text).leaks.empty()) << text;
}

TEST(Leaks, FullNamesAreFoundAndSingleOnesOnlyCounted) {
  for (const char* text : {"Maria Quillfeather", "MARÍA QUILLFEATHER", "Quillfeather, María", "jo ann underbridge", "Underbridge, Jo Ann"}) {
    ASSERT_FALSE(read(text).leaks.empty()) << text;
    EXPECT_EQ(read(text).leaks.front().kind, LeakKind::Name) << text;
  }
  EXPECT_TRUE(read("Maria and Quillfeather").leaks.empty());
  EXPECT_TRUE(read("Biscuit is well").leaks.empty());
  EXPECT_EQ(read("Biscuit is well").single_names, 1U);
}

TEST(Leaks, PositionsAreFoundInEitherOrderAndForm) {
  for (const char* text : {"-37.171529,41.518792", "41.5188, -37.1715", R"({"lat": 41.51879, "name": "x", "lon": -37.17153})", "lat=\"41.51879\" lon=\"-37.17153\"", "GEO:41.518792;-37.171529",
                           "41\u00B031'07.65\"N 37\u00B010'17.50\"W", "318500.2 4598123.8"}) {
    ASSERT_EQ(read(text).leaks.size(), 1U) << text;
    EXPECT_EQ(read(text).leaks.front().kind, LeakKind::Position) << text;
  }
  // Of one point the longitude, of its neighbour the latitude: no position of either.
  for (const char* text : {"[-37.171529,41.519900],[-37.172900,41.518792]", "41.518792,x,-37.173500\n41.519900,x,-37.171529", "41.52, -37.17", "-37.171529", "318600.2 4598123.8"}) {
    EXPECT_TRUE(read(text).leaks.empty()) << text;
  }
}

TEST(Leaks, PairsOfDoublesAreFoundAtAnyByteInEitherOrderOfBytes) {
  const LeakFinder finder(facts());
  for (const bool big : {false, true}) {
    std::string bytes(37, 'x');
    for (const double value : {-37.171529, 41.518792}) {
      std::uint64_t bits = 0;
      std::memcpy(&bits, &value, sizeof bits);
      if (big) bits = __builtin_bswap64(bits);
      bytes.append(reinterpret_cast<const char*>(&bits), sizeof bits);
    }
    LeakCount found;
    finder.readNumbers(bytes + "tail", found);
    ASSERT_EQ(found.leaks.size(), 1U);
    EXPECT_EQ(found.leaks.front().at, 37U);
  }
}

TEST(Leaks, SaysTheLine) { EXPECT_EQ(read("one\ntwo\n1204 Ambleforth Ave").leaks.front().line, 3U); }

// Time of processors, so that a busy machine changes little.
TEST(Leaks, NothingIsSeenInTenMegabytesOfPlainFiguresBesideAHundredThousandHomes) {
  PrivateFacts many;
  Random random(9);
  const std::vector<std::string> streets = {"Ambleforth", "Orvin", "Quenby", "Tarrow", "Wexcombe", "Yarnold", "Pellow", "Dunstead", "Marrick", "Hollin"};
  for (int i = 0; i < 100'000; ++i) {
    many.homes.push_back({std::to_string(10 + random.below(9000)), streets[random.below(10)] + std::string(1, static_cast<char>('a' + random.below(26))) + std::string(1, static_cast<char>('a' + random.below(26))) + " St"});
    many.lon_lat.push_back({-37 - 0.2 * random.uniform(), 41.4 + 0.2 * random.uniform()});
    if (i % 10 == 0) many.names.push_back("Given" + std::to_string(i) + " Family" + std::to_string(i));
  }
  std::string text;
  while (text.size() < 10'000'000) text += "Tract " + std::to_string(random.below(900)) + ", 2025 Q3, " + std::to_string(random.below(9000)) + ",looks " + std::to_string(random.below(9000)) + " of words that say nothing, 41." + std::to_string(random.below(9)) + "\n";
  const std::clock_t start = std::clock();
  const LeakFinder finder(many);
  LeakCount found;
  finder.readText(text, found);
  finder.readNumbers(text, found);
  EXPECT_TRUE(found.leaks.empty());
  const double seconds = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
  RecordProperty("seconds", std::to_string(seconds));
  EXPECT_LT(seconds, 10);
  std::printf("%.2f s\n", seconds);
}

}  // namespace
}  // namespace leeward::analysis
