#include "viewer/study/run/told_changes.h"

#include <array>
#include <initializer_list>
#include <optional>
#include <utility>

#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

constexpr std::size_t kToldKept = 30;  ///< tables: of six ways of counting

}  // namespace

Result<ChangedTables> toldChanges(Session& session, const std::string& by, Every every, Progress progress) {
  static constexpr std::array<const char*, 3> kEveryWords = {"month", "quarter", "year"};
  const std::string key = changedKey(session.context, session.book, by, every);
  std::optional<ChangedTables> made;
  const auto part = [&](const std::string& name, Table ChangedTables::*member) -> Result<Table> {
    const std::string step = std::string("told-") + kEveryWords[static_cast<std::size_t>(every)] + (by.empty() ? "" : "-" + by) + "-" + name;
    LEEWARD_ASSIGN(product, session.steps.product(step, "Counting what changed", key, progress, [&](Progress& counting) -> Result<Layer> {
      if (!session.is_gathered) return notKept();
      if (!made) {
        LEEWARD_ASSIGN(tables, changedTables(session.context, session.book, by, every, counting));
        made = std::move(tables);
      }
      Layer layer;
      layer.name = name, layer.table = (*made).*member;
      return layer;
    }));
    return std::move(product.layer.table);
  };
  ChangedTables tables;
  for (const auto& [name, member] : std::initializer_list<std::pair<const char*, Table ChangedTables::*>>{{"periods", &ChangedTables::periods}, {"totals", &ChangedTables::totals},
                                                                                                    {"rates", &ChangedTables::rates}, {"costs", &ChangedTables::costs}, {"notes", &ChangedTables::cost_notes}}) {
    LEEWARD_ASSIGN(table, part(name, member));
    tables.*member = std::move(table);
  }
  session.steps.keepOnly("told-", kToldKept);
  return tables;
}

}  // namespace leeward::study
