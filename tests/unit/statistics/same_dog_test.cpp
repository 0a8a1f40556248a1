#include "analysis/sightings/same_dog.h"

#include "analysis/sightings/folding.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

AnimalRow visit(std::int64_t look, std::int64_t premises, int day, std::string name, std::string sex = "",
                std::string description = "") {
  AnimalRow row;
  row.met = true;
  row.look = look;
  row.premises = premises;
  row.where = {100.0 * static_cast<double>(premises), 0};
  row.date = {day};
  row.name = std::move(name);
  row.sex = std::move(sex);
  row.description = std::move(description);
  return row;
}

AnimalRow sighting(double x, int day, std::string description = "", int count = 1) {
  AnimalRow row;
  row.where = {x, 0};
  row.date = {day};
  row.description = std::move(description);
  row.count = count;
  return row;
}

SameDog gather(const std::vector<AnimalRow>& rows, const SameDogRequest& request = {}) {
  Progress progress;
  return gatherAnimals(rows, request, progress).value();
}

using Animals = std::vector<std::int64_t>;

TEST(SameDogTest, ANameAtTheSamePremisesIsTheSameAnimalHoweverTyped) {
  EXPECT_EQ(gather({visit(1, 0, 1, "Señor Max"), visit(2, 0, 90, " senor-max "), visit(3, 1, 91, "Senor Max")}).animal,
            (Animals{0, 0, 1}));
}

TEST(SameDogTest, AnotherNameAtTheSamePremisesIsAnotherAnimal) {
  EXPECT_EQ(gather({visit(1, 0, 1, "Rex"), visit(2, 0, 90, "Bella")}).animal, (Animals{0, 1}));
}

TEST(SameDogTest, AnUnnamedAnimalGetsItsNameLater) {
  const auto dogs = gather({visit(1, 0, 1, "unknown", "m"), visit(2, 0, 90, "Rex", "male")});
  EXPECT_EQ(dogs.animal, (Animals{0, 0}));
  EXPECT_EQ(dogs.animals[0].name, "Rex");
  EXPECT_EQ(dogs.animals[0].sex, "male");
}

TEST(SameDogTest, OppositeSexesOrOtherKindsAreOtherAnimals) {
  EXPECT_EQ(gather({visit(1, 0, 1, "", "m"), visit(2, 0, 90, "", "f")}).animal, (Animals{0, 1}));
  auto cat = visit(2, 0, 90, "Rex");
  cat.kind = "Cat";
  EXPECT_EQ(gather({visit(1, 0, 1, "Rex"), cat}).animal, (Animals{0, 1}));
}

TEST(SameDogTest, RowsOfOneLookAreDifferentAnimalsAndNamedOnesChooseFirst) {
  const auto dogs =
      gather({visit(1, 0, 1, "Rex"), visit(2, 0, 90, ""), visit(2, 0, 90, "Rex"), visit(3, 0, 180, ""), visit(3, 0, 180, "")});
  EXPECT_EQ(dogs.animal, (Animals{0, 1, 0, 0, 1}));
  EXPECT_EQ(dogs.animals[0].ordinal, 1);
  EXPECT_EQ(dogs.animals[1].ordinal, 2);
}

TEST(SameDogTest, TheDescriptionThatSharesMostWordsChooses) {
  const auto dogs = gather({visit(1, 0, 1, "", "", "small white"), visit(1, 0, 1, "", "", "big brown shepherd"),
                            visit(2, 0, 90, "", "", "the brown shepherd")});
  EXPECT_EQ(dogs.animal, (Animals{0, 1, 1}));
}

TEST(SameDogTest, ASightingNearbyInTimeAndLikeItIsTheSameAnimal) {
  EXPECT_EQ(gather({sighting(0, 1, "brown, on a chain"), sighting(70, 50, "brown chain")}).animal, (Animals{0, 0}));
  EXPECT_EQ(gather({sighting(0, 1, "brown, on a chain"), sighting(80, 50, "brown chain")}).animal, (Animals{0, 1})) << "too far";
  EXPECT_EQ(gather({sighting(0, 1, "brown, on a chain"), sighting(70, 367, "brown chain")}).animal, (Animals{0, 1})) << "too late";
  EXPECT_EQ(gather({sighting(0, 1, "brown"), sighting(70, 50, "white spotted")}).animal, (Animals{0, 1})) << "unlike";
}

TEST(SameDogTest, ASightingBeforeTheFirstVisitBecomesThatPremisesDog) {
  const auto dogs = gather({sighting(320, 1, "brown"), visit(1, 3, 20, "Rex", "m", "brown hound")});
  EXPECT_EQ(dogs.animal, (Animals{0, 0}));
  EXPECT_EQ(dogs.animals[0].premises, 3);
  EXPECT_EQ(dogs.animals[0].first_seen, Date{1});
  EXPECT_EQ(dogs.animals[0].first_met, Date{20});
}

TEST(SameDogTest, ADogOfOnePremisesIsNotGivenToTheNext) {
  auto next_door = visit(2, 7, 10, "");
  next_door.where = {120, 0};
  EXPECT_EQ(gather({visit(1, 1, 1, ""), next_door}).animal, (Animals{0, 1}));
}

TEST(SameDogTest, ARowThatCountsSeveralStandsForSoManyAnimals) {
  const auto dogs = gather({sighting(0, 1, "", 3), sighting(10, 5, "", 2), sighting(500, 5, "", 0)});
  EXPECT_EQ(dogs.animals.size(), 3U);
  EXPECT_EQ(dogs.animal, (Animals{0, 0, -1}));
  EXPECT_EQ(dogs.more[0], (Animals{1, 2}));
  EXPECT_EQ(dogs.more[1], (Animals{1}));
}

TEST(SameDogTest, ALaterRowNeverChangesWhatAnEarlierOneWasGiven) {
  std::vector<AnimalRow> rows = {visit(1, 0, 1, "", "m"), sighting(30, 10, "brown"), visit(2, 0, 90, "Rex"), visit(3, 1, 95, "")};
  const auto before = gather(rows).animal;
  rows.push_back(visit(4, 0, 200, "Bella", "f"));
  auto after = gather(rows).animal;
  after.pop_back();
  EXPECT_EQ(after, before);
}

TEST(SameDogTest, AnimalsAreNumberedByRowEvenWhenDaysRunBackwards) {
  const auto dogs = gather({visit(1, 0, 90, "Rex"), visit(2, 1, 1, "Bella")});
  EXPECT_EQ(dogs.animal, (Animals{0, 1}));
  EXPECT_EQ(dogs.animals[1].name, "Bella");
}

TEST(SameDogTest, ARowWithNeitherPremisesNorPositionIsAlwaysNew) {
  AnimalRow row;
  EXPECT_EQ(gather({row, row}).animal, (Animals{0, 1}));
}

TEST(SameDogTest, WordsThatStandForNoNameAreNone) {
  for (const char* name : {"", "?", "Unknown", "no name", "N/A", "dog", "--"}) EXPECT_EQ(foldName(name), "") << name;
  EXPECT_EQ(foldName("O'Malley"), foldName("O\xE2\x80\x99Malley"));
  EXPECT_EQ(foldWords("  \xC3\x89t\xC3\xA9, Groß!"), "ete gross");
}

TEST(SameDogTest, ValuesOutOfRangeAreRefused) {
  Progress progress;
  EXPECT_FALSE(gatherAnimals({}, {-1, 60, 0.5}, progress).ok());
  EXPECT_FALSE(gatherAnimals({}, {75, 60, 1.5}, progress).ok());
}

}  // namespace
}  // namespace leeward::analysis
