#pragma once
/// The items of a condition check, and what of it is critical.
///
/// A crew marks each item met, unmet or not seen. An item that can't apply to the animal (a tether where it isn't tied) is
/// met. "Not seen" is never met. Which items are critical is common practice, no published source.
#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "shared/base/dates.h"
#include "shared/base/result.h"

namespace leeward::analysis {

struct ConditionItem {
  const char* id;     ///< as in the crew's files
  const char* words;  ///< for people
  bool critical;
};

inline constexpr std::size_t kConditionItems = 18;
/// In the order of the crew's template: collar_fit, collar_kind, tether, pen, house, bedding, shade, water, food, area, coat,
/// eyes, ears, gums, nails, parasites, wound, behaviour. Critical: collar_fit, tether, house, water, wound.
std::span<const ConditionItem, kConditionItems> conditionItems();
std::optional<std::size_t> conditionItemIndex(std::string_view id);

enum class ItemState : std::uint8_t { NotSeen, Met, Unmet };

/// Body condition scales in use. They run opposite ways: a step without its scale means nothing.
enum class BodyScale : std::uint8_t {
  Unknown,
  FiveIdealFirst,  ///< 1 ideal ... 5 emaciated
  FiveThinFirst,   ///< 1 emaciated ... 3 ideal ... 5 obese
  NineThinFirst    ///< 1 emaciated ... 4-5 ideal ... 9 obese
};
/// "five_ideal_first", "five_thin_first", "nine_thin_first" as the ledger keeps them; anything else is Unknown.
BodyScale parseBodyScale(std::string_view text);
/// Met (not one of the two thinnest steps), Unmet (one of them: 4-5 or 1-2), NotSeen (no step, no known scale, or off the scale).
/// Fat is not counted as critical.
ItemState bodyState(std::optional<int> step, BodyScale scale);

/// One check, as found or as left.
struct ConditionCheck {
  Date date;
  std::array<ItemState, kConditionItems> items{};  ///< by conditionItems() index
  std::optional<int> body_condition;
  BodyScale body_scale = BodyScale::Unknown;
};

/// Reads "house=met;tether=unmet;water=not seen" into `items`; items not named are NotSeen. BadData for an unknown id or state.
Result<std::array<ItemState, kConditionItems>> parseItems(std::string_view packed);
/// The state as left of one visit: what `left` says of an item where it says anything, else what was found (what nobody put right
/// stands as it was). Body condition likewise. The date is that of `found`.
ConditionCheck asLeft(const ConditionCheck& found, const ConditionCheck& left);
/// Whether the animal is in need: true if any critical item (or the body condition) is known to be unmet, false only if every
/// critical item was seen met; else nothing. Body condition counts where it was scored.
std::optional<bool> isInNeed(const ConditionCheck& check);
/// How many critical items are unmet, body condition among them.
int criticalUnmet(const ConditionCheck& check);

}  // namespace leeward::analysis
