#pragma once
/// What became of one animal, by stated rules from all that the record says of it. What the record leaves open is named, never guessed.
#include <optional>
#include <string>
#include <vector>

#include "analysis/outcomes/improved.h"
#include "analysis/sightings/same_dog.h"

namespace leeward::analysis {

/// What a crew wrote of an animal at a look.
enum class Told { GivenUp, Returned, Moved, Died, LostContact, Neutered, Referred, Improved, Unchanged, Worse };
struct ToldOutcome {
  Date date;
  Told told = Told::Improved;
  std::string followed;  ///< after GivenUp: veterinarian, foster, shelter, adopted, euthanised; "" = not said
};

/// One animal's record up to the day of the figures, in any order.
struct AnimalHistory {
  std::vector<ConditionCheck> found, left;
  std::vector<ToldOutcome> told;
  std::vector<Date> seen;  ///< days on which somebody saw it; being named at a look that met none is no seeing
  bool confusable = false;        ///< another animal there can't be told from it (confusableAnimals)
};

/// Where an animal is. There: at its premises, as far as the record says.
enum class Standing { There, GivenUp, Moved, Died, LostContact };

/// Why a history needs a person's eye.
enum class Unclear {
  Confusable,        ///< another animal of one name (or, like it, without one) at its premises: checks may be of either
  ScaleChanged,      ///< body condition by two scales, worst steps by one of them only: no scale is converted
  SeenAfterDeath,    ///< seen, or written of as there, after it was said to have died
  TwoEndings,        ///< gone in two ways on one day
  WordAgainstChecks  ///< the crew wrote improved or worse, and the checks compared up to that day say the opposite
};

struct AnimalOutcome {
  Judgement judgement;  ///< NotComparable where the animal is confusable
  Standing standing = Standing::There;
  std::optional<Date> since;     ///< day of the first word that it had gone, after it was last seen
  std::string followed;          ///< of the latest giving up that stands
  std::optional<Date> neutered;  ///< first word of it
  std::optional<bool> in_need;   ///< by the latest check as left; nothing if unknown
  std::vector<Unclear> unclear;  ///< ascending
};

/// The rules. Improved: ImprovedRule. Standing: an animal seen after it was said to be gone is there; being given up and returned to its
/// people ends the giving up. Of several words after it was last seen the latest counts, of one day Died, GivenUp, Moved, LostContact in
/// this order; the day is that of the first.
AnimalOutcome outcomeOf(const AnimalHistory& history, const ImprovedRule& rule);

/// The days on which it was given up, ascending. A word that repeats an earlier giving up, the animal not seen since, tells what followed
/// and is no other giving up; nor is being returned.
std::vector<Date> givenUpDays(const AnimalHistory& history);

/// One flag an animal: at its premises there is another of a compatible kind and equal folded name (both without one, too), and neither
/// sex nor description (both given and different) tells the two apart. Animals without premises: false.
std::vector<bool> confusableAnimals(const std::vector<Animal>& animals);

/// "there", "given up", "moved", "died", "lost contact".
const char* words(Standing standing);
/// For people, a clause each.
const char* words(Unclear unclear);
/// "improved", "unchanged", "worse", "not comparable".
const char* words(Change change);
/// Why nothing could be compared, a clause; "" where it was.
const char* words(WhyNot why);

}  // namespace leeward::analysis
