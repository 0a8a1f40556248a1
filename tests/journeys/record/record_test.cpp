// Templates that come in again, figures that stay, and one number wherever it is told.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/base/files.h"
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

/// Some months of a small record; `late` adds what was typed in only afterwards.
void takeInMonths(const StudyFolder& study) {
  Log log;
  log.add(0, {"2025-02-10 house=unmet", "2025-05-10", "2025-11-10"});
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

TEST(SameNumberJourney, ChangedTheWorkbooksTablesAndTheRunTellOneNumber) {
  const RecordStudy study(4);
  takeInMonths(study);
  std::string settings = readFile(study.path() / "study.toml").value();
  const std::string heading = "[outputs]\n";
  settings.replace(settings.find(heading), heading.size(), heading + "sheets = []\nbriefs = []\ntables = [\"changed.csv\", \"due.csv\", \"workbook.xlsx\"]\n");
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
  EXPECT_EQ(field(csv, "begins", 0), "2025-02-10") << "the record begins within the first quarter";
  const Ran rates = study.call("changed", {"--rates", "--every", "quarter", "--as-of", kRecordDay});
  const Table table = csvOfText(rates.out);
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (field(table, "period", row) != "2025 Q2") continue;
    EXPECT_EQ(field(table, "change", row), "") << "no comparison with a quarter that is cut short";
  }
}

}  // namespace
}  // namespace leeward::test
