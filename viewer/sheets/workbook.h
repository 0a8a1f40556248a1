#pragma once
/// The figures as an Excel workbook (ISO/IEC 29500), for the crew.
#include <filesystem>

#include "shared/base/progress.h"
#include "viewer/study/findings.h"

namespace leeward::sheets {

/// Sheets next, changed, costs, due, sources; the stamp and the day of the figures stand above the first. Numbers are numbers, missing
/// stays empty. The creation date is the figures' day, so the same findings give the same bytes. Mode 0600.
/// Errors: InvalidArgument (ending other than .xlsx), Io.
Result<void> writeWorkbook(const study::Findings& findings, const std::filesystem::path& file, Progress& progress);

/// One table as a workbook of one sheet, text as text (a cell that begins with = is no formula), numbers as they are. owner_only:
/// mode 0600. Equal tables give equal bytes. Errors: as above; Unsupported for more rows or columns than a sheet holds.
Result<void> writeTableWorkbook(const Table& table, const std::string& name, const std::filesystem::path& file, bool owner_only, Progress& progress);

}  // namespace leeward::sheets
