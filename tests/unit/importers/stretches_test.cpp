// A log read in stretches holds what it holds when read at once, and rows of one look stay together.
#include <map>
#include <random>
#include <set>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "importers/look_spans.h"
#include "importers/sightings.h"
#include "importers/visits.h"
#include "tests/support/data.h"
#include "tests/unit/importers/files.h"

namespace leeward::importers {
namespace {

/// All pieces of a file as one line a row, each with its look's key instead of fresh ids; then counts and remarks.
struct AllPieces {
  std::size_t pieces = 0;
  std::vector<std::string> lines;
  std::vector<std::string> remarks;
  std::uint64_t read = 0, kept = 0;
};

std::vector<std::string> linesOf(const ImportBatch& batch) {
  std::vector<std::string> lines;
  std::map<std::string, std::string> key_of;  // id of a look or a visit -> the look's key
  for (const auto& [entity, table] : batch.rows) {
    for (std::size_t row = 0; row < table.rows(); ++row) {
      std::string line = fmt::format("{}", tableName(entity));
      std::string own;
      for (const Column& column : table.columns()) {
        const std::string text = column.asText(row);
        const bool is_id = column.name() == "id" || column.name() == "look_id" || column.name() == "visit_id";
        if (column.name() == "source_key") own = text;
        if (is_id && key_of.contains(text)) own = key_of[text];
        line += "|" + (is_id ? std::string(own.empty() ? "" : "of " + own) : text);
      }
      key_of[table.find("id")->asText(row)] = own;
      lines.push_back(std::move(line));
    }
  }
  for (const RefusedRow& row : batch.report.refused) lines.push_back(fmt::format("refused|{}|{}|{}|{}|{}", row.line, row.column, row.value, row.reason, row.row));
  return lines;
}

AllPieces read(Kind kind, const std::string& file, std::size_t stretch_bytes, const StudyFrame& frame) {
  Progress progress;
  auto pieces = kind == Kind::Visits ? openVisits(file, {}, frame, stretch_bytes, progress) : openSightings(file, {}, frame, stretch_bytes, progress);
  EXPECT_OK(pieces);
  AllPieces all;
  if (!pieces) return all;
  while (true) {
    ImportBatch piece;
    const auto any = (*pieces)->next(piece, progress);
    EXPECT_OK(any);
    if (!any || !*any) break;
    ++all.pieces;
    for (auto& line : linesOf(piece)) all.lines.push_back(std::move(line));
  }
  std::ranges::sort(all.lines);
  const RowReport& report = (*pieces)->head().report;
  all.remarks = report.remarks, all.read = report.read, all.kept = report.kept;
  return all;
}

void expectTheSame(Kind kind, const std::string& file, std::size_t stretch_bytes, const StudyFrame& frame, std::size_t least_pieces) {
  const AllPieces whole = read(kind, file, 0, frame), parts = read(kind, file, stretch_bytes, frame);
  EXPECT_EQ(whole.pieces, 1U);
  EXPECT_GE(parts.pieces, least_pieces);
  EXPECT_GT(whole.kept, 0U);
  EXPECT_EQ(parts.lines, whole.lines);
  EXPECT_EQ(parts.remarks, whole.remarks);
  EXPECT_EQ(parts.read, whole.read);
  EXPECT_EQ(parts.kept, whole.kept);
}

TEST(StretchesTest, TheTownsLogsAreTheSameInStretches) {
  const std::filesystem::path town = leeward::test::sourceFolder() / "sample-data/town";
  StudyFrame frame = test::frame();
  frame.lon_lat = {}, frame.anyway = true;
  expectTheSame(Kind::Visits, (town / "visits.csv").string(), 20'000, frame, 5);
  expectTheSame(Kind::Sightings, (town / "sightings.csv").string(), 2'000, frame, 3);
}

/// What stands late in a file decides about what stands early in it: which of day and month comes first, what "-" means, its encoding.
std::string oddLog() {
  std::string text = "visit_id,date,address,dogs_met,dog_name,house,water,notes\n";
  for (int i = 0; i < 400; ++i) {
    text += fmt::format("V{},0{}/0{}/2025,{} Elm St,{},{},{},-,r\xE9""sum\xE9 {}\n", i / 2, 1 + i / 2 % 5, 1 + i / 2 % 6, 100 + i / 2, i % 2, i % 7 == 0 ? "Rex; Bea" : "Rex", i % 5 == 0 ? "perhaps" : "met", i);
    if (i % 50 == 9) text += ",,,,,,,\nvisit_id,date,address,dogs_met,dog_name,house,water,notes\n";
    if (i % 90 == 9) text += "V900,1/1/2025,1 Elm St,0,,,,\"a cell\nof two lines\",and one too many\n";
  }
  return text + "V999,25/03/2025,1 Oak St,1,Rex,met,+,\n";
}

TEST(StretchesTest, WhatAFileShowsLateCountsForItsStart) {
  const test::Folder folder;
  const std::string file = folder.file("odd.csv", oddLog());
  expectTheSame(Kind::Visits, file, 1'500, test::frame(), 4);
  const AllPieces parts = read(Kind::Visits, file, 1'500, test::frame());
  const auto has = [&](std::string_view words) { return std::ranges::any_of(parts.remarks, [&](const std::string& remark) { return remark.find(words) != std::string::npos; }); };
  EXPECT_TRUE(has("day/month/year"));
  EXPECT_TRUE(has("Windows-1252"));
  EXPECT_TRUE(has("8 blank rows"));
  EXPECT_TRUE(has("The headings stand again in 8 rows"));
}

TEST(StretchesTest, ScatteredRowsOfOneLookKeepItsFileTogether) {
  const test::Folder folder;
  std::string text = "visit_id,date,address,dogs_met\n";
  for (int i = 0; i < 300; ++i) text += fmt::format("V{},2025-03-04,{} Elm St,1\n", i % 100, i % 100);
  const AllPieces parts = read(Kind::Visits, folder.file("scattered.csv", text), 500, test::frame());
  EXPECT_EQ(parts.pieces, 1U);
  EXPECT_EQ(parts.kept, 300U);
  EXPECT_EQ(std::ranges::count_if(parts.lines, [](const std::string& line) { return line.starts_with("looks|"); }), 100);
}

TEST(LookSpansTest, NoCutPartsALookAndNoStretchIsLongerThanNeeded) {
  std::mt19937 draw(7);  // NOLINT: the same rows every time
  for (int round = 0; round < 300; ++round) {
    const std::size_t rows = 1 + draw() % 60, apart = 1 + draw() % 12, target = 1 + draw() % 15;
    LookSpans spans;
    std::vector<std::string> keys;
    for (std::size_t row = 0; row < rows; ++row) {
      keys.push_back(draw() % 4 == 0 ? "" : std::to_string(row / apart + draw() % 3));
      spans.add(keys.back());
    }
    const auto mayCut = [&](std::size_t at) {
      const std::set<std::string> before(keys.begin(), keys.begin() + static_cast<std::ptrdiff_t>(at));
      return std::none_of(keys.begin() + static_cast<std::ptrdiff_t>(at), keys.end(), [&](const std::string& key) { return !key.empty() && before.contains(key); });
    };
    const auto lengths = spans.cut(target, rows);
    ASSERT_OK(lengths);
    std::size_t at = 0;
    for (const std::size_t length : *lengths) {
      ASSERT_GT(length, 0U);
      for (std::size_t shorter = target + 1; shorter < length; ++shorter) EXPECT_FALSE(mayCut(at + shorter)) << "row " << at + shorter;
      at += length;
      EXPECT_TRUE(at == rows || mayCut(at)) << "row " << at;
    }
    EXPECT_EQ(at, rows);
  }
}

TEST(LookSpansTest, ALookTooFarApartIsNamedByItsRows) {
  LookSpans spans;
  for (int row = 0; row < 100; ++row) spans.add(row == 4 || row == 80 ? "V1" : std::to_string(1000 + row));
  const auto cut = spans.cut(10, 50);
  ASSERT_FALSE(cut.ok());
  EXPECT_EQ(cut.problem().code, ProblemCode::ResourceExhausted);
  EXPECT_NE(cut.problem().what.find("rows 5 and 81"), std::string::npos) << cut.problem().what;
}

}  // namespace
}  // namespace leeward::importers
