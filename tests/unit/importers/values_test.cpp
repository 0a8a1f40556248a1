#include "importers/values.h"

#include <gtest/gtest.h>

#include "importers/split_address.h"
#include "importers/oddities.h"

namespace leeward::importers {
namespace {

std::string iso(std::string_view text, DateOrder order = DateOrder::MonthFirst) {
  const auto read = readDate(text, {order, false, {}});
  if (!read.value) return "refused: " + read.why;
  return toIso(read.value->date) + (read.value->time.empty() ? "" : " " + read.value->time);
}

TEST(ValuesTest, DatesAreReadInManyStyles) {
  for (const char* text : {"2025-03-04", "20250304", "2025/3/4", "3/4/2025", "03/04/25", "4.3.2025", "4 Mar 2025", "Mar 4, 2025", "March 4th, 2025",
                           "Tue 4 March 2025", "4th of March 2025", "45720"}) {
    EXPECT_EQ(iso(text), "2025-03-04") << text;
  }
  EXPECT_EQ(iso("4/3/2025", DateOrder::DayFirst), "2025-03-04");
  EXPECT_EQ(iso("25/3/2025"), "2025-03-25") << "no month 25: the day is first";
  EXPECT_EQ(iso("2025-03-04T14:05:33Z"), "2025-03-04 14:05");
  EXPECT_EQ(iso("3/4/2025 2:05 PM"), "2025-03-04 14:05");
  EXPECT_EQ(iso("45720.5"), "2025-03-04 12:00");
}

TEST(ValuesTest, DaysThatDoNotExistAreRefused) {
  EXPECT_EQ(iso("2025-02-31"), "refused: there is no day 31 in 2025-02; correct the date");
  EXPECT_EQ(iso("31 Feb 2025").substr(0, 7), "refused");
  EXPECT_EQ(iso("2/29/2025").substr(0, 7), "refused");
  EXPECT_EQ(iso("2/29/2024"), "2024-02-29");
  EXPECT_EQ(iso("13/13/2025").substr(0, 7), "refused");
  for (const char* text : {"yesterday", "March", "3/4", "12", "2025", "2025-3", "4 Foo 2025", "3/4/202", "2025-03-04 soon"}) {
    EXPECT_EQ(iso(text).substr(0, 7), "refused") << text;
  }
  EXPECT_FALSE(readDate("  ", {}).value);
  EXPECT_FALSE(readDate("", {}).bad()) << "a blank is no fault";
}

TEST(ValuesTest, AColumnDecidesWhetherTheDayComesFirst) {
  EXPECT_EQ(dateStyleOf(Column::text("d", {"3/4/2025", "25/4/2025"})).order, DateOrder::DayFirst);
  EXPECT_EQ(dateStyleOf(Column::text("d", {"3/4/2025", "4/25/2025"})).order, DateOrder::MonthFirst);
  EXPECT_TRUE(dateStyleOf(Column::text("d", {"3/4/2025", "4/25/2025"})).remark.empty());
  const DateStyle unclear = dateStyleOf(Column::text("When", {"3/4/2025", "5/6/2025"}));
  EXPECT_EQ(unclear.order, DateOrder::MonthFirst);
  EXPECT_NE(unclear.remark.find("date_order=dmy"), std::string::npos);
  const DateStyle mixed = dateStyleOf(Column::text("d", {"3/4/2025", "25/4/2025", "4/25/2025"}));
  EXPECT_TRUE(mixed.mixed);
  EXPECT_TRUE(readDate("3/4/2025", mixed).bad());
  EXPECT_FALSE(readDate("25/4/2025", mixed).bad());
  EXPECT_EQ(dateStyleOf(Column::text("d", {"3/4/2025", "4/25/2025"}), "dmy").order, DateOrder::DayFirst);
}

TEST(ValuesTest, TimesAreReadInManyStyles) {
  for (const char* text : {"14:05", "2:05 pm", "2:05PM", "1405", "14h05", "14.05", "14:05:59", "2:05 p.m."}) EXPECT_EQ(readTime(text).value, "14:05") << text;
  EXPECT_EQ(readTime("2pm").value, "14:00");
  EXPECT_EQ(readTime("12 am").value, "00:00");
  EXPECT_EQ(readTime("0.5").value, "12:00");
  for (const char* text : {"25:00", "14:65", "noonish", "7", "13 pm"}) EXPECT_TRUE(readTime(text).bad()) << text;
}

TEST(ValuesTest, CountsNumbersAndYesNo) {
  EXPECT_EQ(readCount("2", 10).value, 2);
  EXPECT_EQ(readCount("2.0", 10).value, 2);
  EXPECT_EQ(readCount("two", 10).value, 2);
  EXPECT_EQ(readCount("none", 10).value, 0);
  for (const char* text : {"-1", "11", "2-3", "3+", "many", "1.5"}) EXPECT_TRUE(readCount(text, 10).bad()) << text;
  EXPECT_EQ(readNumber("1,234").value, 1234);
  EXPECT_EQ(readNumber("12,5").value, 12.5);
  EXPECT_EQ(readNumber("-1,234,567.5").value, -1234567.5);
  EXPECT_TRUE(readNumber("12,34,5").bad());
  EXPECT_EQ(readYesNo("Y").value, true);
  EXPECT_EQ(readYesNo("no").value, false);
  EXPECT_TRUE(readYesNo("maybe").bad());
}

TEST(ValuesTest, PositionsAreReadInManyStyles) {
  EXPECT_EQ(readLongitude("-84.6").value, -84.6);
  EXPECT_EQ(readLongitude("84.6 W").value, -84.6);
  EXPECT_EQ(readLatitude("39,45").value, 39.45);
  EXPECT_NEAR(*readLatitude("39\xC2\xB0" "27'36\"N").value, 39.46, 1e-12);
  EXPECT_NEAR(*readLongitude("84 36 00 W").value, -84.6, 1e-12);
  EXPECT_TRUE(readLatitude("-184.6").bad());
  EXPECT_TRUE(readLongitude("here").bad());
}

TEST(ValuesTest, WordsHaveSynonymsAndUnknownOnesAreNamed) {
  EXPECT_EQ(readDoorResult("No answer").value, "nobody_home");
  EXPECT_EQ(readDoorResult("asked not to return").value, "asked_not_to_return");
  EXPECT_EQ(readDoorResult("DO NOT RETURN").value, "asked_not_to_return");
  EXPECT_EQ(readWhyHere("Follow-up").value, "return");
  EXPECT_EQ(readLook("drive-by").value, "street");
  EXPECT_NE(readDoorResult("hm").why.find("nobody_home"), std::string::npos);
  std::string followed;
  EXPECT_EQ(readOutcome("surrendered: foster", &followed).value, "given_up");
  EXPECT_EQ(followed, "foster");
}

TEST(ValuesTest, ChecksAreNeverGuessed) {
  EXPECT_EQ(readCheck("ok").value, "met");
  EXPECT_EQ(readCheck("N").value, "unmet");
  for (const char* text : {"n/a", "N/A", "n.a.", "not applicable", "does not apply", "doesn't apply"}) {
    EXPECT_EQ(readCheck(text).value, "met") << text << ": what can't apply to the animal is met";
  }
  for (const char* text : {"not seen", "ns", "not checked", "unknown", "hidden", "?", "NA"}) EXPECT_EQ(readCheck(text).value, "not seen") << text;
  EXPECT_EQ(readCheck("-").value, "not seen");
  EXPECT_EQ(readCheck("-", true).value, "unmet");
  EXPECT_TRUE(readCheck("x").bad());
  EXPECT_TRUE(readCheck("hmm").bad());
  EXPECT_FALSE(readCheck("").value);
}

TEST(ValuesTest, BodyScalesMustSayWhichWayTheyRun) {
  EXPECT_EQ((*readBodyScale("1-9").value)->id, "nine_thin_first");
  EXPECT_EQ((*readBodyScale("1 ideal to 5 emaciated").value)->id, "five_ideal_first");
  EXPECT_TRUE(readBodyScale("1-5").bad());
}

TEST(ValuesTest, ListsOfThings) {
  const auto items = readItems("straw 2; swivel x1, 3 x tie-out + bowl").value;
  ASSERT_TRUE(items);
  ASSERT_EQ(items->size(), 4U);
  EXPECT_EQ((*items)[0].item, "straw");
  EXPECT_EQ((*items)[0].quantity, 2);
  EXPECT_EQ((*items)[1].item, "swivel");
  EXPECT_EQ((*items)[2].item, "tie-out");
  EXPECT_EQ((*items)[2].quantity, 3);
  EXPECT_EQ((*items)[3].quantity, 1);
  const auto treated = readTreatments("flea drops|L12|12.5 kg; wormer||30lbs|2025-09-01", {}).value;
  ASSERT_TRUE(treated);
  EXPECT_EQ((*treated)[0].lot, "L12");
  EXPECT_EQ((*treated)[0].weight, 12.5);
  EXPECT_EQ((*treated)[1].weight_unit, "lb");
  EXPECT_EQ((*treated)[1].next_due, "2025-09-01");
  EXPECT_TRUE(readTreatments("drops|L|12", {}).bad()) << "a weight without unit";
}

TEST(ValuesTest, FullAddressesAreSplit) {
  const AddressParts parts = splitAddress("11-A Elm St Apt 2, Fairford, OH 45014");
  EXPECT_EQ(parts.number, "11-A");
  EXPECT_EQ(parts.street, "Elm St");
  EXPECT_EQ(parts.unit, "2");
  EXPECT_EQ(parts.place, "Fairford");
  EXPECT_EQ(parts.postcode, "45014");
  EXPECT_EQ(splitAddress("6 1/2 Oak Ave").number, "6 1/2");
  EXPECT_EQ(splitAddress("4th St").number, "");
  EXPECT_EQ(splitAddress("4th St").street, "4th St");
  EXPECT_EQ(joinedNumber("11", "-A"), "11-A");
  EXPECT_EQ(joinedNumber("11", "1/2"), "11 1/2");
  EXPECT_EQ(joinedNumber("1334.0", ""), "1334");
  EXPECT_EQ(joinedNumber("0", ""), "");
}

TEST(ValuesTest, ZerosAmongNinetiesAreOdd) {
  std::vector<double> values(100, 0.0);
  for (std::size_t i = 0; i < values.size(); ++i) values[i] = 90 + static_cast<double>(i % 9);
  EXPECT_TRUE(oddConstants(values).empty());
  values[3] = values[50] = 0;
  const auto odd = oddConstants(values);
  ASSERT_EQ(odd.size(), 1U);
  EXPECT_EQ(odd[0].value, 0);
  EXPECT_EQ(odd[0].count, 2U);
  for (std::size_t i = 0; i < values.size(); ++i) values[i] = static_cast<double>(i);
  EXPECT_TRUE(oddConstants(values).empty()) << "a zero that belongs to the range";
}

}  // namespace
}  // namespace leeward::importers
