#pragma once
/// The figures that leave the team: counts that add up over areas and periods, small ones withheld.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "analysis/disclosure/count_tree.h"
#include "shared/ledger/hand_overs.h"
#include "viewer/study/hand_over/areas.h"
#include "viewer/study/run/book.h"

namespace leeward::study {

/// Each look and visit counts once; each animal once in each of the others, at its first such event. So all add up.
inline constexpr std::array<const char*, 7> kToldKinds = {"looks", "visits", "dogs_first_met", "given_up", "improved", "neutered", "referred"};
inline constexpr std::size_t kLooks = 0, kVisits = 1;

struct ToldCounts {
  std::string tables;                    ///< how they are counted, for the ledger: "areas, quarter"
  std::vector<std::string> area_id, area_name;  ///< the whole first, then the areas, last what lies in none
  std::vector<std::string> column;       ///< whole periods, then whole years
  std::size_t periods = 0;
  analysis::CountTree tree;
  analysis::TreeCounts counts;
  std::vector<HandedCell> news;          ///< what was not handed over before

  bool isShown(std::size_t area, std::size_t at_column, std::size_t kind) const { return counts.fate[tree.cell(area, at_column, kind)] == analysis::CellFate::Shown; }
  std::optional<std::int64_t> shown(std::size_t area, std::size_t at_column, std::size_t kind) const;
};

/// Counts up to the last whole period. What this audience (or, for a partner, the public) was told before stays as it was; figures that a
/// partner was refused stay refused to the public too.
/// Errors: BadData: nothing is whole yet; the areas or periods are others than were handed over before; a small count would follow from what
/// was told before (in all three cases nothing can be handed over, and the problem says why). Those of withholdTree.
Result<ToldCounts> toldCounts(const RunContext& context, const Book& book, const ToldAreas& areas, const std::string& audience, Every every, Progress& progress);

/// area_id, area, period, the kinds (missing = withheld), visits_per_100_looks, withheld (which, in words). A row an area and column.
Table toldTable(const ToldCounts& told, int threshold);

/// For the lead: every count that is not shown, with its value and why.
std::vector<std::string> withheldLines(const ToldCounts& told);

}  // namespace leeward::study
