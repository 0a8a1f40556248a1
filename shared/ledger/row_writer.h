#pragma once
/// Rows of one Table on their way into one table of the ledger. For shared/ledger/*.cpp only.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "shared/ledger/change_log.h"
#include "shared/ledger/schema.h"
#include "shared/ledger/sqlite.h"

namespace leeward::ledger {

class RowWriter {
 public:
  /// Matches the Table's columns to the schema's by name; lon and lat become the position. An import's id, where given,
  /// goes into import_id. Internal for a column that the schema doesn't have. `rows` and `import_id` must outlive the writer.
  static Result<RowWriter> make(const Database& database, Entity entity, const Table& rows,
                                std::optional<std::string_view> import_id = std::nullopt);

  /// The texts of a column ("id", "look_id", …): "" where one is missing, and everywhere if there is no such column.
  class Texts {
   public:
    std::string_view operator[](std::size_t row) const { return column_ != nullptr ? column_->textAt(row) : std::string_view(); }

   private:
    friend class RowWriter;
    explicit Texts(const Column* column) : column_(column) {}
    const Column* column_;
  };
  Texts texts(std::string_view column) const;

  /// Adds the row as it is; look_id and visit_id as given here where not empty.
  Result<void> insert(std::size_t row, std::string_view look_id = {});

  enum class Found { Absent, Same, Changed };
  /// Brings the row that has `id` in the ledger to what the Table says in its columns; logged if that changes anything.
  Result<Found> update(std::string_view id, std::size_t row, ChangeLog& log);

 private:
  /// One column of the ledger's table and where its value comes from.
  struct Source {
    Field field;
    const Column* value = nullptr;  ///< lon of a position; null for a fixed text
    const Column* lat = nullptr;
    std::string_view fixed;
  };
  RowWriter(Entity entity, const Table& rows, std::vector<Source> sources, Statement insert, Statement compare, Statement update)
      : entity_(entity),
        rows_(&rows),
        sources_(std::move(sources)),
        insert_(std::move(insert)),
        compare_(std::move(compare)),
        update_(std::move(update)) {}
  static Result<std::vector<Source>> match(const Database& database, Entity entity, const Table& rows,
                                           std::optional<std::string_view> import_id);
  Result<void> bind(Statement& statement, std::size_t row, std::string_view id, std::string_view look_id) const;
  Problem at(Problem problem, std::size_t row) const;

  Entity entity_;
  bool is_local_ = false;  ///< positions are plane metres
  const Table* rows_;
  std::vector<Source> sources_;  ///< the id first; parameter i + 1 is source i
  Statement insert_;
  Statement compare_;  ///< per source after the id: the value, whether it differs
  Statement update_;
};

}  // namespace leeward::ledger
