#pragma once
/// A small invented study for tests of the record: one block, doors far enough apart that nothing is gathered across them.
#include <string>
#include <vector>

#include "tests/journeys/command/study_folder.h"

namespace leeward::test {

inline constexpr const char* kRecordDay = "2025-12-31";  ///< of its figures

/// `doors` address points: 100 Elm St, 101 Elm St ... some 170 m apart.
struct RecordStudy : StudyFolder {
  explicit RecordStudy(std::size_t doors);
};

/// A visit log, row by row in a short form: "2024-01-10 house=unmet; name=Luna; met=0". A row is a visit of its own to a dog Rex of which
/// everything was seen and met, body condition 1 where 1 is ideal, unless it says otherwise: any column by its name; `v=a` puts rows of
/// one history into one visit; `bare` leaves out the check; `only left` gives the check as left alone; `at=next` is the door beside.
class Log {
 public:
  void add(std::size_t door, const std::vector<std::string>& rows);
  std::string csv() const;

 private:
  std::vector<std::vector<std::string>> rows_;
  std::size_t visits_ = 0;
};

}  // namespace leeward::test
