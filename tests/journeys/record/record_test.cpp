// Templates that come in again, figures that stay, and one number wherever it is told.
#include <cstdio>
#include <regex>
#include <set>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/base/files.h"
#include "shared/layer/layer.h"
#include "tests/journeys/record/record_study.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {
namespace fs = std::filesystem;

/// What became of the dogs, but for what the languages write differently on purpose (the example's name).
std::string dogsOf(const StudyFolder& study) {
  const Ran ran = study.call("changed", {"--dogs", "--as-of", kRecordDay});
  EXPECT_EQ(ran.status, 0) << ran.err;
  std::string text = ran.out;
  if (const auto at = text.find("Ejemplo"); at != std::string::npos) text.replace(at, 7, "Example");
  return text;
}

TEST(TemplateJourney, WhatTheProgramWritesComesInAgainInBothLanguages) {
  std::set<std::string> said;
  for (const std::string language : {"en", "es"}) {
    for (const std::string ending : {"xlsx", "csv"}) {
      const RecordStudy study(2);
      for (const std::string kind : {"visits", "sightings"}) {
        const std::string file = study.beside(kind + "." + ending).string();
        ASSERT_EQ(leeward({"template", kind, "--language", language, "--example", "-o", file, "--quiet"}).status, 0);
        const Ran taken = leeward({"take-in", study.text(), kind, file, "--strict", "--json"});
        ASSERT_EQ(taken.status, 0) << language << " " << ending << " " << taken.err;
        const auto json = nlohmann::json::parse(taken.out, nullptr, false);
        EXPECT_EQ(json["added"], 1) << taken.out;
      }
      const auto dogs = dogsOf(study);
      EXPECT_NE(dogs.find("Example"), std::string::npos) << dogs;
      said.insert(dogs);
    }
  }
  EXPECT_EQ(said.size(), 1U) << "four files, one record";
}

TEST(TemplateJourney, EveryHeadingOfATemplateIsTakenForItsField) {
  for (const std::string language : {"en", "es"}) {
    const RecordStudy study(2);
    const auto file = study.beside("visits.csv");
    ASSERT_EQ(leeward({"template", "visits", "--language", language, "--example", "-o", file.string(), "--quiet"}).status, 0);
    ASSERT_EQ(study.call("take-in", {"visits", file.string()}).status, 0);
    const auto text = readFile(study.path() / "study.toml");
    ASSERT_OK(text);
    const auto columns = text->substr(text->find("[visits]"));
    for (const char* field : {"visit_id", "door_result", "permission_until", "dog_name", "body_scale", "collar_fit", "left_collar_fit", "left_wound", "treatment", "return_by", "household"}) {
      EXPECT_NE(columns.find(std::string(field) + " = "), std::string::npos) << language << " " << field;
    }
  }
}

// One crew writes the month first, the other the day: what was decided for one file must not turn the days of the other round.
TEST(TemplateJourney, TwoCrewsThatWriteDaysDifferentlyKeepTheirOwn) {
  const RecordStudy study(3);
  const std::string heading = "date,crew,address,door_result,dogs_met,dog_name,promised,return_by\n";
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("north.csv"), heading + "9/4/2025,North,100 Elm St,welcomed,1,Rex,straw,10/2/2025\n"), "--map", "date_order=mdy"}).status, 0);
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("south.csv"), heading + "28/9/2025,South,101 Elm St,welcomed,1,Ana,straw,3/10/2025\n")}).status, 0);
  const Table due = csvOfText(study.call("due", {"--as-of", "2025-09-30"}).out);
  ASSERT_EQ(due.rows(), 2U);
  EXPECT_EQ(field(due, "due", 0), "2025-10-02") << "10/2 of the crew that writes the month first";
  EXPECT_EQ(field(due, "due", 1), "2025-10-03") << "3/10 of the crew that writes the day first";
}

/// Some months of a small record; `late` adds what was typed in only afterwards.
void takeInMonths(const StudyFolder& study) {
  Log log;
  log.add(0, {"2025-02-10 house=unmet; done=straw 2", "2025-05-10", "2025-11-10"});
  log.add(1, {"2025-02-11 water=unmet", "2025-08-10 outcome=neutered"});
  log.add(2, {"2025-05-12", "2025-08-12 bare; outcome=given up: foster"});
  const Ran taken = study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv())});
  ASSERT_EQ(taken.status, 0) << taken.err;
}

TEST(FreezeJourney, AReportOfADayIsTheSameAMonthLaterWhateverCameAfterThatDay) {
  const RecordStudy study(4);
  takeInMonths(study);
  const auto report = [&](const std::string& name, const std::string& today) {
    const auto file = study.beside(name);
    const Ran ran = leeward({"changed", study.text(), "--every", "quarter", "--as-of", "2025-09-30", "-o", file.string(), "--quiet"}, {{"LEEWARD_TODAY", today}});
    EXPECT_EQ(ran.status, 0) << ran.err;
    const Ran brief = leeward({"brief", study.text(), "board", "-o", study.beside(name + ".pdf").string(), "--as-of", "2025-09-30", "--quiet"}, {{"LEEWARD_TODAY", today}});
    EXPECT_EQ(brief.status, 0) << brief.err;
    return readFile(file).value() + readFile(study.beside(name + ".pdf")).value();
  };
  const auto first = report("first.csv", "2025-10-01");
  Log later;
  later.add(3, {"2025-10-05 house=unmet", "2025-10-20 bare; outcome=given up"});
  std::string rows = later.csv();
  for (auto at = rows.find("V0000"); at != std::string::npos; at = rows.find("V0000", at)) rows.replace(at, 5, "W0000");
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("later.csv"), rows)}).status, 0);
  EXPECT_EQ(report("second.csv", "2025-11-01"), first);
}

TEST(FreezeJourney, RowsTypedInLateCorrectedOrTakenBackDontMoveAReportAndTheDifferenceIsSaid) {
  const RecordStudy study(4);
  takeInMonths(study);
  const std::string first_log = readFile(study.beside("visits.csv")).value();
  const auto changed = [&](const std::vector<std::string>& more = {}) {
    std::vector<std::string> words = {"changed", study.text(), "--every", "quarter", "--as-of", "2025-09-30", "-o", study.beside("changed.csv").string()};
    words.insert(words.end(), more.begin(), more.end());
    const Ran ran = leeward(words, {{"LEEWARD_TODAY", "2025-11-01"}});
    EXPECT_EQ(ran.status, 0) << ran.err;
    return std::pair(readFile(study.beside("changed.csv")).value(), ran.err);
  };
  const auto brief = [&](const std::string& name) {
    const Ran ran = leeward({"brief", study.text(), "board", "-o", study.beside(name).string(), "--as-of", "2025-09-30"}, {{"LEEWARD_TODAY", "2025-11-01"}});
    EXPECT_EQ(ran.status, 0) << ran.err;
    return std::pair(readFile(study.beside(name)).value(), ran.err);
  };
  const auto first = changed();
  const auto first_brief = brief("first.pdf");
  EXPECT_NE(first.second.find("The figures of 2025-09-30 are frozen from now on"), std::string::npos) << first.second;
  EXPECT_EQ(first.second.find("frozen on"), std::string::npos) << "nothing came in since: " << first.second;
  EXPECT_EQ(changed().second.find("frozen"), std::string::npos) << "frozen already, and nothing to say";

  // Typed in a month late: a visit of May, and a correction of a visit of August (an outcome that wasn't so).
  Log late;
  late.add(3, {"2025-05-20 house=unmet"});
  std::string rows = late.csv();
  for (auto at = rows.find("V0000"); at != std::string::npos; at = rows.find("V0000", at)) rows.replace(at, 5, "W0000");
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("late.csv"), rows)}).status, 0);
  std::string corrected = first_log;
  const auto neutered = corrected.find("neutered");
  ASSERT_NE(neutered, std::string::npos);
  corrected.replace(neutered, 8, "");
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("visits.csv"), corrected)}).status, 0);

  const auto second = changed();
  EXPECT_EQ(second.first, first.first);
  for (const char* said : {"frozen on 2025-11-01", "1 look or sighting more", "1 corrected", "--with-late", "With them: In all, each dog once: 7 looks"}) {
    EXPECT_NE(second.second.find(said), std::string::npos) << said << " is not in: " << second.second;
  }
  const auto second_brief = brief("second.pdf");
  EXPECT_EQ(second_brief.first, first_brief.first);
  EXPECT_NE(second_brief.second.find("frozen on 2025-11-01"), std::string::npos) << second_brief.second;

  const auto anew = changed({"--with-late"});
  EXPECT_NE(anew.first, first.first);
  EXPECT_EQ(anew.second.find("frozen on"), std::string::npos) << anew.second;
  EXPECT_EQ(changed().first, anew.first);
  // By hand: of nine quarters' visits up to September six were there first (2 + 2 + 2), the late one makes seven.
  const Table table = csvOfText(anew.first);
  double visits = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) visits += number(table, "visits", row);
  EXPECT_EQ(visits, 7);
}

/// The brief counts each dog once over the quarters that it shows: here the whole record.
void expectBriefTells(const fs::path& brief, const nlohmann::json& all) {
  const fs::path reader = "/usr/bin/pdftotext";
  if (!fs::exists(reader)) {
    std::puts("pdftotext is not here, so the brief was not read");
    return;
  }
  const std::string text = runProgram(reader, {brief.string(), "-"}).out;
  std::multiset<std::int64_t> told, counted;
  const std::regex pattern("n = ([0-9,]+) dogs? in all");
  for (auto at = std::sregex_iterator(text.begin(), text.end(), pattern); at != std::sregex_iterator(); ++at) told.insert(std::stoll((*at)[1]));
  for (const char* count : {"given_up", "improved", "neutered", "referred"}) counted.insert(all[count].get<std::int64_t>());
  EXPECT_EQ(told, counted) << text;
}

/// Hours and cost: reckoned by hand, and the same in the command, the workbook and the brief.
void expectCostsAreOneNumber(const StudyFolder& study, const nlohmann::json& all) {
  const Ran ran = study.call("changed", {"--costs", "--every", "quarter", "--as-of", kRecordDay, "--json"});
  const auto rows = nlohmann::json::parse(ran.out)["rows"];
  // By hand: 7 looks of 4 minutes, all visits of 25 minutes: 203 minutes. At 30 an hour 101.50, and two bales at 8.
  const double hours = 203.0 / 60, cost = 30 * hours + 16;
  const auto& last = rows.back();
  EXPECT_EQ(last["period"], "all");
  for (std::size_t i = rows.size() - 3; i < rows.size(); ++i) {
    EXPECT_NEAR(rows[i]["hours"].get<double>(), hours, 1e-5);
    EXPECT_NEAR(rows[i]["cost"].get<double>(), cost, 1e-4);
    const std::string outcome = rows[i]["outcome"];
    const double count = all[outcome == "animals met" ? "dogs_met" : outcome].get<double>();
    EXPECT_EQ(rows[i]["count"], count) << outcome;
    EXPECT_NEAR(rows[i]["cost_each"].get<double>(), cost / count, 1e-4) << outcome;
    EXPECT_LT(rows[i]["hours_low"].get<double>(), hours / count);
    EXPECT_GT(rows[i]["hours_high"].get<double>(), hours / count);
  }
  Progress quiet;
  const auto sheet = readLayer({.source = (study.path() / "out" / "workbook.xlsx").string() + "#costs"}, quiet);
  ASSERT_OK(sheet);
  ASSERT_EQ(sheet->rows(), rows.size());
  for (std::size_t row = 0; row < sheet->rows(); ++row) {
    for (const char* column : {"count", "hours", "cost", "hours_low", "cost_low"}) EXPECT_EQ(number(sheet->table, column, row), rows[row][column].get<double>()) << column << " " << row;
  }
  if (!fs::exists("/usr/bin/pdftotext")) return;
  std::string text = runProgram("/usr/bin/pdftotext", {(study.path() / "out" / "board.pdf").string(), "-"}).out;
  for (char& c : text) c = c == '\n' ? ' ' : c;
  EXPECT_NE(text.find("some 3.4 hours"), std::string::npos) << text;
  EXPECT_NE(text.find("some 118 crowns"), std::string::npos) << text;  // 117.50, rounded away from zero
}

TEST(SameNumberJourney, ChangedTheWorkbooksTablesAndTheRunTellOneNumber) {
  const RecordStudy study(4);
  takeInMonths(study);
  std::string settings = readFile(study.path() / "study.toml").value();
  const std::string heading = "[outputs]\n";
  const std::string costs = "[costs]";
  const auto costs_at = settings.find('\n', settings.find(costs));
  settings.insert(costs_at + 1, "currency = \"crowns\"\ncrew_hour = 30\nprices = { straw = 8 }\n");
  settings.replace(settings.find(heading), heading.size(), heading + "sheets = []\nbriefs = [\"board\"]\ntables = [\"changed.csv\", \"due.csv\", \"workbook.xlsx\"]\n");
  put(study.path() / "study.toml", settings);
  const Ran ran = study.call("run", {"--as-of", kRecordDay, "--json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const auto totals = nlohmann::json::parse(ran.out)["totals"];
  const Ran changed = study.call("changed", {"--every", "quarter", "--as-of", kRecordDay, "--json"});
  const auto told = nlohmann::json::parse(changed.out);
  const auto& all = told["totals"].back();
  for (const char* count : {"visits", "given_up", "neutered", "referred"}) EXPECT_EQ(totals[count], all[count]) << count;
  // By hand: 3 + 2 + 2 visits, one dog neutered, one given up; both dogs that were checked twice improved, the third has one check.
  EXPECT_EQ(all["visits"], 7);
  EXPECT_EQ(all["neutered"], 1);
  EXPECT_EQ(all["given_up"], 1);
  EXPECT_EQ(all["improved"], 2);
  EXPECT_EQ(all["premises"], 3);
  const Table csv = csvOfFile(study.path() / "out" / "changed.csv");
  const auto& rows = told["rows"];
  ASSERT_EQ(csv.rows(), rows.size());
  for (std::size_t row = 0; row < csv.rows(); ++row) {
    for (const char* count : {"looks", "visits", "premises", "households", "dogs_met", "given_up", "improved", "neutered", "referred"}) {
      EXPECT_EQ(number(csv, count, row), rows[row][count].get<double>()) << count << " " << row;
    }
  }
  // And each has its looks behind it, as many as it says.
  for (const char* count : {"looks", "visits", "dogs_met", "given_up", "improved", "neutered"}) {
    for (std::size_t row = 0; row < csv.rows(); ++row) {
      const Ran behind = study.call("changed", {"--behind", count, "--period", field(csv, "period", row), "--as-of", kRecordDay});
      ASSERT_EQ(behind.status, 0) << behind.err;
      const Table things = csvOfText(behind.out);
      EXPECT_EQ(static_cast<double>(things.rows()), number(csv, count, row)) << count << " " << row;
      for (std::size_t thing = 0; thing < things.rows(); ++thing) EXPECT_NE(field(things, "visit_id", thing), "");
    }
  }
  EXPECT_EQ(study.call("changed", {"--behind", "nonsense", "--period", "2025 Q2"}).status, 2);
  EXPECT_EQ(study.call("changed", {"--behind", "visits", "--period", "1999 Q2"}).status, 2);
  EXPECT_EQ(study.call("changed", {"--behind", "visits"}).status, 2);
  EXPECT_EQ(field(csv, "begins", 0), "2025-02-10") << "the record begins within the first quarter";
  Progress quiet;
  const auto sheet = readLayer({.source = (study.path() / "out" / "workbook.xlsx").string() + "#changed"}, quiet);
  ASSERT_OK(sheet);
  ASSERT_EQ(sheet->rows(), rows.size());
  for (std::size_t row = 0; row < sheet->rows(); ++row) {
    for (const char* count : {"looks", "visits", "premises", "households", "dogs_met", "given_up", "improved", "neutered", "referred"}) {
      EXPECT_EQ(number(sheet->table, count, row), rows[row][count].get<double>()) << "workbook: " << count << " " << row;
    }
  }
  expectCostsAreOneNumber(study, all);
  expectBriefTells(study.path() / "out" / "board.pdf", all);
  const Ran rates = study.call("changed", {"--rates", "--every", "quarter", "--as-of", kRecordDay});
  const Table table = csvOfText(rates.out);
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (field(table, "period", row) != "2025 Q2") continue;
    EXPECT_EQ(field(table, "change", row), "") << "no comparison with a quarter that is cut short";
  }
}

}  // namespace
}  // namespace leeward::test
