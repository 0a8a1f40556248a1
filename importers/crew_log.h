#pragma once
/// Reads a crew's file, whole or in stretches, after one look through all of it.
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "importers/crew_pieces.h"
#include "importers/source.h"
#include "importers/values.h"

namespace leeward::importers {

class CrewLog {
 public:
  /// Reads the columns and judges the file: BadData for one of another kind or another place (both unless frame.anyway), before any row is
  /// looked at. stretch_bytes: plain text that is longer is read in stretches of about so many bytes; 0 = only above kMostBytesWhole.
  static Result<CrewLog> open(Kind kind, const std::string& file, const Overrides& overrides, const StudyFrame& frame, std::size_t stretch_bytes, Progress& progress);

  ImportBatch head;  ///< kind, file_name, sha256, columns; the report's head
  ColumnMap map;
  StudyFrame frame;
  bool isWhole() const { return lengths_.size() < 2; }
  /// What the dates of a field show over the whole file.
  DateEvidence dates(const std::string& field) const;
  bool hasPlus() const { return has_plus_; }  ///< some check is marked "+"

  /// The next rows, idle ones left out; nothing after the last.
  Result<std::optional<Source>> next(Progress& progress);
  double share() const;                      ///< of the rows, given by now: 0..1
  std::vector<std::string> remarks() const;  ///< on reading, after the last stretch

 private:
  Result<void> openStretches(Kind kind, const Overrides& overrides, std::size_t stretch_bytes, Progress& progress);
  Result<void> openWhole(Kind kind, const std::string& file, const Overrides& overrides, Progress& progress);
  Result<void> mapAndJudge(Kind kind, Source& source, const Overrides& overrides);
  void gather(const Table& table, Date today);
  /// An order of day and month that is only remembered gives way where this file's own days show the other.
  void forgetOtherDateOrder();

  std::string path_;
  bool is_windows_1252_ = false;
  std::optional<CsvStretches> stretches_;
  std::optional<Source> first_;  ///< a file of one stretch, read already
  std::vector<std::size_t> lengths_;
  std::size_t at_ = 0, rows_given_ = 0, rows_ = 0;
  IdleRows idle_;
  std::vector<std::string> remarks_;
  std::map<std::string, DateEvidence> dates_;
  bool has_plus_ = false;
};

}  // namespace leeward::importers
