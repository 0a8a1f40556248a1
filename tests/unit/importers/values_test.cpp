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

TEST(ValuesTest, DatesOfPhonesFormsAndSpanishHandsAreRead) {
  for (const char* text : {"2025-Mar-04", "4-mar-25", "04/Mar/2025", "4 de marzo de 2025", "martes, 4 de marzo de 2025", "4\xC2\xBA de marzo del 2025", "mar 4 mar 2025",
                           "Tuesday the 4th of March 2025", "2025.03.04", "04.03.25", "4\xC2\xA0March\xC2\xA0""2025", "MARZO 4, 2025"}) {
    EXPECT_EQ(iso(text), "2025-03-04") << text;
  }
  for (const char* text : {"2025-03-04T14:05:33.123", "20250304T140533", "3/4/2025 2:05:33\xE2\x80\xAFPM", "2025-03-04, 2:05 p. m.", "4 ene 2025 14:05",
                           "2025-03-04T14:05:00-05:00", "2025-03-04 14:05 -0500", "2025/03/04 2:05:00 PM EST", "2025-03-04T14:05Z", "2025-03-04 14:05 (UTC)", "2025-03-04 14:05 GMT-5"}) {
    const std::string month = std::string_view(text).starts_with("4 ene") ? "01" : "03";
    EXPECT_EQ(iso(text), "2025-" + month + "-04 14:05") << text << ": without a clock the time stays as written";
  }
  EXPECT_EQ(iso("1 \xC3\xA1""bc 2025").substr(0, 7), "refused");
  EXPECT_EQ(iso("s\xC3\xA1""bado 1 de agosto de 2026"), "2026-08-01");
  EXPECT_TRUE(readTime("14:05Z").bad()) << "a zone without its day";
}

TEST(ValuesTest, ClocksConvertMomentsByTheRulesOfTheirZone) {
  struct Moment {
    const char* clock;
    const char* written;
    const char* local;
  };
  // Summer time in the USA: from the second Sunday in March at 2:00 to the first Sunday in November at 2:00 (15 U.S.C. 260a); in 2025 that is
  // 9 March and 2 November. In the European Union from the last Sunday in March to the last in October at 1:00 UTC (Directive 2000/84/EC).
  for (const Moment& one : std::initializer_list<Moment>{
           {"EST5EDT", "2025-03-09T06:59:00Z", "2025-03-09 01:59"}, {"EST5EDT", "2025-03-09T07:00:00Z", "2025-03-09 03:00"},
           {"EST5EDT", "2025-11-02T05:59:00Z", "2025-11-02 01:59"}, {"EST5EDT", "2025-11-02T06:00:00Z", "2025-11-02 01:00"},
           {"America/Los_Angeles", "2025-07-05T06:30:00Z", "2025-07-04 23:30"}, {"MST7", "2025-07-05T06:30:00Z", "2025-07-04 23:30"},
           {"-05:00", "2025-07-05T04:59:00Z", "2025-07-04 23:59"}, {"UTC", "2025-07-04T23:30:00-05:00", "2025-07-05 04:30"},
           {"EST5EDT", "2025-01-01T00:15:00Z", "2024-12-31 19:15"}, {"CST6CDT", "2025-07-04 2:05:00 PM EDT", "2025-07-04 13:05"},
           {"CET-1CEST,M3.5.0/2,M10.5.0/3", "2025-10-26T00:59:00Z", "2025-10-26 02:59"}, {"CET-1CEST,M3.5.0/2,M10.5.0/3", "2025-10-26T01:00:00Z", "2025-10-26 02:00"}}) {
    DateStyle style;
    style.clock = Clock::parse(one.clock);
    ASSERT_TRUE(style.clock) << one.clock;
    const auto read = readDate(one.written, style);
    ASSERT_TRUE(read.value) << one.written << " " << read.why;
    EXPECT_EQ(toIso(read.value->date) + " " + read.value->time, one.local) << one.clock << " " << one.written;
  }
  for (const char* text : {"", "here", "Europe/Nowhere", "EST", "5", "-25:00", "EST5EDT,soon", "EST5EDT,M13.1.0,M11.1.0"}) EXPECT_FALSE(Clock::parse(text)) << text;
}

TEST(ValuesTest, AColumnDecidesWhatItsCommasAndPointsMean) {
  struct Numbers {
    std::vector<std::string> column;
    const char* text;
    double value;
  };
  for (const Numbers& one : std::vector<Numbers>{{{"1,234"}, "1,234", 1234},
                                                 {{"12,5", "1,234"}, "1,234", 1.234},
                                                 {{"12,5"}, "1.234", 1234},
                                                 {{"1.234,5"}, "1.234", 1234},
                                                 {{"12.5"}, "1.234", 1.234},
                                                 {{"1.234.567"}, "12.345", 12345},
                                                 {{"0,125"}, "2,125", 2.125},
                                                 {{}, "12 500", 12500},
                                                 {{}, "12\xC2\xA0""500,75", 12500.75},
                                                 {{}, "1\xE2\x80\xAF""234\xE2\x80\xAF""567", 1234567},
                                                 {{}, "1'234'567.5", 1234567.5},
                                                 {{}, "-1.234,5", -1234.5}}) {
    EXPECT_EQ(readNumber(one.text, numberStyleOf(Column::text("n", one.column))).value, one.value) << one.text;
  }
  const NumberStyle mixed = numberStyleOf(Column::text("n", {"12,5", "12.5", "1,234"}));
  EXPECT_TRUE(mixed.mixed);
  EXPECT_TRUE(readNumber("1,234", mixed).bad());
  EXPECT_EQ(readNumber("3,5", mixed).value, 3.5);
  for (const char* text : {"1 2", "12 34", "1.23.4", "1,2,3", "--1", "1'2", "12kg"}) EXPECT_TRUE(readNumber(text).bad()) << text;
}

TEST(ValuesTest, SpanishWordsAreReadAndUnknownOnesNameTheNearest) {
  EXPECT_EQ(readDoorResult("Nadie en casa").value, "nobody_home");
  EXPECT_EQ(readDoorResult("port\xC3\xB3n cerrado").value, "no_access");
  EXPECT_EQ(readDoorResult("NO HAB\xC3\x8D""A NADIE").value.has_value(), false);
  EXPECT_EQ(readOutcome("MURI\xC3\x93").value, "died");
  EXPECT_EQ(readWhyHere("petici\xC3\xB3n").value, "owner_asked");
  EXPECT_EQ(readYesNo("S\xC3\xAD").value, true);
  EXPECT_EQ(readYesNo("ninguno").value, false);
  EXPECT_EQ(readCount("tres", 10).value, 3);
  EXPECT_EQ(readCheck("s\xC3\xAD").value, "met");
  EXPECT_EQ(tidyWord("hembra"), "female");
  EXPECT_NE(readDoorResult("nobdy home").why.find("nobody_home is nearest"), std::string::npos);
  EXPECT_NE(readDoorResult("Declined, will call").why.find("declined is nearest"), std::string::npos);
  EXPECT_EQ(readDoorResult("qzx").why.find("nearest"), std::string::npos);
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
  EXPECT_EQ(unclear.unclear, "3/4/2025");
  EXPECT_NE(undecidedDates(unclear, "When")->mend.find("date_order=dmy"), std::string::npos);
  EXPECT_FALSE(undecidedDates(dateStyleOf(Column::text("d", {"3/3/2025", "2025-03-04", "4.3.2025"})), "d")) << "the same either way";
  EXPECT_FALSE(undecidedDates(dateStyleOf(Column::text("d", {"3/4/2025"}), "mdy"), "d")) << "it was said";
  const DateStyle past = dateStyleOf(Column::text("d", {"3/4/2025", "7/2/2025"}), "", "", makeDate(2025, 6, 30));
  EXPECT_EQ(past.order, DateOrder::DayFirst) << "on 30 June 2025 the second of July hasn't been";
  EXPECT_NE(past.remark.find("in the future"), std::string::npos);
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
