#pragma once
/// Small files made by the tests.
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "importers/visits.h"
#include "shared/base/files.h"

namespace leeward::importers::test {

/// A folder whose files go with it.
class Folder {
 public:
  /// The path of a new file of that content.
  std::string file(const std::string& name, std::string_view content) const;
  /// A workbook of one sheet; cells are text, or numbers where they begin with '='.
  std::string workbook(const std::string& name, const std::vector<std::vector<std::string>>& rows) const;
  /// A shapefile of one square polygon with a column GEOID, without .prj. The layout is that of the published shapefile
  /// description (July 1998) and of dBASE III tables.
  std::string shapefile(const std::string& stem) const;
  std::string path(const std::string& name) const { return (folder_.path() / name).string(); }

 private:
  TemporaryFolder folder_;
};

/// 2025-06-30, and a study around 84.6 W, 39.4 N.
StudyFrame frame();
/// The refused row of a line, or an empty one.
RefusedRow refusedAt(const RowReport& report, std::uint64_t line);
/// Whether any remark holds the words.
bool remarks(const RowReport& report, std::string_view words);

}  // namespace leeward::importers::test
