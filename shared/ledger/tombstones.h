#pragma once
/// How what was forgotten is known again without being kept: HMAC-SHA-256 of its folded words, keyed by the ledger's secret.
#include <string>
#include <string_view>
#include <unordered_map>

#include "shared/ledger/sqlite.h"

namespace leeward::ledger {

class Tombstones {
 public:
  enum class What { Key, Address, Name, Premises };  ///< no telephones: several households may share one
  /// All that stand in the ledger.
  static Result<Tombstones> read(const Database& database);
  bool empty() const { return day_of_.empty(); }
  /// "" for words that say nothing ("", "-").
  std::string tagOf(What what, std::string_view words) const;
  /// Whether this was forgotten; `day`: of the row, "" unknown. Rows of later days than the forgetting are new.
  bool holds(What what, std::string_view words, std::string_view day) const;
  /// The day of the forgetting; "" if it wasn't.
  std::string dayOf(What what, std::string_view words) const;
  Result<void> add(const Database& database, What what, std::string_view words, const std::string& day) const;

 private:
  std::string secret_;
  std::unordered_map<std::string, std::string> day_of_;
};

}  // namespace leeward::ledger
