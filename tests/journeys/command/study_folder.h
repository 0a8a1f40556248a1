#pragma once
/// What the journeys share: studies in private folders, and what the command wrote read back.
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "shared/base/files.h"
#include "shared/table/table.h"
#include "tests/support/command.h"

namespace leeward::test {

/// A private folder with one study in it.
class StudyFolder {
 public:
  /// `leeward new`; then study.toml becomes `text` (if it isn't empty) with every key of `paths` replaced by its value.
  explicit StudyFolder(const std::string& name, std::string text = "", const std::map<std::string, std::string>& paths = {});

  std::filesystem::path path() const { return folder_.path() / "study"; }
  std::string text() const { return path().string(); }
  /// A place for further files, beside the study.
  std::filesystem::path beside(const std::string& name) const { return folder_.path() / name; }
  std::filesystem::path ledger() const { return path() / "ledger.sqlite"; }
  /// `leeward VERB STUDY WORDS...`, quietly.
  Ran call(const std::string& verb, std::vector<std::string> words = {}) const;

 private:
  TemporaryFolder folder_;
};

/// The invented sample town as sample-data/run-demo sets it up, without its records.
StudyFolder townStudy();
std::filesystem::path townFile(const std::string& name);
/// Takes in the town's visits and sightings; fails the test if that doesn't work.
void takeInTownRecords(const StudyFolder& study);

/// CSV read back; an empty table (and a failed test) where that doesn't work.
Table csvOfFile(const std::filesystem::path& file);
Table csvOfText(const std::string& text);
/// A field as text; a failed test where the column is missing.
std::string field(const Table& table, const std::string& column, std::size_t row);
double number(const Table& table, const std::string& column, std::size_t row);
/// The values of one column by those of another, first one wins.
std::map<std::string, std::size_t> rowsBy(const Table& table, const std::string& column);

/// Files in a folder and below, without folders, sorted.
std::vector<std::filesystem::path> filesIn(const std::filesystem::path& folder);
/// True if nobody but the owner may read or write.
bool isPrivate(const std::filesystem::path& file);

}  // namespace leeward::test
