#pragma once
/// Columns of days and of groups, as `trend` and `lasting` read them.
#include <optional>
#include <string>
#include <vector>

#include "shared/base/dates.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

/// A day a row out of ISO dates (a time after them is passed over) or numbers of days since 1970-01-01; nothing for a row without one, which
/// is added to `refused`. NotFound for the column, BadData if no row has a day.
Result<std::vector<std::optional<Date>>> daysOf(const Table& table, const std::string& name, const std::string& source, const std::string& option,
                                                std::vector<RefusedRow>& refused);

/// Which rows belong together: by the text of a column, in order of first appearance; one group without a name if `name` is "".
struct Groups {
  std::vector<std::string> names;
  std::vector<std::int32_t> of_row;
};
Result<Groups> groupsOf(const Table& table, const std::string& name, const std::string& source);

}  // namespace leeward::study
