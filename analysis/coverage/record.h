#pragma once
/// What the crews did and what they know, as plain columns: the input of coverage, need and rounds.
///
/// Blocks are numbered 0 to blocks-1 in the caller's order. Every other column refers to doors and blocks by index;
/// kNowhere means "none". Rows dated after `as_of` are ignored everywhere, so that figures can be frozen; an animal's
/// dates after it count as if they had not happened (a first meeting after as_of: not yet met).
#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "shared/base/dates.h"
#include "shared/base/result.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

inline constexpr std::int32_t kNowhere = -1;
inline constexpr std::int32_t kNotSaid = -1;  ///< a count that nobody wrote down

enum class LookKind : std::uint8_t { Knock, Street, Call, Track };
enum class WhyHere : std::uint8_t { Planned, Passing, Caller, OwnerAsked, Return };
enum class DoorResult : std::uint8_t { NotSaid, Welcomed, Declined, AskedNotToReturn, NobodyHome, NoDog, NoAccess, Vacant };
enum class Known : std::uint8_t { Unknown, No, Yes };

/// Every premises that could be visited, one entry a door.
struct Doors {
  std::vector<std::int32_t> block;  ///< kNowhere: outside all blocks; such doors are in no block's figures and in no round
  std::vector<Point> position;      ///< metres, in the study's frame
  std::vector<std::optional<Date>> asked_not_to_return;  ///< since when; empty vector = none
  std::vector<std::uint8_t> vacant;  ///< 1 = empty by a public layer, so no dogs are expected; empty vector = none. A door
                                     ///< that crews found empty is one that they looked at, like others: it may be let again
  std::size_t size() const { return block.size(); }
};

/// Every look, of whatever kind, in any order.
struct Looks {
  std::vector<std::int32_t> door;   ///< kNowhere: at a premises that could not be told
  std::vector<std::int32_t> block;  ///< used where door is kNowhere; else the door's block counts
  std::vector<Date> date;
  std::vector<LookKind> kind;
  std::vector<WhyHere> why;
  std::vector<DoorResult> result;
  std::vector<std::int32_t> dogs_seen;  ///< or kNotSaid
  std::vector<std::int32_t> dogs_met;   ///< or kNotSaid
  std::size_t size() const { return door.size(); }
  void reserve(std::size_t rows);
};

/// Every animal known, met or only seen.
struct Animals {
  std::vector<std::int32_t> door;   ///< kNowhere: its door could not be told
  std::vector<std::int32_t> block;  ///< used where door is kNowhere
  std::vector<Date> first_seen;
  std::vector<std::optional<Date>> first_met;   ///< with permission; none = seen, never met
  std::vector<Date> last_seen;                  ///< seen or met, by whoever
  std::vector<std::uint8_t> by_planned_look;    ///< 1 = first known by a planned look, 0 = by caller, passing, return ...
  std::vector<std::optional<Date>> gone;        ///< given up, died or moved away: since when
  std::vector<std::optional<Date>> last_visit;  ///< latest visit with permission
  std::vector<Known> critical_first_found;      ///< a critical item unmet at the first check as found
  std::vector<Known> critical_last_left;        ///< a critical item unmet at the latest check as left
  std::size_t size() const { return door.size(); }
  void reserve(std::size_t rows);
};

/// Chance that one look of a kind sees a dog that is kept outdoors at that door, by season: a parameter that the team
/// sets, NOT an estimate of detection. [LookKind][Season]; each in 0..1.
using ChanceOfSeeing = std::array<std::array<double, 4>, 4>;

struct Record {
  std::size_t blocks = 0;
  Doors doors;
  Looks looks;
  Animals animals;
  ChanceOfSeeing chance_of_seeing{{{0.8, 0.8, 0.8, 0.8}, {0.4, 0.4, 0.4, 0.4}, {0.3, 0.3, 0.3, 0.3}, {0.2, 0.2, 0.2, 0.2}}};
  /// After so many days half of what was known of a door's dogs no longer holds: they moved, died, others came.
  double half_life_days = 365;
  int service_interval_days = 120;
  Date as_of;
};

/// InvalidArgument if columns differ in length, an index is out of range, a chance is outside 0..1, or the half-life
/// or the service interval isn't positive. All functions that take a Record check it first.
Result<void> checkRecord(const Record& record);

/// The block a look or an animal belongs to: its door's, else its own; kNowhere if neither is known.
std::int32_t blockOfLook(const Record& record, std::size_t look);
std::int32_t blockOfAnimal(const Record& record, std::size_t animal);

/// The look got an answer or a view: dogs were seen or met; or the door answered (welcomed, declined, asked not to
/// return, no dog, vacant); or it was made from the street or a track and access is not what failed; or nothing is
/// said about the door but a count of dogs (0 too) is.
bool gotAnswerOrView(const Record& record, std::size_t look);

/// Chance that this look sees a dog kept there. It depends on kind, season and the door's answer, never on whether a
/// dog was seen. A knock at which nobody came or access failed sees what can be seen from the street; a call that
/// nobody answered sees nothing.
double chanceOfLook(const Record& record, std::size_t look);

bool sawDog(const Record& record, std::size_t look);

bool isClosed(const Record& record, std::size_t door);  ///< asked not to return by as_of
bool isVacant(const Record& record, std::size_t door);

/// Chance that what was so on `then` is still so on as_of: 2^(-days / half_life_days); 1 for a later day.
double chanceStillSo(const Record& record, Date then);

/// Known and not gone on as_of. `isMet`: also met with permission by then.
bool isKnown(const Record& record, std::size_t animal);
bool isMet(const Record& record, std::size_t animal);
/// The latest day up to as_of on which the animal was seen, met or visited.
Date lastContact(const Record& record, std::size_t animal);

/// What the service interval runs from: the latest visit, for an animal that was met (seeing it from the street since serves
/// nothing); for one never met the latest day on which it was seen.
Date lastServed(const Record& record, std::size_t animal);

/// Adds an animal without a name for every dog that looks at a door saw beyond those listed there, so that no dog seen
/// is lost because nobody wrote a row for it: as many as the largest dogs_seen exceeds the animals ever listed at that
/// door, and as many of them met as the largest dogs_met does. Looks without a door add nothing. Returns how many.
/// To be called once by whoever makes the record.
std::size_t addUnlistedDogs(Record& record);

}  // namespace leeward::analysis
