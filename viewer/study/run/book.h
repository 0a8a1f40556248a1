#pragma once
/// What the ledger holds, read once for a run and cut off at the freeze date, with every row's door, block and animal.
#include <cstdint>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "analysis/coverage/record.h"
#include "analysis/outcomes/history.h"
#include "analysis/sightings/same_dog.h"
#include "viewer/study/run/context.h"

namespace leeward::study {

/// Every premises that could be visited: the public layer's, then those that only the ledger knows (placed between points
/// or along a range).
struct DoorList {
  std::vector<std::string> id;        ///< of the premises layer, or of the ledger
  std::vector<std::string> address;   ///< private where a look was made
  std::vector<Point> position;        ///< in the frame
  std::vector<std::int32_t> block;    ///< row of the blocks layer, -1 = none
  std::vector<std::optional<Date>> asked_not_to_return;
  std::vector<std::string> hazard;    ///< private
  std::unordered_map<std::string, std::int32_t> of_premises;  ///< ledger premises id -> door
  std::size_t public_doors = 0;       ///< how many come from the layer
  std::size_t size() const { return id.size(); }
};

/// Who a row of AnimalRow came from.
struct AnimalSource {
  enum class From { Visit, Look, Sighting } from = From::Visit;
  std::size_t row = 0;  ///< of Book::visits, looks or sightings
};

struct Book {
  // Rows dated after as_of are left out of all tables.
  Table looks, visits, checks, outcomes, referrals, sightings;
  std::vector<Date> look_date, sighting_date;
  std::vector<std::int32_t> look_door, look_block;          ///< -1 = none
  std::vector<Point> look_position, sighting_position;       ///< in the frame; nan = unknown
  std::vector<std::int32_t> sighting_door, sighting_block;
  std::vector<std::size_t> visit_look;                       ///< row of looks
  DoorList doors;
  std::vector<analysis::AnimalRow> animal_rows;
  std::vector<AnimalSource> animal_sources;                  ///< one an animal row
  analysis::SameDog dogs;
  std::vector<std::int64_t> visit_animal;                    ///< index into dogs.animals, per visit row
  /// Per animal: what the record says of it. Checks by day, as found, and as left (analysis::asLeft; of a visit without anything left: as found).
  std::vector<analysis::AnimalHistory> histories;
  std::string key;  ///< of all this
};

/// Reads, locates and gathers. Needs placeRecords() to have run.
Result<Book> readBook(RunContext& context, Progress progress);

/// The key of a book that is read while the ledger is in this state (Ledger::stateKey).
std::string bookKey(const RunContext& context, const std::string& ledger_state);

/// Writes the animals and their links into the ledger (ids stay while their gather_key stays). For a book of all rows.
Result<void> keepAnimals(RunContext& context, const Book& book, Progress progress);

/// The row of the areas layer that each point is in, -1 = none.
Result<std::vector<std::int32_t>> areaOf(const Layer* areas, const std::vector<Point>& points, Progress& progress);

/// The input of coverage, need and rounds.
analysis::Record recordOf(const RunContext& context, const Book& book);

}  // namespace leeward::study
