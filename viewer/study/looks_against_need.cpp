#include "viewer/study/looks_against_need.h"

#include <cmath>

#include <fmt/format.h>

#include "analysis/coverage/equity.h"

namespace leeward::study {
namespace {

/// The share of looks that the doors beyond a share of doors got.
double lastPart(const analysis::Concentration& found, double doors) {
  std::size_t at = 1;
  while (at + 1 < found.doors_up_to.size() && found.doors_up_to[at] < doors) ++at;
  const double from = found.doors_up_to[at - 1], to = found.doors_up_to[at], part = to > from ? (doors - from) / (to - from) : 1;
  return 1 - (found.looks_up_to[at - 1] + part * (found.looks_up_to[at] - found.looks_up_to[at - 1]));
}

}  // namespace

std::string looksAgainstNeed(const Findings& findings) {
  const Table& blocks = findings.blocks.table;
  if (blocks.find("need") == nullptr || blocks.find("looks") == nullptr) return {};
  const auto found = analysis::concentrationOf(blocks.find("need")->toReals(), blocks.find("doors")->toReals(), blocks.find("looks")->toReals(), findings.level);
  if (!std::isfinite(found.index)) return {};
  const char* leaning = found.high < 0 ? "Looks lean towards blocks with less need" : found.low > 0 ? "Looks lean towards blocks with more need" : "Looks lean neither towards need nor away from it, as far as can be told";
  return fmt::format("{}: the quarter of doors with most need around them got {:.0f}\u00A0% of all looks (concentration index {:.2f}, {:.2f} to {:.2f}). That says where crews went, not whether need is well measured.", leaning,
                     100 * lastPart(found, 0.75), found.index, found.low, found.high);
}

}  // namespace leeward::study
