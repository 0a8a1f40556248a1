#pragma once
/// The refused rows of a file on their way into a list that the crew can correct.
#include <cstdio>
#include <filesystem>
#include <memory>
#include <vector>

#include "shared/table/row_report.h"
#include "shared/table/table.h"

namespace leeward::study {

/// Columns line, column, value, reason, row (the row as it stood, as CSV).
Table refusedTable(const std::vector<RefusedRow>& rows);

/// Takes the refused rows of one piece after the other. The first 100,000 stay in memory; what comes after them waits in a nameless
/// temporary file, so that a long file of which nothing can be used needs no more memory than another.
class RefusedList {
 public:
  Result<void> add(std::vector<RefusedRow> rows);
  /// Writes all as a private CSV file and moves the rows that were held, and the count of the others, into the report.
  Result<void> write(const std::filesystem::path& file, RowReport& report);
  bool empty() const { return held_.empty(); }
  const std::vector<RefusedRow>& held() const { return held_; }
  std::uint64_t beyond() const { return beyond_; }

 private:
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };
  std::vector<RefusedRow> held_;
  std::uint64_t beyond_ = 0;
  std::unique_ptr<std::FILE, Close> spool_;
};

}  // namespace leeward::study
