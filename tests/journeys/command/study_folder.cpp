#include "tests/journeys/command/study_folder.h"

#include <algorithm>

#include <gtest/gtest.h>

#include "shared/table/csv.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace fs = std::filesystem;

StudyFolder::StudyFolder(const std::string& name, std::string text, const std::map<std::string, std::string>& paths) {
  const Ran made = leeward({"new", path().string(), "--name", name, "--quiet"});
  EXPECT_EQ(made.status, 0) << made.err;
  if (text.empty()) return;
  for (const auto& [key, value] : paths) {
    for (auto at = text.find(key); at != std::string::npos; at = text.find(key, at + value.size())) text.replace(at, key.size(), value);
  }
  put(path() / "study.toml", text);
}

Ran StudyFolder::call(const std::string& verb, std::vector<std::string> words) const {
  words.insert(words.begin(), {verb, text()});
  words.emplace_back("--quiet");
  return leeward(words);
}

fs::path townFile(const std::string& name) { return sourceFolder() / "sample-data/town" / name; }

StudyFolder townStudy() {
  const auto settings = readFile(townFile("study.toml"));
  EXPECT_OK(settings);
  return StudyFolder("Sample town", settings.ok() ? *settings : "", {{"@TOWN@", townFile("").parent_path().string()}});
}

void takeInTownRecords(const StudyFolder& study) {
  for (const std::string kind : {"visits", "sightings"}) {
    const Ran taken = study.call("take-in", {kind, townFile(kind + ".csv").string()});
    ASSERT_EQ(taken.status, 0) << taken.err;
  }
}

Table csvOfFile(const fs::path& file) {
  Progress quiet;
  auto read = readCsv(file, quiet);
  EXPECT_OK(read);
  return read.ok() ? std::move(read->table) : Table{};
}

Table csvOfText(const std::string& text) {
  const TemporaryFolder folder;
  return csvOfFile(put(folder.path() / "text.csv", text));
}

std::string field(const Table& table, const std::string& column, std::size_t row) {
  const Column* found = table.find(column);
  EXPECT_NE(found, nullptr) << "no column " << column;
  return found == nullptr ? "" : found->asText(row);
}

double number(const Table& table, const std::string& column, std::size_t row) {
  const Column* found = table.find(column);
  EXPECT_NE(found, nullptr) << "no column " << column;
  return found == nullptr ? 0 : found->asReal(row).value_or(std::numeric_limits<double>::quiet_NaN());
}

std::map<std::string, std::size_t> rowsBy(const Table& table, const std::string& column) {
  std::map<std::string, std::size_t> rows;
  for (std::size_t row = 0; row < table.rows(); ++row) rows.emplace(field(table, column, row), row);
  return rows;
}

std::vector<fs::path> filesIn(const fs::path& folder) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) files.push_back(entry.path());
  }
  std::ranges::sort(files);
  return files;
}

bool isPrivate(const fs::path& file) {
  return (fs::status(file).permissions() & (fs::perms::group_all | fs::perms::others_all)) == fs::perms::none;
}

}  // namespace leeward::test
