// A team's work on the invented sample town, through the command. What must come out is counted from the town's own files (and from
// sample-data/town/truth, which the program never reads), not from the program.
#include <cstdio>
#include <set>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using nlohmann::json;

/// A study with its records, taken in once for all tests of this program.
const StudyFolder& town() {
  static const StudyFolder study = townStudy();
  static const bool filled = (takeInTownRecords(study), true);
  EXPECT_TRUE(filled);
  return study;
}

json jsonOf(const Ran& ran) {
  EXPECT_EQ(ran.status, 0) << ran.err;
  auto read = json::parse(ran.out, nullptr, false);
  EXPECT_TRUE(read.is_object()) << ran.out.substr(0, 200);
  return read;
}

/// The town's visits as a person would count them: rows that are not among the bad ones.
Table goodVisits() {
  const Table all = csvOfFile(townFile("visits.csv")), bad = csvOfFile(townFile("truth/bad_rows.csv"));
  std::set<std::string> refused;
  for (std::size_t row = 0; row < bad.rows(); ++row) {
    if (field(bad, "file", row) == "visits.csv") refused.insert(field(bad, "line", row));
  }
  std::vector<std::size_t> good;
  for (std::size_t row = 0; row < all.rows(); ++row) {
    if (!refused.contains(std::to_string(all.lines[row]))) good.push_back(row);
  }
  return all.take(good);
}

TEST(SampleTownJourney, ExactlyTheBadRowsAreRefusedWithLineColumnAndReason) {
  const StudyFolder study = townStudy();
  const Table bad = csvOfFile(townFile("truth/bad_rows.csv"));
  for (const std::string kind : {"visits", "sightings"}) {
    const std::string file = townFile(kind + ".csv").string();
    const json said = jsonOf(study.call("take-in", {kind, file, "--json"}));
    std::vector<std::pair<std::string, std::string>> expected, refused;
    for (std::size_t row = 0; row < bad.rows(); ++row) {
      if (field(bad, "file", row) != kind + ".csv") continue;
      // A body condition whose scale is missing: the report names the value that can't be used, and in its reason the empty column.
      const std::string column = field(bad, "column", row) == "body_scale" ? "body_condition" : field(bad, "column", row);
      expected.emplace_back(field(bad, "line", row), column);
    }
    const Table report = csvOfFile(said["refused_file"].get<std::string>());
    for (std::size_t row = 0; row < report.rows(); ++row) {
      refused.emplace_back(field(report, "line", row), field(report, "column", row));
      EXPECT_GT(field(report, "reason", row).size(), 10U);
      EXPECT_FALSE(field(report, "row", row).empty());
    }
    EXPECT_EQ(refused, expected) << kind;
    EXPECT_TRUE(isPrivate(said["refused_file"].get<std::string>()));
    EXPECT_EQ(said["kept"], csvOfFile(file).rows() - expected.size());
    const std::size_t things = csvOfFile(townFile("truth/" + kind + "_truth.csv")).rows();  // one line a visit or sighting that is sound
    EXPECT_EQ(said["added"], things) << kind;

    const json again = jsonOf(study.call("take-in", {kind, file, "--json"}));
    EXPECT_TRUE(again["same_file_before"]);
    EXPECT_EQ(again["added"], 0);
    EXPECT_EQ(study.call("take-in", {kind, file, "--strict"}).status, 3);
  }
}

TEST(SampleTownJourney, RunWritesPrivateStampedOutputsAndNothingIsStaleAfterwards) {
  const Ran first = town().call("run", {"--json"});
  std::printf("first run: %.1f s\n", first.seconds);
  EXPECT_LT(first.seconds, 60);
  const json made = jsonOf(first);
  EXPECT_EQ(made["outputs"].size(), 8U);  // five sheets, a brief, a table, a workbook: [outputs] of study.toml
  for (const auto& output : made["outputs"]) {
    const std::string file = output["file"];
    EXPECT_GT(std::filesystem::file_size(file), 1000U) << file;
    EXPECT_TRUE(isPrivate(file)) << file;
  }
  EXPECT_EQ(made["totals"]["looks"], csvOfFile(townFile("truth/visits_truth.csv")).rows());

  const Ran second = town().call("run", {"--json"});
  std::printf("second run: %.2f s\n", second.seconds);
  const json up_to_date = jsonOf(second);
  for (const auto& step : up_to_date["steps"]) EXPECT_TRUE(step["up_to_date"]) << step["step"];
  for (const auto& output : up_to_date["outputs"]) EXPECT_TRUE(output["up_to_date"]) << output["file"];
  EXPECT_EQ(up_to_date["totals"], made["totals"]);

  const std::filesystem::path reader = "/usr/bin/pdftotext";
  if (!std::filesystem::exists(reader)) GTEST_SKIP() << "pdftotext is not here, so the stamps were not read";
  for (const auto& output : made["outputs"]) {
    const std::string file = output["file"];
    if (!file.ends_with(".pdf")) continue;
    EXPECT_NE(runProgram(reader, {file, "-"}).out.find("Holds client data"), std::string::npos) << file;
  }
}

/// The words of a PDF with one blank between them.
std::string wordsOfPdf(const std::filesystem::path& file) {
  std::string text = runProgram("/usr/bin/pdftotext", {file.string(), "-"}).out;
  for (char& c : text) c = c == '\n' || c == '\f' ? ' ' : c;
  for (auto at = text.find("  "); at != std::string::npos; at = text.find("  ", at)) text.erase(at, 1);
  return text;
}

// The rule: nothing is known of a block only where no door was looked at, nobody passed and no sighting tells of a dog.
TEST(SampleTownJourney, TheBriefSaysNothingIsKnownOnlyOfBlocksOfWhichNothingIsKnown) {
  if (!std::filesystem::exists("/usr/bin/pdftotext")) GTEST_SKIP() << "pdftotext is not here";
  const Table next = csvOfText(town().call("next", {"--top", "100000"}).out);
  int never = 0, told = 0, passed = 0;
  for (std::size_t row = 0; row < next.rows(); ++row) {
    if (number(next, "doors", row) == 0 || number(next, "doors_looked", row) > 0) continue;
    ++never;
    const std::string state = field(next, "state", row);
    told += state == "ontime" || state == "overdue" ? 1 : 0;
    passed += state == "none" || state == "nobody" ? 1 : 0;
  }
  EXPECT_GT(told, 0);
  const auto file = town().beside("never.pdf");
  ASSERT_EQ(town().call("brief", {"board", "-o", file.string()}).status, 0);
  const std::string text = wordsOfPdf(file);
  EXPECT_NE(text.find("In " + std::to_string(never) + " blocks nobody has ever looked at a single door. In " + std::to_string(told) + " of them dogs are known from sightings alone"), std::string::npos) << text.substr(0, 900);
  EXPECT_NE(text.find("about the dogs in the other " + std::to_string(never - told - passed) + " we know nothing yet"), std::string::npos) << text.substr(0, 900);
}

TEST(SampleTownJourney, NextTellsTheAgreedKeysInOrderOfRank) {
  const json next = jsonOf(town().call("next", {"--json", "--top", "20"}));
  std::set<std::string> keys, block_keys;
  for (const auto& [key, value] : next.items()) keys.insert(key);
  EXPECT_EQ(keys, (std::set<std::string>{"as_of", "level", "k", "blocks"}));
  EXPECT_EQ(next["as_of"], "2025-09-30");
  EXPECT_EQ(next["level"], 0.9);
  EXPECT_EQ(next["k"], 20);
  ASSERT_EQ(next["blocks"].size(), 20U);
  const std::set<std::string> agreed = {"block_id", "rank", "rank_low", "rank_high", "unmet", "unmet_in_need", "low", "high", "mass", "per_crew_hour",
                                        "chance_top_k", "chance_rank_k", "doors", "doors_looked", "last_look", "state", "because"};
  double before = 1e9;
  for (std::size_t i = 0; i < next["blocks"].size(); ++i) {
    const auto& block = next["blocks"][i];
    std::set<std::string> found;
    for (const auto& [key, value] : block.items()) found.insert(key);
    EXPECT_EQ(found, agreed);
    EXPECT_EQ(block["rank"], i + 1);
    EXPECT_LE(block["per_crew_hour"].get<double>(), before);
    before = block["per_crew_hour"];
    EXPECT_LE(block["low"].get<int>(), block["high"].get<int>());
    EXPECT_LE(block["unmet_in_need"].get<double>(), block["unmet"].get<double>() + 1e-9);
  }
}

TEST(SampleTownJourney, DoorsFitTheHoursAndLeaveOutThoseWhoAskedUsNotToReturn) {
  const Ran ran = town().call("next", {"--doors", "--hours", "3", "--crews", "2"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Table doors = csvOfText(ran.out);
  ASSERT_GT(doors.rows(), 4U);
  const Table log = goodVisits(), truth = csvOfFile(townFile("truth/visits_truth.csv"));
  const auto place_of = rowsBy(truth, "visit_id");
  std::set<std::string> closed;
  for (std::size_t row = 0; row < log.rows(); ++row) {
    if (field(log, "door_result", row) == "asked_not_to_return") closed.insert(field(truth, "premises_id", place_of.at(field(log, "visit_id", row))));
  }
  ASSERT_GT(closed.size(), 10U);
  std::map<std::string, double> minutes;
  std::set<std::string> seen;
  for (std::size_t row = 0; row < doors.rows(); ++row) {
    const std::string premises = field(doors, "premises_id", row);
    EXPECT_TRUE(seen.insert(premises).second) << premises << " stands twice";
    EXPECT_FALSE(closed.contains(premises)) << premises;
    minutes[field(doors, "crew", row)] += number(doors, "minutes", row);
    EXPECT_FALSE(field(doors, "because", row).empty());
  }
  EXPECT_EQ(minutes.size(), 2U);
  for (const auto& [crew, sum] : minutes) EXPECT_LE(sum, 180.0) << "crew " << crew;
}

std::map<std::string, double> sums(const Ran& ran) {
  EXPECT_EQ(ran.status, 0) << ran.err;
  const Table table = csvOfText(ran.out);
  std::map<std::string, double> of;
  for (const std::string column : {"looks", "visits", "given_up", "improved", "neutered", "referred", "dogs_met"}) {
    for (std::size_t row = 0; row < table.rows(); ++row) of[column] += number(table, column, row);
  }
  return of;
}

TEST(SampleTownJourney, WhatChangedAddsUpToTheLogHoweverItIsDivided) {
  const auto whole = sums(town().call("changed", {"--every", "quarter"}));
  auto by_jurisdiction = sums(town().call("changed", {"--every", "quarter", "--by", "jurisdictions"}));
  EXPECT_GE(by_jurisdiction["dogs_met"], whole.at("dogs_met"));  // a dog met in two areas counts in each
  by_jurisdiction["dogs_met"] = whole.at("dogs_met");
  EXPECT_EQ(by_jurisdiction, whole);

  // The same, counted by hand from the log: looks are visit_ids, visits those that were welcomed, outcomes as written.
  const Table log = goodVisits();
  std::set<std::string> looks, visits;
  std::map<std::string, double> outcome;
  for (std::size_t row = 0; row < log.rows(); ++row) {
    looks.insert(field(log, "visit_id", row));
    if (field(log, "door_result", row) == "welcomed") visits.insert(field(log, "visit_id", row));
    const std::string what = field(log, "outcome", row);  // "given up: foster" says what followed
    outcome[what.substr(0, what.find(':'))] += 1;
  }
  EXPECT_EQ(whole.at("looks"), static_cast<double>(looks.size()));
  EXPECT_EQ(whole.at("visits"), static_cast<double>(visits.size()));
  EXPECT_EQ(whole.at("given_up"), outcome["given up"]);
  EXPECT_EQ(whole.at("neutered"), outcome["neutered"]);
}

TEST(SampleTownJourney, RecordsOfLaterDaysDoNotMoveFiguresOfAnEarlierDay) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  const std::vector<std::string> figures = {"--as-of", "2025-06-30", "--json", "--top", "1000"}, changes = {"--as-of", "2025-06-30", "--every", "month"};
  const Ran next = study.call("next", figures), changed = study.call("changed", changes), late_next = study.call("next", {"--as-of", "2025-11-01", "--json", "--top", "1000"});
  ASSERT_EQ(next.status, 0) << next.err;
  ASSERT_EQ(changed.status, 0) << changed.err;
  // A dog given up at a door that no address point names, a door that closes, one where a dog is seen first.
  const std::string late = put(study.beside("late.csv"),
      "visit_id,date,crew,address,place,look,why_here,door_result,dogs_seen,dogs_met,dog_name,kind,house,tether,left_house,outcome\n"
      "L1,2025-10-05,Van B,485 W Vine St,Tolverwick,knock,planned,welcomed,2,1,Zora,dog,unmet,met,met,given_up\n"
      "L2,2025-10-06,Van B,504 Pine St,Tolverwick,knock,planned,no_dog,0,0,,,,,,\n"
      "L3,2025-10-06,Van B,1107 North Miller Terrace,,knock,planned,asked_not_to_return,1,0,,,,,,\n");
  EXPECT_EQ(jsonOf(study.call("take-in", {"visits", late, "--json"}))["added"], 3);
  EXPECT_EQ(study.call("next", figures).out, next.out);
  EXPECT_EQ(study.call("changed", changes).out, changed.out);
  EXPECT_NE(study.call("next", {"--as-of", "2025-11-01", "--json", "--top", "1000"}).out, late_next.out);
}

TEST(SampleTownJourney, BlocksFiguresHoldAgainstWhatReallyWas) {
  const json next = jsonOf(town().call("next", {"--json", "--top", "1000"}));
  const Table truth = csvOfFile(townFile("truth/blocks.csv"));
  const auto row_of = rowsBy(truth, "block_id");
  double held = 0, mass = 0, said = 0, was = 0, blocks = 0;
  for (const auto& block : next["blocks"]) {
    const double unmet = number(truth, "unmet", row_of.at(block["block_id"].get<std::string>()));
    was += unmet;
    if (block["unmet"].is_null()) continue;
    blocks += 1;
    said += block["unmet"].get<double>();
    mass += block["mass"].get<double>();
    if (unmet >= block["low"].get<double>() && unmet <= block["high"].get<double>()) held += 1;
  }
  std::size_t with_doors = 0;
  for (std::size_t row = 0; row < truth.rows(); ++row) with_doors += number(truth, "doors", row) > 0 ? 1 : 0;
  EXPECT_GE(next["blocks"].size(), with_doors);
  std::printf("blocks: %.1f %% of %.0f intervals hold the truth; they claim %.1f %% on average; total said %.0f, really %.0f (ratio %.2f)\n",
              100 * held / blocks, blocks, 100 * mass / blocks, said, was, said / was);
  EXPECT_GE(held / blocks, 0.85);
  EXPECT_GT(said / was, 0.67);
  EXPECT_LT(said / was, 1.5);
}

}  // namespace
}  // namespace leeward::test
