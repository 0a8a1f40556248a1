#pragma once
/// Gathers sightings and visit rows into animals.
///
/// The rules, in order of day and, within a day, of row (so a later row never changes what an earlier one was given):
/// 1. Rows of one look are different animals; its named rows choose first. A row that counts several stands for so many
///    different animals.
/// 2. At the same premises a named row is the animal of that folded name and a compatible kind; of several not yet taken by this look the one
///    whose sex agrees, then the one whose description shares the most words with it (tie: the lowest ordinal). Failing that, it is the
///    unnamed animal there that rule 3 would choose, and gives it the name.
/// 3. At the same premises an unnamed row is the compatible animal not yet taken by this look whose description shares
///    the most words with it (tie: the lowest ordinal).
/// 4. A row without premises is the compatible animal with a record within `near_m` metres and `near_days` days (nearest
///    record; tie: the animal first gathered). A row at premises for which rules 2 and 3 find nothing may in the same way
///    be an animal that has no premises yet, which then belongs there.
/// 5. Otherwise it is a new animal.
/// Compatible: names equal or one unknown; kinds likewise; sexes likewise; descriptions of which one is empty or which
/// share at least `word_share` of the shorter one's telling words (an animal's words are all that were used for it).
/// Names are folded: lower case, accents off, only letters and digits; "unknown", "unnamed", "none", "dog", "?" and the
/// like are no names. Nothing said about the kind means a dog.
///
/// What this can't do: know a dog again that moved house, was renamed or was described in other words; tell two
/// unnamed dogs alike at one premises apart when they are never seen together; notice that one left and another came.
/// Numbers of animals are therefore "told apart by these rules", not a census.
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "shared/base/dates.h"
#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// A sighting, or a visit's row for one animal.
struct AnimalRow {
  bool met = false;            ///< a visit's row: the crew met the animal with permission
  std::int64_t look = -1;      ///< rows with the same look >= 0 are different animals; -1 = a look of its own
  std::int64_t premises = -1;  ///< index of the premises; -1 = none
  Point where{std::numeric_limits<double>::quiet_NaN(),
              std::numeric_limits<double>::quiet_NaN()};  ///< plane metres; nan = unknown
  Date date;
  std::string name, kind, sex, description;  ///< as typed; "" = not said
  int count = 1;  ///< how many animals; 0 or less: none was seen (a sign, a sound), the row gets no animal
};

struct SameDogRequest {
  double near_m = 75;       ///< rule 4; common practice, no published source: about three house fronts
  int near_days = 365;      ///< rule 4: a dog at the same spot within a year; common practice, no published source
  double word_share = 0.5;  ///< of the shorter description's words
};

struct Animal {
  std::int64_t premises = -1;
  std::int32_t ordinal =
      1;             ///< 1-based among the animals of its premises, in order of first seeing: stays when rows are added later
  std::string name;  ///< as first typed; "" = none
  std::string folded_name;
  std::string kind;         ///< folded; "dog" where nothing was said
  std::string sex;          ///< "male", "female" or ""
  std::string description;  ///< the longest that was given
  Date first_seen, last_seen;
  std::optional<Date> first_met;
  std::size_t first_row = 0;
  std::size_t rows = 0;
};

struct SameDog {
  std::vector<std::int64_t> animal;             ///< per row: index into `animals` of its first animal, -1 = none
  std::vector<std::vector<std::int64_t>> more;  ///< per row: the further animals of a row that counts several
  std::vector<Animal> animals;                  ///< in order of their first row
};

/// Applies the rules above. One result row an input row. A row with neither premises nor position is always a new animal.
/// Errors:  InvalidArgument for a negative distance or day window, or a word share outside 0..1. Cancelled.
/// Cost:    sorting, then near-constant per row; sequential by nature.
/// Source:  our rules; no published method (analysis/METHODS.md).
Result<SameDog> gatherAnimals(std::span<const AnimalRow> rows, const SameDogRequest& request, Progress& progress);

/// The folded form of a name, "" for none and for words that stand for none.
std::string foldName(std::string_view name);

}  // namespace leeward::analysis
