#include "analysis/place/parse.h"

#include <chrono>

#include <gtest/gtest.h>

#include "analysis/place/house_number.h"
#include "analysis/place/postal_words.h"
#include "analysis/place/street_name.h"
#include "analysis/place/tokens.h"
#include "shared/base/random.h"

namespace leeward::analysis {
namespace {

using Label = AddressLabel;

TEST(ParseTest, PlainAddressWithUnitTownStateAndZip) {
  const auto a = parseAddress("123 East Main Street Apt. 4B, Springfield, IL 62701-1234");
  EXPECT_EQ(a.kind, AddressKind::Street);
  EXPECT_EQ(element(a, Label::AddressNumber), "123");
  EXPECT_EQ(element(a, Label::StreetNamePreDirectional), "East");
  EXPECT_EQ(element(a, Label::StreetName), "Main");
  EXPECT_EQ(element(a, Label::StreetNamePostType), "Street");
  EXPECT_EQ(element(a, Label::OccupancyType), "Apt");
  EXPECT_EQ(element(a, Label::OccupancyIdentifier), "4B");
  EXPECT_EQ(element(a, Label::PlaceName), "Springfield");
  EXPECT_EQ(element(a, Label::StateName), "IL");
  EXPECT_EQ(element(a, Label::ZipCode), "62701");
  EXPECT_EQ(element(a, Label::ZipPlus4), "1234");
  EXPECT_EQ(standardLine(a), "123 E MAIN ST APT 4B, SPRINGFIELD IL 62701-1234");
}

TEST(ParseTest, CrossingsHaveTwoStreets) {
  for (const char* text : {"corner 4th & elm", "Corner of 4th and Elm", "4th @ Elm"}) {
    const auto a = parseAddress(text);
    EXPECT_EQ(a.kind, AddressKind::Crossing) << text;
    EXPECT_EQ(element(a, Label::StreetName).substr(0, 3), "4th") << text;
    EXPECT_FALSE(element(a, Label::SecondStreetName).empty()) << text;
  }
  EXPECT_EQ(standardLine(parseAddress("Main St & 4th Ave")), "MAIN ST & 4TH AVE");
}

TEST(ParseTest, BlocksKeepTheirHundred) {
  for (const char* text : {"300 blk Oak", "300 block of Oak St", "300 BLK Oak, blue house"}) {
    const auto a = parseAddress(text);
    EXPECT_EQ(a.kind, AddressKind::Block) << text;
    EXPECT_EQ(element(a, Label::AddressNumber), "300") << text;
    EXPECT_EQ(element(a, Label::StreetName), "Oak") << text;
  }
}

TEST(ParseTest, BoxesAreNoStreets) {
  EXPECT_EQ(parseAddress("PO Box 1234, Springfield, IL 62701").kind, AddressKind::Box);
  EXPECT_EQ(parseAddress("RR 2 Box 484 Greenfield IL 62044").kind, AddressKind::Box);
}

TEST(ParseTest, EveryWordIsKeptOnceInOrder) {
  const char* text = "1402 Oak St, apt 3, Springfield";
  std::string joined;
  for (const auto& token : parseAddress(text).tokens) joined += (joined.empty() ? "" : " ") + token.text;
  EXPECT_EQ(joined, text);
}

TEST(ParseTest, NothingGivesNothing) {
  for (const char* text : {"", "   ", ",,,", "???", "\t\n"}) {
    const auto a = parseAddress(text);
    EXPECT_TRUE(a.tokens.empty()) << text;
    EXPECT_EQ(a.kind, AddressKind::Other);
    EXPECT_EQ(standardLine(a), "");
  }
}

TEST(ParseTest, HostileStringsGiveAnAnswer) {
  const std::string nul("12 El\0m St", 10);
  const std::vector<std::string> lines = {std::string(1'000'000, 'a'), std::string(1'000'000, '9'), std::string(100'000, ','), nul,
      "12 \xFF\xFE\xC3 St", "\xE2\x80\xAE" "12 Elm St", "'; DROP TABLE premises; --", "=HYPERLINK(\"x\")", std::string(50'000, '#'),
      "((((((", "1/2 1/2 1/2", std::string(5000, '('), "99999999999999999999 Elm St"};
  for (const std::string& line : lines) {
    const auto a = parseAddress(line);
    EXPECT_EQ(a.was_cut, line.size() > kLongestAddress);
    EXPECT_LE(a.tokens.size(), kLongestAddress);
    standardLine(a);
  }
}

TEST(ParseTest, LongLinesCostNoMoreThanTheCut) {
  std::string commas;
  for (int i = 0; i < 100'000; ++i) commas += "a,";
  const auto start = std::chrono::steady_clock::now();
  for (int i = 0; i < 20; ++i) parseAddress(commas);
  EXPECT_LT(std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(), 2.0);
}

TEST(ParseTest, LabelNamesReadBack) {
  for (std::size_t i = 0; i < kAddressLabels; ++i) {
    const auto label = static_cast<Label>(i);
    EXPECT_EQ(labelFromName(labelName(label)), label);
  }
  EXPECT_FALSE(labelFromName("Street"));
}

TEST(TokensTest, GluedNumbersAndSignsComeApart) {
  const auto upper = [](const char* text) {
    std::vector<std::string> words;
    for (const Word& word : wordsOf(text)) words.push_back(word.upper);
    return words;
  };
  EXPECT_EQ(upper("14Elm St"), (std::vector<std::string>{"14", "ELM", "ST"}));
  EXPECT_EQ(upper("22nd St #4B"), (std::vector<std::string>{"22ND", "ST", "#", "4B"}));
  EXPECT_EQ(upper("Oak,blue house"), (std::vector<std::string>{"OAK", "BLUE", "HOUSE"}));
  EXPECT_EQ(upper("4th&Elm"), (std::vector<std::string>{"4TH", "&", "ELM"}));
  EXPECT_EQ(upper("N.W."), (std::vector<std::string>{"NW"}));
}

TEST(HouseNumberTest, ReadsPrefixesSuffixesAndRanges) {
  EXPECT_EQ(readHouseNumber("12A")->suffix, "A");
  EXPECT_EQ(readHouseNumber("12-A")->suffix, "A");
  EXPECT_EQ(readHouseNumber("123 1/2")->suffix, "1/2");
  EXPECT_EQ(readHouseNumber("12-16")->last, 16);
  EXPECT_EQ(readHouseNumber("45-18")->suffix, "-18");
  EXPECT_EQ(readHouseNumber("45-18")->number, 45);
  EXPECT_EQ(readHouseNumber("N6W23001")->prefix, "N6W");
  EXPECT_EQ(readHouseNumber("N6W23001")->number, 23001);
  EXPECT_FALSE(readHouseNumber("Elm"));
  EXPECT_FALSE(readHouseNumber(""));
  EXPECT_FALSE(readHouseNumber("99999999999"));
}

TEST(StreetNameTest, AtLeastOneWordStaysTheName) {
  const auto split = [](const char* name) { return splitStreet(streetWords(name)); };
  EXPECT_EQ(split("N 4th St"), (StreetParts{"N", "4", "ST", ""}));
  EXPECT_EQ(split("North Fourth Street"), (StreetParts{"N", "4", "ST", ""}));
  EXPECT_EQ(split("North St"), (StreetParts{"", "N", "ST", ""}));
  EXPECT_EQ(split("E St NW"), (StreetParts{"", "E", "ST", "NW"}));
  EXPECT_EQ(split("Park Ave"), (StreetParts{"", "PARK", "AVE", ""}));
  EXPECT_EQ(split("Avenue E"), (StreetParts{"", "AVEE", "", ""}));
  EXPECT_EQ(split("Saint Paul Street"), split("St Paul St"));
  EXPECT_EQ(split("Avenue Rd"), (StreetParts{"", "AVE", "RD", ""}));
}

/// The distance by its definition, cell by cell.
int slipsByTable(const std::string& a, const std::string& b) {
  std::vector<std::vector<int>> d(a.size() + 1, std::vector<int>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        d[i][j] = static_cast<int>(i + j);
        continue;
      }
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
    }
  }
  return d[a.size()][b.size()];
}

TEST(StreetNameTest, SlipsAreThoseOfTheDefinition) {
  Random random(3);
  const auto word = [&] {
    std::string text;
    for (std::size_t length = random.below(random.below(8) == 0 ? 63 : 12); text.size() < length;) text += static_cast<char>('A' + random.below(3));
    return text;
  };
  for (int i = 0; i < 20'000; ++i) {
    const std::string a = word(), b = word();
    ASSERT_EQ(slipsBetween(a, b, 100), slipsByTable(a, b)) << a << ' ' << b;
  }
}

TEST(StreetNameTest, SlipsAreCountedAsDamerauDid) {
  EXPECT_EQ(slipsBetween("ELM", "ELM", 2), 0);
  EXPECT_EQ(slipsBetween("ELM", "EML", 2), 1);
  EXPECT_EQ(slipsBetween("MAPLE", "MAPL", 2), 1);
  EXPECT_EQ(slipsBetween("MAPLE", "MMAPLEE", 2), 2);
  EXPECT_EQ(slipsBetween("MAPLE", "ORCHARD", 2), 3);
  EXPECT_EQ(slipsBetween("", "AB", 2), 2);
  EXPECT_EQ(slipsBetween("CA", "ABC", 5), 3) << "no letter is moved twice: Damerau's own distance is 2";
  EXPECT_EQ(slipsBetween(std::string(64, 'A'), std::string(64, 'A') + "B", 2), 3) << "longer than any street name";
}

TEST(PostalWordsTest, OrdinalsReadBack) {
  for (int value = 1; value <= 99; ++value) EXPECT_EQ(ordinalValue(spelledOrdinal(value)), value);
  EXPECT_EQ(ordinalValue("TWENTY"), 0);
  EXPECT_EQ(ordinalValue("ELM"), 0);
}

}  // namespace
}  // namespace leeward::analysis
