// The rule for "improved" on histories made by hand.
#include "analysis/outcomes/improved.h"

#include "shared/base/text.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

/// "12: house=unmet; body=4": a check on day 12 at which everything was met but what is named; body by the scale on which 1 is
/// ideal.
ConditionCheck checkOf(const std::string& text) {
  ConditionCheck check;
  check.items.fill(ItemState::Met);
  check.body_condition = 1;
  check.body_scale = BodyScale::FiveIdealFirst;
  const auto colon = text.find(':');
  check.date = {static_cast<int>(*parseInteger(text.substr(0, colon)))};
  std::string rest(text.substr(colon + 1));
  for (const auto piece : split(rest, ';')) {
    const auto word = trim(piece);
    if (word.empty()) continue;
    const auto equals = word.find('=');
    const auto id = word.substr(0, equals);
    const auto state = word.substr(equals + 1);
    if (id == "body") {
      check.body_condition = state == "none" ? std::nullopt : std::optional<int>(static_cast<int>(*parseInteger(state)));
    } else {
      const auto index = conditionItemIndex(id);
      EXPECT_TRUE(index) << id;
      check.items[*index] = state == "met" ? ItemState::Met : state == "unmet" ? ItemState::Unmet : ItemState::NotSeen;
    }
  }
  return check;
}

struct History {
  const char* why;
  std::vector<std::string> checks;
  Change expected;
};

const std::vector<History>& histories() {
  using enum Change;
  static const std::vector<History> all = {
      {"no check", {}, NotComparable},
      {"one check", {"0: house=unmet"}, NotComparable},
      {"two checks a day too close", {"0: house=unmet", "27:"}, NotComparable},
      {"28 days are enough", {"0: house=unmet", "28:"}, Improved},
      {"nothing changed, all met", {"0:", "100:"}, Unchanged},
      {"nothing changed, one unmet", {"0: house=unmet", "100: house=unmet"}, Unchanged},
      {"an item that isn't critical was put right", {"0: nails=unmet", "100:"}, Improved},
      {"an item that isn't critical went wrong", {"0:", "100: nails=unmet"}, Worse},
      {"a critical item went wrong", {"0:", "100: water=unmet"}, Worse},
      {"two put right, one critical newly unmet", {"0: nails=unmet; coat=unmet", "100: wound=unmet"}, Worse},
      {"two put right, one other newly unmet", {"0: nails=unmet; house=unmet", "100: coat=unmet"}, Improved},
      {"one for one, not critical", {"0: nails=unmet", "100: coat=unmet"}, Unchanged},
      {"one for one, critical to other", {"0: house=unmet", "100: coat=unmet"}, Unchanged},
      {"one for one, other to critical", {"0: coat=unmet", "100: house=unmet"}, Worse},
      {"still critical, but less unmet", {"0: house=unmet; shade=unmet", "100: house=unmet"}, Improved},
      {"put right but not seen at the latest", {"0: nails=unmet; coat=unmet", "100: nails=no"}, Improved},
      {"the only unmet item wasn't seen later", {"0: nails=unmet", "100: nails=no"}, Unchanged},
      {"an item unseen at first and unmet later does not count", {"0: nails=no; coat=unmet", "100: nails=unmet"}, Improved},
      {"the latest check isn't full: the one before counts", {"0: house=unmet", "50:", "100: house=unmet; water=no"}, Improved},
      {"no second full check", {"0: house=unmet", "100: wound=no"}, NotComparable},
      {"the first check isn't full: the next counts", {"0: house=unmet; water=no", "10:", "100:"}, Unchanged},
      {"without body condition a check isn't full", {"0: house=unmet; body=none", "100:"}, NotComparable},
      {"body condition recovered", {"0: body=4", "100: body=2"}, Improved},
      {"body condition fell to a worst step", {"0: house=unmet; water=unmet", "100: body=5"}, Worse},
      {"body condition within the same side of the line", {"0: body=5", "100: body=4"}, Unchanged},
      {"better in between, back at the end", {"0: house=unmet", "50:", "100: house=unmet"}, Unchanged},
      {"worse in between, better at the end", {"0: house=unmet", "50: house=unmet; water=unmet", "100:"}, Improved},
      {"given in any order", {"100:", "0: house=unmet"}, Improved},
      {"two on one day: the last given counts", {"0: house=unmet", "100: house=unmet", "100:"}, Improved},
      {"two on the first day: the last given counts", {"0: house=unmet", "0:", "100:"}, Unchanged},
  };
  return all;
}

TEST(ImprovedTest, EveryHistoryIsJudgedByTheRule) {
  ASSERT_GE(histories().size(), 25U);
  for (const auto& history : histories()) {
    std::vector<ConditionCheck> checks;
    for (const auto& text : history.checks) checks.push_back(checkOf(text));
    EXPECT_EQ(judge(checks, {}).change, history.expected) << history.why;
  }
}

TEST(ImprovedTest, TheRulesParametersChangeIt) {
  const std::vector<ConditionCheck> checks = {checkOf("0: coat=unmet; nails=unmet; body=none"),
                                              checkOf("30: shade=unmet; body=none")};
  EXPECT_EQ(judge(checks, {}).change, Change::NotComparable);
  EXPECT_EQ(judge(checks, {.min_days = 28, .critical = {}, .body_condition = false}).change, Change::Improved);
  EXPECT_EQ(judge(checks, {.min_days = 28, .critical = {"shade"}, .body_condition = false}).change, Change::Worse);
  EXPECT_EQ(judge(checks, {.min_days = 60, .critical = {}, .body_condition = false}).change, Change::NotComparable);
  EXPECT_FALSE(validate({.min_days = 28, .critical = {"hause"}, .body_condition = true}).ok());
  EXPECT_NE(inWords({.min_days = 45, .critical = {}, .body_condition = true}).find("45 days"), std::string::npos);
}

TEST(ImprovedTest, AJudgementNamesWhatItCompared) {
  const std::vector<ConditionCheck> checks = {checkOf("0: house=unmet; nails=no"), checkOf("90: coat=unmet"), checkOf("200:")};
  const auto judgement = judge(checks, {}, Date{150});
  EXPECT_EQ(judgement.first, Date{0});
  EXPECT_EQ(judgement.latest, Date{90});
  EXPECT_EQ(judgement.compared, 18) << "18 items and body condition, less one not seen";
  EXPECT_EQ(judgement.unmet_first, 1);
  EXPECT_EQ(judgement.unmet_latest, 1);
  EXPECT_EQ(judgement.new_critical, 0);
}

TEST(CatalogueTest, AStepMeansNothingWithoutItsScale) {
  EXPECT_EQ(bodyState(5, BodyScale::Unknown), ItemState::NotSeen);
  EXPECT_EQ(bodyState(5, parseBodyScale("five_ideal_first")), ItemState::Unmet);
  EXPECT_EQ(bodyState(5, parseBodyScale("five_thin_first")), ItemState::Met);
  EXPECT_EQ(bodyState(2, parseBodyScale("nine_thin_first")), ItemState::Unmet);
  EXPECT_EQ(bodyState(10, BodyScale::NineThinFirst), ItemState::NotSeen);
  EXPECT_EQ(bodyState(std::nullopt, BodyScale::NineThinFirst), ItemState::NotSeen);
  EXPECT_EQ(parseBodyScale("1-5"), BodyScale::Unknown);
}

TEST(CatalogueTest, PackedItemsAreReadAndUnknownOnesRefused) {
  const auto items = parseItems("house=met;tether=unmet;water=not seen");
  ASSERT_OK(items);
  EXPECT_EQ((*items)[*conditionItemIndex("house")], ItemState::Met);
  EXPECT_EQ((*items)[*conditionItemIndex("tether")], ItemState::Unmet);
  EXPECT_EQ((*items)[*conditionItemIndex("water")], ItemState::NotSeen);
  EXPECT_EQ((*items)[*conditionItemIndex("coat")], ItemState::NotSeen);
  EXPECT_OK(parseItems(""));
  EXPECT_FALSE(parseItems("roof=met").ok());
  EXPECT_FALSE(parseItems("house=perhaps").ok());
  ConditionCheck check;
  check.items = *items;
  check.body_condition = 4;
  check.body_scale = BodyScale::FiveIdealFirst;
  EXPECT_EQ(criticalUnmet(check), 2);
}

TEST(CatalogueTest, AnAnimalIsLeftAsItWasFoundWhereNothingElseIsSaid) {
  // Found: house and water unmet, all else met; left: house put right. By hand: house met, water still unmet.
  ConditionCheck left;
  left.items[*conditionItemIndex("house")] = ItemState::Met;
  auto both = asLeft(checkOf("3: house=unmet; water=unmet"), left);
  EXPECT_EQ(both.items[*conditionItemIndex("house")], ItemState::Met);
  EXPECT_EQ(both.items[*conditionItemIndex("water")], ItemState::Unmet);
  EXPECT_EQ(isInNeed(both), true);
  left.items[*conditionItemIndex("water")] = ItemState::Met;
  EXPECT_EQ(isInNeed(asLeft(checkOf("3: house=unmet; water=unmet"), left)), false);
  EXPECT_EQ(isInNeed(asLeft({}, left)), std::nullopt) << "nothing was found or left of tether, wound and collar";
}

TEST(CatalogueTest, NeedIsKnownByOneUnmetItemAndDeniedOnlyByAll) {
  struct Case {
    const char* check;
    std::optional<bool> in_need;
  };
  // Critical: collar fit, tether, house, water, wound, and body condition where it was scored (4 of 5 by the scale on which 1 is ideal).
  for (const auto& [check, in_need] : std::vector<Case>{{"0:", false},
                                                        {"0: food=unmet", false},
                                                        {"0: tether=unmet; house=not seen; wound=not seen", true},
                                                        {"0: wound=not seen", std::nullopt},
                                                        {"0: coat=not seen", false},
                                                        {"0: body=4; wound=not seen", true},
                                                        {"0: body=none", false}}) {
    EXPECT_EQ(isInNeed(checkOf(check)), in_need) << check;
  }
}

}  // namespace
}  // namespace leeward::analysis
