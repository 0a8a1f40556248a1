#include "analysis/outcomes/catalogue.h"

#include <algorithm>

#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

constexpr std::array<ConditionItem, kConditionItems> kItems = {{
    {"collar_fit", "collar fits (two fingers under it)", true},
    {"collar_kind", "collar of a kind fit for a tied dog", false},
    {"tether", "tether light, long enough, with swivels", true},
    {"pen", "pen large enough, safe and clean", false},
    {"house", "house with roof, four walls and a floor off the ground", true},
    {"bedding", "bedding right for the season", false},
    {"shade", "shade", false},
    {"water", "drinkable water in a bowl that can't be tipped", true},
    {"food", "food", false},
    {"area", "ground clean and free of hazards", false},
    {"coat", "coat", false},
    {"eyes", "eyes", false},
    {"ears", "ears", false},
    {"gums", "gums", false},
    {"nails", "nails", false},
    {"parasites", "free of fleas, ticks and worms", false},
    {"wound", "free of wounds", true},
    {"behaviour", "behaviour", false},
}};

std::optional<ItemState> stateOf(std::string_view text) {
  if (text == "met") return ItemState::Met;
  if (text == "unmet") return ItemState::Unmet;
  if (text == "not seen" || text == "not_seen" || text.empty()) return ItemState::NotSeen;
  return std::nullopt;
}

}  // namespace

std::span<const ConditionItem, kConditionItems> conditionItems() { return kItems; }

std::optional<std::size_t> conditionItemIndex(std::string_view id) {
  const auto found = std::find_if(kItems.begin(), kItems.end(), [&](const ConditionItem& item) { return id == item.id; });
  if (found == kItems.end()) return std::nullopt;
  return static_cast<std::size_t>(found - kItems.begin());
}

BodyScale parseBodyScale(std::string_view text) {
  if (text == "five_ideal_first") return BodyScale::FiveIdealFirst;
  if (text == "five_thin_first") return BodyScale::FiveThinFirst;
  if (text == "nine_thin_first") return BodyScale::NineThinFirst;
  return BodyScale::Unknown;
}

ItemState bodyState(std::optional<int> step, BodyScale scale) {
  if (!step || scale == BodyScale::Unknown || *step < 1) return ItemState::NotSeen;
  const int steps = scale == BodyScale::NineThinFirst ? 9 : 5;
  if (*step > steps) return ItemState::NotSeen;
  const bool is_worst = scale == BodyScale::FiveIdealFirst ? *step >= 4 : *step <= 2;
  return is_worst ? ItemState::Unmet : ItemState::Met;
}

Result<std::array<ItemState, kConditionItems>> parseItems(std::string_view packed) {
  std::array<ItemState, kConditionItems> items{};
  for (const auto piece : split(packed, ';')) {
    if (trim(piece).empty()) continue;
    const auto equals = piece.find('=');
    const auto id = trim(piece.substr(0, equals));
    const auto index = conditionItemIndex(id);
    const auto state = equals == std::string_view::npos ? std::nullopt : stateOf(trim(piece.substr(equals + 1)));
    if (!index || !state) {
      return Problem{ProblemCode::BadData, fmt::format("\"{}\" is no checked item and state", trim(piece)), "",
                     "Items are written like house=met; the states are met, unmet and not seen"};
    }
    items[*index] = *state;
  }
  return items;
}

int criticalUnmet(const ConditionCheck& check) {
  int unmet = bodyState(check.body_condition, check.body_scale) == ItemState::Unmet ? 1 : 0;
  for (std::size_t i = 0; i < kConditionItems; ++i) {
    if (kItems[i].critical && check.items[i] == ItemState::Unmet) ++unmet;
  }
  return unmet;
}

ConditionCheck asLeft(const ConditionCheck& found, const ConditionCheck& left) {
  ConditionCheck both = found;
  for (std::size_t i = 0; i < kConditionItems; ++i) {
    if (left.items[i] != ItemState::NotSeen) both.items[i] = left.items[i];
  }
  if (bodyState(left.body_condition, left.body_scale) != ItemState::NotSeen) both.body_condition = left.body_condition, both.body_scale = left.body_scale;
  return both;
}

std::optional<bool> isInNeed(const ConditionCheck& check) {
  if (criticalUnmet(check) > 0) return true;
  for (std::size_t i = 0; i < kConditionItems; ++i) {
    if (kItems[i].critical && check.items[i] == ItemState::NotSeen) return std::nullopt;
  }
  return false;
}

}  // namespace leeward::analysis
