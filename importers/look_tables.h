#pragma once
/// Looks and all that hangs on them, as the ledger's tables.
#include "importers/visit_row.h"

namespace leeward::importers {

/// What was assumed of looks; the stretches of a file add up.
struct LookCounts {
  std::size_t look_not_said = 0, why_not_said = 0, met_above_seen = 0, more_met_than_rows = 0, kept_as_notes = 0, unlike_counts = 0;
  std::size_t looks = 0, animals = 0;
  std::vector<std::string> remarks() const;
};

class LookTables {
 public:
  /// All arguments must outlive this.
  LookTables(const Rows& rows, const VisitColumns& columns, const std::vector<VisitRow>& visits, LookCounts& counts);

  /// One look from its rows (checked to agree), with its permission, animals, checks, services, treatments, outcomes, referrals.
  void add(const std::string& source_key, const std::vector<std::size_t>& look_rows);
  /// Makes room for so many times the looks added so far.
  void expect(double times);
  /// Moves the tables into the batch.
  void finish(ImportBatch& batch);

 private:
  struct Look;
  void gather(Look& look, const std::vector<std::size_t>& look_rows);
  bool addAnimal(Look& look, std::size_t row, bool only_row);
  void addChildren(const Look& look, std::size_t row, const std::string& visit_id);
  void addCheck(const std::string& visit_id, const char* moment, const std::string& items, const VisitRow* body);
  void addPermission(const Look& look);
  void addLook(Look& look, const std::string& source_key);
  std::string_view text(Rows::Slot slot, std::size_t row) const { return rows_.at(slot, row); }

  const Rows& rows_;
  const VisitColumns& columns_;
  const std::vector<VisitRow>& visits_;
  LookCounts& counts_;
  TableWriter looks_, permissions_, animals_, checks_, services_, treatments_, outcomes_, referrals_;
};

}  // namespace leeward::importers
