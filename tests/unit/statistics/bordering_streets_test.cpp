// The names that people give a block: the streets around it.
#include "analysis/overlay/bordering_streets.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace leeward::analysis {
namespace {

using Names = std::vector<std::string>;

struct Streets {
  Geometries lines;
  Names names;

  void add(const char* name, std::vector<Point> line) {
    lines.addLine(line);
    names.emplace_back(name);
  }
};

/// Two blocks of 100 m by 60 m, side by side.
Geometries twoBlocks() {
  Geometries areas;
  for (const double x : {0.0, 100.0}) areas.addArea(std::vector<Point>{{x, 0}, {x + 100, 0}, {x + 100, 60}, {x, 60}, {x, 0}});
  return areas;
}

Streets grid() {
  Streets streets;
  streets.add("Elm St", {{0, 60}, {200, 60}});
  streets.add("Fir St", {{-50, 0}, {250, 0}});
  streets.add("1st St", {{0, -40}, {0, 100}});
  streets.add("2nd St", {{100, 60}, {100, 0}});
  streets.add("3rd St", {{200, 0}, {200, 60}});
  return streets;
}

std::vector<Names> around(const Geometries& areas, const Streets& streets, const BorderingRequest& request = {}) {
  Progress progress;
  return borderingStreets(areas, streets.lines, streets.names, request, progress).value();
}

TEST(BorderingStreetsTest, ABlockIsNamedByItsFourStreetsClockwiseFromTheNorth) {
  const auto names = around(twoBlocks(), grid());
  EXPECT_EQ(names[0], (Names{"Elm St", "2nd St", "Fir St", "1st St"}));
  EXPECT_EQ(names[1], (Names{"Elm St", "3rd St", "Fir St", "2nd St"}));
}

TEST(BorderingStreetsTest, TheLongestAreKeptAndAStreetThatOnlyTouchesACornerIsNone) {
  Streets streets = grid();
  streets.add("Nook Ln", {{0, 60}, {-40, 100}});
  EXPECT_EQ(around(twoBlocks(), streets)[0], (Names{"Elm St", "2nd St", "Fir St", "1st St"}));
  EXPECT_EQ(around(twoBlocks(), streets, {.most = 2})[0], (Names{"Elm St", "Fir St"}));
}

TEST(BorderingStreetsTest, AStreetWithinABlockNamesItOnlyIfNothingElseDoes) {
  Streets streets;
  streets.add("Court Pl", {{50, 20}, {50, 40}});
  EXPECT_EQ(around(twoBlocks(), streets)[0], (Names{"Court Pl"}));
  streets.add("Elm St", {{0, 60}, {200, 60}});
  EXPECT_EQ(around(twoBlocks(), streets)[0], (Names{"Elm St"}));
}

TEST(BorderingStreetsTest, TwoPiecesOfOneNameAreOneStreetAndNamelessOnesNone) {
  Streets streets;
  streets.add("Elm St", {{0, 60}, {50, 60}});
  streets.add("Elm St", {{50, 60}, {100, 60}});
  streets.add("", {{0, 0}, {100, 0}});
  EXPECT_EQ(around(twoBlocks(), streets)[0], (Names{"Elm St"}));
}

TEST(BorderingStreetsTest, BlocksThatEndAtTheKerbAreNamedToo) {
  Geometries areas;
  areas.addArea(std::vector<Point>{{10, 10}, {90, 10}, {90, 50}, {10, 50}, {10, 10}});
  EXPECT_EQ(around(areas, grid())[0], (Names{"Elm St", "2nd St", "Fir St", "1st St"}));
}

TEST(BorderingStreetsTest, OddRowsAreDefined) {
  Geometries areas;
  areas.addNone();
  areas.addPoint({5, 5});
  Streets streets = grid();
  streets.add("Dot St", {{50, 60}, {50, 60}});
  streets.lines.addNone();
  streets.names.emplace_back("Nowhere St");
  EXPECT_EQ(around(areas, streets), (std::vector<Names>{{}, {}}));
  Progress progress;
  EXPECT_EQ(borderingStreets(areas, streets.lines, Names{"one"}, {}, progress).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(borderingStreets(areas, streets.lines, streets.names, {.step_m = 0}, progress).problem().code, ProblemCode::InvalidArgument);
}

}  // namespace
}  // namespace leeward::analysis
