#pragma once
/// When an animal counts as improved. It is change, not effect: nothing here says that the visits caused it.
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/outcomes/catalogue.h"

namespace leeward::analysis {

/// The first and the latest full check as found are compared. Full: every critical item was seen. At least `min_days` apart; only
/// items seen on both count. Improved: fewer of them unmet, and no critical one unmet that was met before.
struct ImprovedRule {
  int min_days = 28;
  std::vector<std::string> critical;  ///< item ids; empty = the catalogue's
  bool body_condition = true;  ///< body condition counts as a further critical item (see bodyState; each check by its own scale)
};

enum class Change {
  NotComparable,  ///< no two full checks min_days apart
  Improved,
  Unchanged,  ///< as many unmet, none of them newly critical
  Worse       ///< more unmet, or a critical item newly unmet
};

/// Why an animal could not be compared.
enum class WhyNot { Compared, NoFullCheck, OneFullCheck, TooClose, ScaleChanged, Confusable };

struct Judgement {
  Change change = Change::NotComparable;
  WhyNot why_not = WhyNot::NoFullCheck;
  std::optional<Date> first, latest;  ///< the checks compared
  int compared = 0;                   ///< items seen on both
  int unmet_first = 0, unmet_latest = 0;
  int new_critical = 0;
};

/// Judges one animal. Checks as found, in any order; of several on one day the last given counts.
/// Checks later than `until` are left out. Body condition by two scales is compared only where both say the same of it (one of the worst steps,
/// or not): one animal can stand on a worst step of one scale and beside it on another, so a difference may be the scale's. Such a history is
/// not comparable (WhyNot::ScaleChanged).
Judgement judge(std::span<const ConditionCheck> found, const ImprovedRule& rule, std::optional<Date> until = std::nullopt);
/// InvalidArgument for an unknown item id or negative days.
Result<void> validate(const ImprovedRule& rule);
/// The rule in one sentence, with its parameters.
std::string inWords(const ImprovedRule& rule);

}  // namespace leeward::analysis
