// Any line gets an answer, in time that grows no faster than the line.
#include <ctime>
#include <fstream>

#include <gtest/gtest.h>

#include "analysis/place/parse.h"
#include "analysis/place/place.h"
#include "tests/support/data.h"
#include "tests/unit/place/hostile.h"
#include "tests/unit/place/town.h"

namespace leeward::test {
namespace {

const analysis::AddressIndex& town() {
  static const analysis::AddressIndex built = [] {
    TownParts parts = smallTown();
    Progress progress;
    return analysis::AddressIndex::build(std::move(parts.points), std::move(parts.ranges), progress).value();
  }();
  return built;
}

double secondsFor(const std::string& line) {
  const std::clock_t start = std::clock();  // of processors, so that a busy machine changes little
  const std::string fault = lineFault(town(), line);
  EXPECT_EQ(fault, "") << line.substr(0, 60);
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

TEST(HostileLines, WhatWasFoundByChanceStillHolds) {
  std::ifstream file(sourceFolder() / "tests/unit/place/hostile_lines.txt");
  std::string line;
  std::size_t read = 0;
  while (std::getline(file, line)) {
    ++read;
    EXPECT_EQ(lineFault(town(), unescaped(line)), "") << line;
  }
  EXPECT_GE(read, 200U);
}

TEST(HostileLines, SeedsAndSomeThousandChangedLinesHold) {
  for (const std::string& seed : hostileSeeds()) EXPECT_EQ(lineFault(town(), seed), "") << escaped(seed);
  Random random(20);
  for (int i = 0; i < 2000; ++i) {
    const std::string line = mutated(hostileSeeds(), random);
    ASSERT_EQ(lineFault(town(), line), "") << escaped(line);
  }
}

TEST(HostileLines, TenMegabytesAndAHundredThousandCommasAreAnsweredInTime) {
  const auto repeated = [](const std::string& piece, std::size_t bytes) {
    std::string line;
    while (line.size() < bytes) line += piece;
    return line;
  };
  // Ten seconds are for a busy machine: time that grew with the square would be hours.
  for (const std::string& piece : {std::string("a"), std::string("12 Elm St, "), std::string("\0", 1)}) EXPECT_LT(secondsFor(repeated(piece, 10'000'000)), 10) << escaped(piece);
  for (const std::string& piece : {std::string("9"), std::string(","), std::string("& "), std::string("\xE2\x80\xAE"), std::string("(("), std::string("N "), std::string("St "),
                                   std::string("1-"), std::string("#1 ")}) {
    EXPECT_LT(secondsFor(repeated(piece, 100'000)), 10) << escaped(piece);
  }
}

TEST(HostileLines, EscapesGoBothWays) {
  const std::string all = [] {
    std::string text;
    for (int byte = 0; byte < 256; ++byte) text.push_back(static_cast<char>(byte));
    return text;
  }();
  EXPECT_EQ(unescaped(escaped(all)), all);
}

}  // namespace
}  // namespace leeward::test
