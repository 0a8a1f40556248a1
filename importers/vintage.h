#pragma once
/// Which census a file's areas belong to.
#include <optional>
#include <string>
#include <string_view>

#include "shared/table/table.h"

namespace leeward::importers {

/// The year that a file of areas or figures speaks of, as its headings and names say it; "" if nothing does. Headings of one
/// census ("GEOID20", "TRACTCE10") outrank names of files and layers ("acs5_2017", "ACSDT5Y2022.B19013-Data.csv"), of whose years the last one counts
/// (a five-year table is named by its last year).
std::string vintageIn(const Table& table, std::string_view layer_name, std::string_view file_name);

/// The census whose areas figures of a year are published for: 1990, 2000, 2010 or 2020; nothing for what is no such year. Tables of the
/// ACS and boundary files change to new areas with the census year itself (five-year tables named 2010 to 2019 use the areas of 2010).
std::optional<int> censusOf(std::string_view year);

}  // namespace leeward::importers
