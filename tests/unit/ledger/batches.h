#pragma once
/// Small batches of invented looks for the ledger's tests.
#include <string>
#include <vector>

#include <fmt/format.h>

#include "shared/base/hash.h"
#include "shared/ledger/ledger.h"

namespace leeward::test {

inline Column texts(const std::string& name, const std::vector<std::string>& values) { return Column::text(name, values); }

/// `count` looks, each with one animal that was met, its check as found and a straw bale; `version` varies the content.
inline ImportBatch visitsBatch(std::size_t count, const std::string& file, int version = 1, std::size_t first = 0) {
  std::vector<std::string> looks, keys, hashes, dates, kinds, whys, results, notes, visits, checks, services, names, items, found,
      bale;
  std::vector<double> lons, lats;
  std::vector<std::int64_t> ordinals;
  for (std::size_t i = first; i < first + count; ++i) {
    looks.push_back(newUuid());
    visits.push_back(newUuid());
    checks.push_back(newUuid());
    services.push_back(newUuid());
    keys.push_back(fmt::format("V-{:06}", i));
    hashes.push_back(sha256Hex(fmt::format("{} {}", i, version)));
    dates.push_back(fmt::format("2025-{:02}-{:02}", i % 12 + 1, i % 28 + 1));
    kinds.emplace_back("knock");
    whys.emplace_back("planned");
    results.emplace_back("welcomed");
    notes.push_back(fmt::format("gate sticks, version {}", version));
    lons.push_back(-71.0 - 1e-6 * static_cast<double>(i));
    lats.push_back(42.0 + 1e-6 * static_cast<double>(i));
    names.push_back(fmt::format("Dog {}", i));
    ordinals.push_back(1);
    items.push_back(version == 1 ? "house=met;water=unmet" : "house=met;water=met");
    found.emplace_back("found");
    bale.emplace_back("straw");
  }
  ImportBatch batch{
      .kind = "visits", .file_name = file, .sha256 = sha256Hex(file), .columns = "date=Date", .report = {}, .rows = {}};
  batch.report.file = file;
  batch.report.read = batch.report.kept = count;
  auto& look_rows = batch.rows[Entity::Looks];
  for (auto& column : {texts("id", looks), texts("source_key", keys), texts("content_hash", hashes), texts("date", dates),
                       texts("look", kinds), texts("why_here", whys), texts("door_result", results), texts("notes", notes)}) {
    look_rows.add(column);
  }
  look_rows.add(Column::reals("lon", lons));
  look_rows.add(Column::reals("lat", lats));
  auto& visit_rows = batch.rows[Entity::Visits];
  visit_rows.add(texts("id", visits));
  visit_rows.add(texts("look_id", looks));
  visit_rows.add(Column::integers("ordinal", ordinals));
  visit_rows.add(texts("name", names));
  auto& check_rows = batch.rows[Entity::Checks];
  for (auto& column : {texts("id", checks), texts("visit_id", visits), texts("moment", found), texts("items", items)})
    check_rows.add(column);
  auto& service_rows = batch.rows[Entity::Services];
  for (auto& column : {texts("id", services), texts("look_id", looks), texts("visit_id", visits), texts("item", bale)})
    service_rows.add(column);
  return batch;
}

}  // namespace leeward::test
