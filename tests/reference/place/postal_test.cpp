/// Published rules and tables of addressing.
#include <fstream>
#include <iostream>
#include <map>

#include <gtest/gtest.h>

#include "analysis/place/house_number.h"
#include "analysis/place/parse.h"
#include "analysis/place/postal_words.h"
#include "analysis/place/tokens.h"
#include "shared/base/text.h"
#include "tests/reference/place/labeled.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using Label = AddressLabel;

// USPS Publication 28, Appendix C1: the copy of the table beside the project.
TEST(PostalTableTest, PrimaryNamesHaveTheirPublishedAbbreviation) {
  LEEWARD_OUTSIDE_DATA(file, "checks/data/usps_suffix_primary.csv");
  std::ifstream in(file);
  int rows = 0;
  for (std::string line; std::getline(in, line);) {
    const auto fields = split(trim(line), ',');
    if (fields.size() != 2 || fields[0] == "primary") continue;
    EXPECT_EQ(standardType(fields[0]), fields[1]) << fields[0];
    EXPECT_EQ(standardType(fields[1]), fields[1]) << fields[1];
    ++rows;
  }
  EXPECT_EQ(rows, 206);
}

// The same, commonly used variants (from memory).
TEST(PostalTableTest, VariantsHaveTheirPublishedAbbreviation) {
  const std::map<std::string, std::string> expected = {
      {"AV", "AVE"}, {"AVEN", "AVE"}, {"AVENU", "AVE"}, {"AVN", "AVE"}, {"AVNUE", "AVE"}, {"BOUL", "BLVD"}, {"BOULV", "BLVD"}, {"ALLEE", "ALY"},
      {"ALLY", "ALY"}, {"CIRC", "CIR"}, {"CIRCL", "CIR"}, {"CRCL", "CIR"}, {"CRCLE", "CIR"}, {"CEN", "CTR"}, {"CENT", "CTR"}, {"CENTRE", "CTR"},
      {"CNTR", "CTR"}, {"CRSENT", "CRES"}, {"CRSNT", "CRES"}, {"DRIV", "DR"}, {"DRV", "DR"}, {"EXP", "EXPY"}, {"EXPR", "EXPY"},
      {"EXPRESS", "EXPY"}, {"EXPW", "EXPY"}, {"FRWAY", "FWY"}, {"FREEWY", "FWY"}, {"GTWAY", "GTWY"}, {"HIWAY", "HWY"}, {"HIWY", "HWY"},
      {"HWAY", "HWY"}, {"HIGHWY", "HWY"}, {"HT", "HTS"}, {"PARKWY", "PKWY"}, {"PKWAY", "PKWY"}, {"PKY", "PKWY"}, {"PLZA", "PLZ"}, {"SQR", "SQ"},
      {"SQRE", "SQ"}, {"SQU", "SQ"}, {"STRT", "ST"}, {"STR", "ST"}, {"TERR", "TER"}, {"TRNPK", "TPKE"}, {"TURNPK", "TPKE"}, {"VALLY", "VLY"},
      {"VLLY", "VLY"}, {"VIST", "VIS"}, {"VST", "VIS"}, {"VSTA", "VIS"}, {"WY", "WAY"}, {"LOOPS", "LOOP"}, {"PATHS", "PATH"}, {"PIKES", "PIKE"},
      {"TRAILS", "TRL"}, {"TRACES", "TRCE"}, {"TRACKS", "TRAK"}};
  for (const auto& [word, standard] : expected) EXPECT_EQ(standardType(word), standard) << word;
}

// USPS Publication 28, section 233 and Appendix B; section 213 and Appendix C2 (from memory).
TEST(PostalTableTest, DirectionsAndUnitsHaveTheirPublishedAbbreviation) {
  const std::map<std::string, std::string> directions = {{"NORTH", "N"}, {"EAST", "E"}, {"SOUTH", "S"}, {"WEST", "W"},
                                                         {"NORTHEAST", "NE"}, {"SOUTHEAST", "SE"}, {"NORTHWEST", "NW"}, {"SOUTHWEST", "SW"}};
  for (const auto& [word, standard] : directions) EXPECT_EQ(standardDirection(word), standard);
  const std::map<std::string, std::string> with_number = {
      {"APARTMENT", "APT"}, {"BUILDING", "BLDG"}, {"DEPARTMENT", "DEPT"}, {"FLOOR", "FL"}, {"HANGAR", "HNGR"}, {"KEY", "KEY"}, {"LOT", "LOT"},
      {"PIER", "PIER"}, {"ROOM", "RM"}, {"SLIP", "SLIP"}, {"SPACE", "SPC"}, {"STOP", "STOP"}, {"SUITE", "STE"}, {"TRAILER", "TRLR"}, {"UNIT", "UNIT"}};
  for (const auto& [word, standard] : with_number) {
    EXPECT_EQ(standardUnit(word), standard);
    EXPECT_FALSE(unitStandsAlone(standard));
  }
  const std::map<std::string, std::string> alone = {{"BASEMENT", "BSMT"}, {"FRONT", "FRNT"}, {"LOBBY", "LBBY"}, {"LOWER", "LOWR"}, {"OFFICE", "OFC"},
                                                    {"PENTHOUSE", "PH"}, {"REAR", "REAR"}, {"SIDE", "SIDE"}, {"UPPER", "UPPR"}};
  for (const auto& [word, standard] : alone) {
    EXPECT_EQ(standardUnit(word), standard);
    EXPECT_TRUE(unitStandsAlone(standard));
  }
}

// USPS Publication 28, sections 213, 233, 234.2, Appendices D and F: rules published, addresses composed after its patterns
// and partly from memory.
TEST(PostalLineTest, DeliveryLinesReadAsPublished) {
  const std::vector<std::pair<const char*, const char*>> lines = {
      {"789 MAIN AVENUE DRIVE", "789 MAIN AVENUE DR"},
      {"4513 3RD STREET CIRCLE WEST", "4513 3RD STREET CIR W"},
      {"123 NORTH AVENUE", "123 NORTH AVE"},
      {"55 BAY WEST DRIVE", "55 BAY WEST DR"},
      {"10 NORTH EAST MAIN STREET", "10 NE MAIN ST"},
      {"842 EAST 1700 SOUTH", "842 E 1700 S"},
      {"2458 39.2 ROAD", "2458 39.2 RD"},
      {"112-10 BRONX ROAD", "112-10 BRONX RD"},
      {"123 1/2 MAIN STREET", "123 1/2 MAIN ST"},
      {"N6W23001 BLUEMOUND ROAD", "N6W23001 BLUEMOUND RD"},
      {"70 AVENUE A", "70 AVENUE A"},
      {"70 AVENUE E", "70 AVENUE E"},
      {"17 ST PAUL STREET", "17 ST PAUL ST"},
      {"1500 BROADWAY", "1500 BROADWAY"},
      {"123 EAST MAIN STREET APARTMENT 4B", "123 E MAIN ST APT 4B"},
      {"123 MAIN ST # 4B", "123 MAIN ST # 4B"},
      {"123 MAIN ST REAR", "123 MAIN ST REAR"},
      {"600 WEST COUNTY ROAD 18", "600 W COUNTY ROAD 18"},
      {"2 CIRCLE DRIVE", "2 CIRCLE DR"},
      {"9 CO HWY 140", "9 COUNTY HIGHWAY 140"},
      {"9 COUNTY RD 441", "9 COUNTY ROAD 441"},
      {"9 CR 1185", "9 COUNTY ROAD 1185"},
      {"9 FM 187", "9 FM 187"},
      {"9 HWY 101", "9 HIGHWAY 101"},
      {"9 I 10", "9 INTERSTATE 10"},
      {"9 US HWY 70", "9 US HIGHWAY 70"},
      {"RURAL ROUTE NO 3 BOX 9", "RR 3 BOX 9"},
      {"RR03 BOX 98D", "RR 3 BOX 98D"},
      {"STAR ROUTE 12 BOX 24", "HC 12 BOX 24"},
      {"HIGHWAY CONTRACT ROUTE 68 BOX 23A", "HC 68 BOX 23A"},
      {"P.O. BOX 11890", "PO BOX 11890"},
      {"POST OFFICE BOX G", "PO BOX G"},
      {"DRAWER 7", "PO BOX 7"},
      {"LOCKBOX 12", "PO BOX 12"},
      {"CALLER SERVICE 44", "PO BOX 44"},
  };
  for (const auto& [typed, standard] : lines) EXPECT_EQ(standardLine(parseAddress(typed)), standard) << typed;
}

// FGDC-STD-016-2011, part 2: the order of the elements of a complete street name, number and subaddress (from memory).
TEST(FgdcTest, ElementsStandInTheOrderOfTheStandard) {
  const std::vector<Label> order = {Label::AddressNumberPrefix, Label::AddressNumber, Label::AddressNumberSuffix, Label::StreetNamePreModifier,
                                    Label::StreetNamePreDirectional, Label::StreetNamePreType, Label::StreetName, Label::StreetNamePostType,
                                    Label::StreetNamePostDirectional, Label::StreetNamePostModifier, Label::SubaddressType,
                                    Label::SubaddressIdentifier};
  EXPECT_TRUE(std::is_sorted(order.begin(), order.end()));
}

// TIGER/Line Technical Documentation: ranges run from the edge's first to its last node; values by hand, tolerance 1e-9.
TEST(RangeTest, PlacesAlongARangeAsByHand) {
  const std::vector<Point> line = {{0, 0}, {60, 0}, {60, 40}};
  const auto at = [&](const char* from, const char* to, int number, bool left, double offset, double inset = 0) {
    return placeAlong(line, shareAlong(*readSide(from, to), number), left, offset, inset);
  };
  const auto near = [](Point p, double x, double y) {
    EXPECT_NEAR(p.x, x, 1e-9);
    EXPECT_NEAR(p.y, y, 1e-9);
  };
  EXPECT_NEAR(shareAlong(*readSide("101", "199"), 149), 0.4897959183673469, 1e-9);
  near(at("101", "199", 149, true, 5), 48.97959183673469, 5);
  near(at("100", "198", 180, false, 5), 65, 21.632653061224488);
  near(at("198", "100", 180, false, 5), 18.367346938775512, -5);
  near(at("123", "123", 123, true, 5), 50, 5);
  near(at("101", "199", 101, true, 5), 0, 5);
  near(at("101", "199", 199, true, 5), 55, 40);
  near(at("101", "199", 149, true, 5, 4), 49.06122448979592, 5);
}

// The same documentation: parity by side, blank and zero ranges, letters in front of the figures.
TEST(RangeTest, SidesAndParityFollowTheRules) {
  bool parity = false;
  const auto odd = *readSide("101", "199");
  EXPECT_TRUE(inside(odd, *readHouseNumber("149"), &parity));
  EXPECT_TRUE(parity);
  EXPECT_TRUE(inside(odd, *readHouseNumber("150"), &parity));
  EXPECT_FALSE(parity);
  EXPECT_FALSE(inside(odd, *readHouseNumber("200")));
  EXPECT_EQ(readSide("100", "199")->parity, Parity::Both);
  EXPECT_FALSE(readSide("", ""));
  EXPECT_FALSE(readSide("0", "0"));
  EXPECT_FALSE(readSide("101", ""));
  const auto lettered = *readSide("N101", "N199");
  EXPECT_TRUE(inside(lettered, *readHouseNumber("N149"), &parity));
  EXPECT_FALSE(inside(lettered, *readHouseNumber("149")));
}

// States and ZIPs that stand in the labelled strings (see the folder's licences), against the table of first figures.
TEST(StatesOfZips, AgreeWithThoseOfTheLabelledStrings) {
  int asked = 0;
  int other = 0;
  for (const char* name : {"labeled.xml", "us50_messiest_manual_label.xml", "us50_train_tagged.xml"}) {
    LEEWARD_OUTSIDE_DATA(file, std::string("data/addresses/") + name);
    for (const auto& string : test::readLabeled(file)) {
      std::string state;
      std::string zip;
      for (const auto& [label, word] : string.words) {
        std::string text = word;
        std::erase_if(text, [](char c) { return c == '.' || c == ','; });
        if (label == AddressLabel::StateName) state += (state.empty() ? "" : " ") + upperAscii(text);
        if (label == AddressLabel::ZipCode && zip.empty()) zip = text.substr(0, text.find('-'));
      }
      if (standardState(state).empty() || zip.size() != 5 || !isZip(zip) || zip == "12345") continue;  // an invented one
      ++asked;
      if (stateOfZip(zip) == standardState(state)) continue;
      ++other;
      std::cout << string.text << ": the table says " << stateOfZip(zip) << '\n';
    }
  }
  EXPECT_GT(asked, 500);
  EXPECT_LE(other, asked / 100) << "of " << asked;  // slips in the strings themselves
}

}  // namespace
}  // namespace leeward::analysis
