#pragma once
/// Small records built by hand, and invented towns whose truth is known.
#include "analysis/coverage/record.h"
#include "shared/base/random.h"

namespace leeward::test {

using namespace leeward::analysis;  // NOLINT: tests of this namespace

inline Date day(int year, unsigned month, unsigned d) { return *makeDate(year, month, d); }

/// A record of blocks without anything; as of 2025-06-30, all knocks see 0.8, streets 0.5, a half-life of a year.
Record emptyRecord(std::size_t blocks);
std::int32_t addDoor(Record& record, std::int32_t block, Point at = {});
struct LookSpec {
  WhyHere why = WhyHere::Planned;
  LookKind kind = LookKind::Knock;
  DoorResult result = DoorResult::NoDog;
  int seen = 0;
  int met = 0;
};
void addLook(Record& record, std::int32_t door, Date date, const LookSpec& look = {});
struct AnimalSpec {
  std::optional<Date> met, gone, last_visit;
  bool planned = false;
  Known found = Known::Unknown, left = Known::Unknown;
};
/// Seen on `seen` and not later.
std::size_t addAnimal(Record& record, std::int32_t door, Date seen, const AnimalSpec& animal = {});
void askNotToReturn(Record& record, std::int32_t door, Date since);

struct TownSpec {
  std::size_t blocks = 60;
  int least_doors = 15, most_doors = 45;
  double mean_rate = 0.08;    ///< doors with dogs per door
  double shape = 1.5;         ///< of the gamma between blocks
  double looked_share = 0.5;  ///< of blocks, where half the doors were looked at once or twice
  double told_share = 0;      ///< of doors with dogs, that callers told of
  bool turnover = false;      ///< dogs come and go with the record's half-life
  std::vector<double> dogs = {0.7, 0.2, 0.1};
};
struct InventedTown {
  Record record;
  std::vector<int> unmet;  ///< truth on as_of, per block
};
/// Draws a town and its record by the model that the estimate assumes.
InventedTown inventTown(const TownSpec& spec, std::uint64_t seed);

}  // namespace leeward::test
