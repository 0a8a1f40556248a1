// What became of an animal, from the crew's file to the outcome. Every expectation is written by hand from the rule: the first and the latest full
// check as found are compared on the items seen on both; full = every critical item (collar fit, tether, house, water, wound, body condition)
// seen; at least 28 days apart; improved = fewer unmet and no critical one newly unmet; "not seen" is never met; scales are never converted;
// what is unclear is listed and never guessed. In need: by the latest check as left.
#include <algorithm>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "shared/base/text.h"
#include "tests/journeys/record/record_study.h"

namespace leeward::test {
namespace {

struct History {
  const char* why;
  std::vector<std::string> rows;
  /// An animal each: "name: change, standing, in need (yes, no, unknown)", and "!" where the history is listed as unclear.
  std::vector<std::string> outcome;
};

const std::vector<History>& checksAlone() {
  static const std::vector<History> all = {
      {"one look", {"2024-01-10 house=unmet"}, {"Rex: not comparable, there, yes"}},
      {"house put right by the second look", {"2024-01-10 house=unmet", "2024-06-10"}, {"Rex: improved, there, no"}},
      {"27 days are too close", {"2024-01-10 house=unmet", "2024-02-06"}, {"Rex: not comparable, there, no"}},
      {"28 days are enough", {"2024-01-10 house=unmet", "2024-02-07"}, {"Rex: improved, there, no"}},
      {"two looks on one day", {"2024-01-10 house=unmet", "2024-01-10"}, {"Rex: not comparable, there, no"}},
      {"all met twice", {"2024-01-10", "2024-06-10"}, {"Rex: unchanged, there, no"}},
      {"unmet twice", {"2024-01-10 house=unmet", "2024-06-10 house=unmet"}, {"Rex: unchanged, there, yes"}},
      {"worse, then as at first", {"2024-01-10", "2024-06-10 house=unmet; water=unmet", "2024-12-10"}, {"Rex: unchanged, there, no"}},
      {"worse, then better than at first", {"2024-01-10 house=unmet", "2024-06-10 house=unmet; water=unmet", "2024-12-10"}, {"Rex: improved, there, no"}},
      {"better, then worse than at first", {"2024-01-10 house=unmet", "2024-06-10", "2024-12-10 house=unmet; water=unmet"}, {"Rex: worse, there, yes"}},
      {"better, then as at first", {"2024-01-10 house=unmet", "2024-06-10", "2024-12-10 house=unmet"}, {"Rex: unchanged, there, yes"}},
      {"written last first", {"2024-06-10", "2024-01-10 house=unmet"}, {"Rex: improved, there, no"}},
      {"only not seen",
       {"2024-01-10 collar_fit=ns; tether=ns; house=ns; water=ns; wound=ns; body=; scale=", "2024-06-10 collar_fit=ns; tether=ns; house=ns; water=ns; wound=ns; body=; scale="},
       {"Rex: not comparable, there, unknown"}},
      {"the latest look didn't see one critical item", {"2024-01-10 house=unmet", "2024-06-10 wound=ns"}, {"Rex: not comparable, there, unknown"}},
      {"a look that didn't see all lies between two that did", {"2024-01-10 house=unmet", "2024-06-10 wound=ns", "2024-12-10"}, {"Rex: improved, there, no"}},
      {"the first look didn't see all", {"2024-01-10 house=unmet; water=ns", "2024-06-10"}, {"Rex: not comparable, there, no"}},
      {"the only unmet item wasn't seen later", {"2024-01-10 nails=unmet", "2024-06-10 nails=ns"}, {"Rex: unchanged, there, no"}},
      {"an item not seen at first and unmet later doesn't count", {"2024-01-10 nails=ns; coat=unmet", "2024-06-10 nails=unmet"}, {"Rex: improved, there, no"}},
      {"an item left blank is not seen", {"2024-01-10 house=unmet", "2024-06-10 tether="}, {"Rex: not comparable, there, unknown"}},
      {"what can't apply is met", {"2024-01-10 tether=unmet", "2024-06-10 tether=n/a"}, {"Rex: improved, there, no"}},
      {"an item that isn't critical put right", {"2024-01-10 nails=unmet", "2024-06-10"}, {"Rex: improved, there, no"}},
      {"an item that isn't critical went wrong", {"2024-01-10", "2024-06-10 nails=unmet"}, {"Rex: worse, there, no"}},
      {"two put right, one critical newly unmet", {"2024-01-10 nails=unmet; coat=unmet", "2024-06-10 wound=unmet"}, {"Rex: worse, there, yes"}},
      {"two put right, another newly unmet", {"2024-01-10 nails=unmet; house=unmet", "2024-06-10 coat=unmet"}, {"Rex: improved, there, no"}},
      {"one for one, neither critical", {"2024-01-10 nails=unmet", "2024-06-10 coat=unmet"}, {"Rex: unchanged, there, no"}},
      {"one for one, from critical to other", {"2024-01-10 house=unmet", "2024-06-10 coat=unmet"}, {"Rex: unchanged, there, no"}},
      {"one for one, from other to critical", {"2024-01-10 coat=unmet", "2024-06-10 house=unmet"}, {"Rex: worse, there, yes"}},
      {"fewer unmet, and in need all the same", {"2024-01-10 house=unmet; shade=unmet", "2024-06-10 house=unmet"}, {"Rex: improved, there, yes"}},
      {"two checks on the last day: the last given counts", {"2024-01-10", "2024-06-10", "2024-06-10 house=unmet"}, {"Rex: worse, there, yes"}},
      {"body condition left the worst steps", {"2024-01-10 body=4", "2024-06-10 body=2"}, {"Rex: improved, there, no"}},
      {"body condition within the worst steps", {"2024-01-10 body=5", "2024-06-10 body=4"}, {"Rex: unchanged, there, yes"}},
      {"body condition fell, two others put right", {"2024-01-10 nails=unmet; coat=unmet", "2024-06-10 body=5"}, {"Rex: worse, there, yes"}},
      {"no score at the latest look", {"2024-01-10 house=unmet", "2024-06-10 body=; scale="}, {"Rex: not comparable, there, no"}},
      {"scale changed, neither step a worst one", {"2024-01-10 house=unmet", "2024-06-10 body=3; scale=five_thin_first"}, {"Rex: improved, there, no"}},
      {"scale changed, a worst step by one of them only", {"2024-01-10 house=unmet; body=3; scale=nine_thin_first", "2024-06-10 body=2; scale=five_thin_first"}, {"Rex: not comparable, there, yes !"}},
      {"scale changed, and the dog seems to have recovered", {"2024-01-10 body=2; scale=five_thin_first", "2024-06-10 body=3; scale=nine_thin_first"}, {"Rex: not comparable, there, no !"}},
      {"scale changed midway and back", {"2024-01-10 house=unmet", "2024-06-10 body=2; scale=nine_thin_first", "2024-12-10"}, {"Rex: improved, there, no"}},
      {"5 of five is the worst on one scale and fat on the other", {"2024-01-10 body=5; house=unmet", "2024-06-10 body=5; scale=five_thin_first; house=unmet"}, {"Rex: not comparable, there, yes !"}},
  };
  return all;
}

const std::vector<History>& leftAndRefused() {
  static const std::vector<History> all = {
      {"collar swapped within the one visit", {"2024-01-10 collar_fit=unmet; left_collar_fit=met"}, {"Rex: not comparable, there, no"}},
      {"collar swapped within the visit, and later found to fit", {"2024-01-10 collar_fit=unmet; left_collar_fit=met", "2024-06-10"}, {"Rex: improved, there, no"}},
      {"collar swapped within the visit, and later found tight again", {"2024-01-10 collar_fit=unmet; left_collar_fit=met", "2024-06-10 collar_fit=unmet"}, {"Rex: unchanged, there, yes"}},
      {"put right at both visits", {"2024-01-10 water=unmet; left_water=met", "2024-06-10 water=unmet; left_water=met"}, {"Rex: unchanged, there, no"}},
      {"one of two put right within the visit", {"2024-01-10 house=unmet; water=unmet; left_house=met"}, {"Rex: not comparable, there, yes"}},
      {"recorded as left only", {"2024-01-10 only left", "2024-06-10 only left"}, {"Rex: not comparable, there, no"}},
      {"recorded as found only", {"2024-01-10 house=unmet", "2024-06-10 water=unmet"}, {"Rex: worse, there, yes"}},
      {"as left, worse than found: the tether was taken off by the owner", {"2024-01-10 left_tether=unmet"}, {"Rex: not comparable, there, yes"}},
      {"a score without its scale is refused with its row", {"2024-01-10 house=unmet", "2024-06-10 scale="}, {"Rex: not comparable, there, yes"}},
      {"an undated row is refused", {"2024-01-10 house=unmet", " house=met"}, {"Rex: not comparable, there, yes"}},
      {"a day that doesn't exist is refused", {"2024-01-10 house=unmet", "2024-02-31"}, {"Rex: not comparable, there, yes"}},
      {"a day in the future is refused", {"2024-01-10 house=unmet", "2031-01-10"}, {"Rex: not comparable, there, yes"}},
      {"a wound marked yes says nothing", {"2024-01-10 house=unmet", "2024-06-10 wound=yes"}, {"Rex: not comparable, there, yes"}},
      {"one visit on two days contradicts itself", {"2024-01-10 house=unmet", "2024-06-10 v=a", "2024-06-11 v=a"}, {"Rex: not comparable, there, yes"}},
  };
  return all;
}

const std::vector<History>& whoIsWho() {
  static const std::vector<History> all = {
      {"two of one name, told apart by sex, written in the other order later",
       {"2024-01-10 v=a; met=2; sex=male; house=unmet", "2024-01-10 v=a; met=2; sex=female", "2024-06-10 v=b; met=2; sex=female", "2024-06-10 v=b; met=2; sex=male"},
       {"Rex: improved, there, no", "Rex: unchanged, there, no"}},
      {"two of one name, told apart by their looks",
       {"2024-01-10 v=a; met=2; description=black; house=unmet", "2024-01-10 v=a; met=2; description=white spotted", "2024-06-10 v=b; met=2; description=white spotted; water=unmet",
        "2024-06-10 v=b; met=2; description=black"},
       {"Rex: improved, there, no", "Rex: worse, there, yes"}},
      {"two of one name that nothing tells apart",
       {"2024-01-10 v=a; met=2; house=unmet", "2024-01-10 v=a; met=2", "2024-06-10 v=b; met=2", "2024-06-10 v=b; met=2"},
       {"Rex: not comparable, there, no !", "Rex: not comparable, there, no !"}},
      {"two of different names",
       {"2024-01-10 v=a; met=2; house=unmet", "2024-01-10 v=a; met=2; name=Luna", "2024-06-10 v=b; met=2; name=Luna; water=unmet", "2024-06-10 v=b; met=2"},
       {"Luna: worse, there, yes", "Rex: improved, there, no"}},
      {"a dog and a cat of one name",
       {"2024-01-10 v=a; met=2; house=unmet", "2024-01-10 v=a; met=2; kind=cat", "2024-06-10 v=b; met=2; kind=cat", "2024-06-10 v=b; met=2"},
       {"Rex: improved, there, no", "Rex: unchanged, there, no"}},
      {"a cat", {"2024-01-10 kind=cat; name=Mia; shade=unmet", "2024-06-10 kind=cat; name=Mia"}, {"Mia: improved, there, no"}},
      {"a name in other letters", {"2024-01-10 name=REX; house=unmet", "2024-06-10 name=rex"}, {"REX: improved, there, no"}},
      {"without a name, the only dog there", {"2024-01-10 name=; house=unmet", "2024-06-10 name="}, {": improved, there, no"}},
      {"named at the second visit", {"2024-01-10 name=; house=unmet", "2024-06-10"}, {"Rex: improved, there, no"}},
      {"renamed: nothing says that it is the same", {"2024-01-10 house=unmet", "2024-06-10 name=Max"}, {"Max: not comparable, there, no", "Rex: not comparable, there, yes"}},
      {"a litter without names, and its mother",
       {"2024-01-10 v=a; met=3; name=Luna; house=unmet", "2024-01-10 v=a; met=3; name=", "2024-01-10 v=a; met=3; name=; food=unmet", "2024-06-10 v=b; met=3; name=Luna",
        "2024-06-10 v=b; met=3; name=", "2024-06-10 v=b; met=3; name="},
       {": not comparable, there, no !", ": not comparable, there, no !", "Luna: improved, there, no"}},
      {"a litter with names", {"2024-01-10 v=a; met=2; name=Ana; food=unmet", "2024-01-10 v=a; met=2; name=Sol", "2024-06-10 v=b; met=2; name=Ana", "2024-06-10 v=b; met=2; name=Sol"},
       {"Ana: improved, there, no", "Sol: unchanged, there, no"}},
      {"moved house: nothing says that it is the same", {"2024-01-10 house=unmet", "2024-03-10 bare; met=0; door=no_dog; outcome=moved", "2024-06-10 at=next"},
       {"Rex: not comparable, moved, yes", "Rex: not comparable, there, no"}},
      {"only seen from the street", {"2024-01-10 bare; name=; met=0; seen=1; door=nobody_home; look=street"}, {}},
  };
  return all;
}

const std::vector<History>& whatFollowed() {
  static const std::vector<History> all = {
      {"given up at a visit with a check", {"2024-01-10 house=unmet", "2024-06-10 outcome=given up: foster"}, {"Rex: improved, given up, no"}},
      {"given up and seen again", {"2024-01-10 house=unmet", "2024-03-10 bare; outcome=given up", "2024-06-10"}, {"Rex: improved, there, no"}},
      {"given up and returned", {"2024-01-10", "2024-03-10 bare; outcome=given up: foster", "2024-05-10 bare; met=0; outcome=given up: returned"}, {"Rex: not comparable, there, no"}},
      {"given up, seen again, given up again", {"2024-01-10", "2024-02-10 bare; outcome=given up", "2024-04-10 bare", "2024-06-10 bare; outcome=given up: shelter"}, {"Rex: not comparable, given up, no"}},
      {"given up, and later what followed", {"2024-01-10", "2024-02-10 bare; outcome=given up: foster", "2024-06-10 bare; met=0; outcome=given up: adopted"}, {"Rex: not comparable, given up, no"}},
      {"died", {"2024-01-10 house=unmet", "2024-06-10 bare; met=0; outcome=died"}, {"Rex: not comparable, died, yes"}},
      {"given up, and died", {"2024-01-10", "2024-03-10 bare; outcome=given up: veterinarian", "2024-03-12 bare; met=0; outcome=died"}, {"Rex: not comparable, died, no"}},
      {"died, and seen again", {"2024-01-10", "2024-03-10 bare; met=0; outcome=died", "2024-06-10"}, {"Rex: unchanged, there, no !"}},
      {"died and given up on one day", {"2024-01-10", "2024-03-10 bare; met=0; outcome=given up", "2024-03-10 bare; met=0; outcome=died"}, {"Rex: not comparable, died, no !"}},
      {"moved, said twice", {"2024-01-10", "2024-03-10 bare; met=0; outcome=moved", "2024-06-10 bare; met=0; outcome=moved"}, {"Rex: not comparable, moved, no"}},
      {"lost contact", {"2024-01-10", "2024-06-10 bare; met=0; outcome=lost contact"}, {"Rex: not comparable, lost contact, no"}},
      {"lost contact, and met again", {"2024-01-10 house=unmet", "2024-06-10 bare; met=0; outcome=lost contact", "2024-12-10"}, {"Rex: improved, there, no"}},
      {"neutered, nothing checked", {"2024-01-10 bare; outcome=neutered"}, {"Rex: not comparable, there, unknown"}},
      {"permission withdrawn after two checks", {"2024-01-10 house=unmet", "2024-06-10", "2024-09-10 bare; name=; met=0; seen=1; door=declined"}, {"Rex: improved, there, no"}},
      {"asked not to return after one check", {"2024-01-10 house=unmet", "2024-06-10 bare; name=; met=0; seen=; door=asked_not_to_return"}, {"Rex: not comparable, there, yes"}},
      {"the crew wrote improved, the checks say worse", {"2024-01-10", "2024-06-10 house=unmet; outcome=improved"}, {"Rex: worse, there, yes !"}},
      {"the crew wrote worse, the checks say improved", {"2024-01-10 house=unmet", "2024-06-10 outcome=worse"}, {"Rex: improved, there, no !"}},
      {"the crew's word alone makes nothing improved", {"2024-01-10 house=unmet", "2024-06-10 bare; outcome=improved"}, {"Rex: not comparable, there, yes"}},
      {"a check after the day of the figures moves nothing", {"2024-01-10 house=unmet", "2026-01-10"}, {"Rex: not comparable, there, yes"}},
  };
  return all;
}

std::vector<History> allHistories() {
  std::vector<History> all;
  for (const auto* some : {&checksAlone(), &leftAndRefused(), &whoIsWho(), &whatFollowed()}) all.insert(all.end(), some->begin(), some->end());
  return all;
}

TEST(RecordJourney, EveryHistoryHasTheOutcomeThatTheRuleDemands) {
  const auto histories = allHistories();
  ASSERT_GE(histories.size(), 60U);
  const RecordStudy study(2 * histories.size());
  Log log;
  for (std::size_t i = 0; i < histories.size(); ++i) log.add(2 * i, histories[i].rows);
  const Ran taken = study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv())});
  ASSERT_EQ(taken.status, 0) << taken.err;
  const Ran ran = study.call("changed", {"--dogs", "--as-of", kRecordDay, "-o", study.beside("dogs.csv").string()});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Table dogs = csvOfFile(study.beside("dogs.csv"));
  std::map<std::string, std::vector<std::string>> said;
  for (std::size_t row = 0; row < dogs.rows(); ++row) {
    const auto need = field(dogs, "in_need", row);
    said[field(dogs, "premises_id", row)].push_back(fmt::format("{}: {}, {}, {}{}", field(dogs, "dog_name", row), field(dogs, "change", row), field(dogs, "standing", row),
                                                                need.empty() ? "unknown" : need, field(dogs, "unclear", row).empty() ? "" : " !"));
  }
  for (std::size_t i = 0; i < histories.size(); ++i) {
    auto got = said[fmt::format("P{}", 100 + 2 * i)];
    for (auto& beside : said[fmt::format("P{}", 101 + 2 * i)]) got.push_back(std::move(beside));
    std::ranges::sort(got);
    EXPECT_EQ(join(got, "; "), join(histories[i].outcome, "; ")) << histories[i].why;
  }
}

}  // namespace
}  // namespace leeward::test
