#pragma once
/// What the ledger's tests share: a ledger in a folder of its own, and a look at the file behind the ledger's back.
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/files.h"
#include "tests/support/data.h"
#include "tests/unit/ledger/batches.h"

namespace leeward::test {

/// The rows of a query on a file, columns joined by '|', NULL as "NULL", by plain SQLite (with SpatiaLite's functions if asked
/// for).
std::vector<std::string> query(const std::filesystem::path& file, const std::string& sql, bool spatial = false);

unsigned modeOf(const std::filesystem::path& file);
std::uint64_t count(const Ledger& ledger, Entity entity);
Table read(const Ledger& ledger, Entity entity);
std::string at(const Table& table, const std::string& column, std::size_t row);
std::string stateKey(const Ledger& ledger);
Table premises(const std::string& id, const std::string& address, double uncertainty_m, std::optional<double> lon);

class LedgerFixture : public testing::Test {
 protected:
  Ledger make() {
    auto made = Ledger::create(file());
    EXPECT_OK(made);
    return std::move(made).value();
  }
  TakenIn take(Ledger& ledger, const ImportBatch& batch) {
    Progress progress;
    auto taken = ledger.take(batch, progress);
    EXPECT_OK(taken);
    return taken ? *taken : TakenIn{};
  }
  void put(Ledger& ledger, Entity entity, const Table& rows) {
    Progress progress;
    EXPECT_OK(ledger.put({{entity, rows}}, progress));
  }
  std::filesystem::path file() const { return folder_.path() / "ledger.sqlite"; }
  std::size_t filesInFolder() const {
    return static_cast<std::size_t>(
        std::distance(std::filesystem::directory_iterator(folder_.path()), std::filesystem::directory_iterator{}));
  }
  TemporaryFolder folder_;
};

}  // namespace leeward::test
