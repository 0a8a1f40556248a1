#include "analysis/outcomes/improved.h"

#include <algorithm>

#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

/// Items of a check with body condition as the last.
constexpr std::size_t kCompared = kConditionItems + 1;
using States = std::array<ItemState, kCompared>;
using Flags = std::array<bool, kCompared>;

States statesOf(const ConditionCheck& check, const ImprovedRule& rule) {
  States states{};
  std::copy(check.items.begin(), check.items.end(), states.begin());
  states.back() = rule.body_condition ? bodyState(check.body_condition, check.body_scale) : ItemState::NotSeen;
  return states;
}

Flags criticalItems(const ImprovedRule& rule) {
  Flags critical{};
  for (std::size_t i = 0; i < kConditionItems; ++i) {
    const auto& item = conditionItems()[i];
    critical[i] = rule.critical.empty() ? item.critical
                                        : std::find(rule.critical.begin(), rule.critical.end(), item.id) != rule.critical.end();
  }
  critical.back() = rule.body_condition;
  return critical;
}

bool isFull(const States& states, const Flags& critical) {
  for (std::size_t i = 0; i < kCompared; ++i) {
    if (critical[i] && states[i] == ItemState::NotSeen) return false;
  }
  return true;
}

void compare(const States& first, const States& latest, const Flags& critical, Judgement& judgement) {
  for (std::size_t i = 0; i < kCompared; ++i) {
    if (first[i] == ItemState::NotSeen || latest[i] == ItemState::NotSeen) continue;
    ++judgement.compared;
    if (first[i] == ItemState::Unmet) ++judgement.unmet_first;
    if (latest[i] == ItemState::Unmet) ++judgement.unmet_latest;
    if (critical[i] && first[i] == ItemState::Met && latest[i] == ItemState::Unmet) ++judgement.new_critical;
  }
  if (judgement.new_critical > 0 || judgement.unmet_latest > judgement.unmet_first) {
    judgement.change = Change::Worse;
  } else if (judgement.unmet_latest < judgement.unmet_first) {
    judgement.change = Change::Improved;
  } else {
    judgement.change = Change::Unchanged;
  }
}

}  // namespace

Judgement judge(std::span<const ConditionCheck> found, const ImprovedRule& rule, std::optional<Date> until) {
  const auto critical = criticalItems(rule);
  const ConditionCheck* first = nullptr;
  const ConditionCheck* latest = nullptr;
  for (const auto& check : found) {
    if ((until && check.date > *until) || !isFull(statesOf(check, rule), critical)) continue;
    // Of several on one day the last given counts, at both ends.
    if (!first || check.date <= first->date) first = &check;
    if (!latest || check.date >= latest->date) latest = &check;
  }
  Judgement judgement;
  if (!first) return judgement;
  judgement.why_not = first->date == latest->date ? WhyNot::OneFullCheck : WhyNot::TooClose;
  if (latest->date - first->date < std::max(1, rule.min_days)) return judgement;
  const States at_first = statesOf(*first, rule), at_latest = statesOf(*latest, rule);
  judgement.first = first->date;
  judgement.latest = latest->date;
  if (first->body_scale != latest->body_scale && at_first.back() != ItemState::NotSeen && at_latest.back() != ItemState::NotSeen && at_first.back() != at_latest.back()) {
    judgement.why_not = WhyNot::ScaleChanged;
    return judgement;
  }
  judgement.why_not = WhyNot::Compared;
  compare(at_first, at_latest, critical, judgement);
  return judgement;
}

Result<void> validate(const ImprovedRule& rule) {
  if (rule.min_days < 0) {
    return Problem{ProblemCode::InvalidArgument, "the days between two checks can't be negative", "[improved]", "Give 0 or more"};
  }
  for (const auto& id : rule.critical) {
    if (!conditionItemIndex(id)) {
      return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is no item of the condition check", id), "[improved]",
                     "Use the ids of the visits template, such as house or water"};
    }
  }
  return {};
}

std::string inWords(const ImprovedRule& rule) {
  std::vector<std::string> names;
  for (const auto& item : conditionItems()) {
    const bool chosen = std::find(rule.critical.begin(), rule.critical.end(), item.id) != rule.critical.end();
    if (rule.critical.empty() ? item.critical : chosen) names.emplace_back(item.id);
  }
  std::replace_if(
      names.begin(), names.end(), [](const std::string& name) { return name == "collar_fit"; }, "collar fit");
  if (rule.body_condition) names.emplace_back("body condition");
  return fmt::format(
      "An animal counts as improved when its latest full check as found, at least {} days after its first, shows fewer unmet "
      "items than the first among those seen on both, and no critical item ({}) newly unmet; a check is full when every critical item "
      "was seen. This is change, not proof that the visits caused it.",
      rule.min_days, join(names, ", "));
}

}  // namespace leeward::analysis
