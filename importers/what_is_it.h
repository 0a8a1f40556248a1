#pragma once
/// What kind of file something is, judged from its headings, contents and shapes; its name is only a hint.
#include <string>
#include <string_view>
#include <vector>

#include "shared/layer/layer.h"

namespace leeward::importers {

struct KindGuess {
  std::string kind;               ///< as take-in names it: visits, premises, blocks, water ...
  double confidence = 0;          ///< 0..1: how much of the file the kind explains, and how much of what tells the kind is there
  std::string why;                ///< "it has look, door_result, house" or "lines with street names"
  std::vector<std::string> shown; ///< the most telling column: "address: 12 Oak St | 9 Elm Ave | 77 Birch Ct"
};

/// Every kind that the file could be, surest first; empty if nothing fits. A few hundred rows are enough. `name` without folder.
/// Kinds with areas (blocks, areas, jurisdictions, boundary, water, parks) are told apart by their ids (15 digits: a census block, 12: a
/// block group, 11: a tract), their number, their words and the file's name: weak signs, so these confidences are lower.
std::vector<KindGuess> whatIsIt(const Layer& layer, const std::string& name);

/// Kinds that hold the same sort of thing, so that a person may take one for another: all kinds of areas are one family.
std::string_view familyOf(std::string_view kind);

/// Nothing, or the problem for a file that is clearly (by 0.25 of confidence) of another family than `kind`.
Result<void> checkKind(std::string_view kind, const Layer& layer, const std::string& name);

}  // namespace leeward::importers
