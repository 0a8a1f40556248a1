#pragma once
/// Addresses that stay undecided or were not found: what a person settles about them, kept in the ledger, applied first by the next
/// placing, in force again after the same file comes in anew, and undone one after the other.
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::study {

struct Choice {
  std::string placed_by, address;
  Point position;  ///< lon, lat (x, y in a study without a place)
  double score = 0, uncertainty_m = 0;
};

struct OpenAddress {
  std::string id;                    ///< last eight characters of the placement's id
  std::string typed, decision, why;  ///< address | place | postcode as typed; undecided or none
  std::uint64_t rows = 0;            ///< looks and sightings that say so
  std::vector<Choice> choices;       ///< best first
};

struct SettledAddress {
  std::string day, kind, typed, meant;  ///< kind: accept, move, refuse, teach
  Point position;                       ///< nan where there is none
};

struct SettleList {
  std::vector<OpenAddress> open;        ///< those that most rows say first
  std::vector<SettledAddress> settled;  ///< in force, oldest first
  bool is_stale = false;                ///< rows or decisions came since the addresses were placed: `run` brings the list up to date
};
/// What is open as last placed.
Result<SettleList> openAddresses(const std::filesystem::path& folder);

struct SettleRequest {
  enum class Action { Accept, Move, Refuse, Teach, Undo };
  std::filesystem::path folder;
  Action action = Action::Accept;
  std::string address;        ///< accept, move, refuse: the id of the list, a whole id, or the words as typed
  std::size_t candidate = 1;  ///< accept: 1-based, in the order of the list
  Point position;             ///< move: lon, lat
  std::string typed, meant;   ///< teach: whole words; upper and lower case alike
};

struct SettleOutcome {
  SettledAddress settled;     ///< what was kept, or taken back by Undo
  std::uint64_t rows = 0;     ///< looks and sightings that it touches
};

/// Keeps one decision, or takes the last one back. The latest on an address holds. NotFound for an unknown address, candidate, or nothing
/// to undo; InvalidArgument for an ambiguous one, an empty reading, or a position more than 100 km from all that was placed.
Result<SettleOutcome> settle(const SettleRequest& request, Progress& progress);

/// What was done and how to undo it, in lines for a person.
std::vector<std::string> describe(const SettleRequest& request, const SettleOutcome& done);

}  // namespace leeward::study
