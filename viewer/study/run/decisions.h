#pragma once
/// What a person settled about addresses, as the placing step applies it: before anything computed, the latest word on an address first.
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "shared/geo/geometry.h"
#include "shared/ledger/ledger.h"

namespace leeward::study {

/// On one address as typed (placements.typed_key).
struct Decided {
  std::string kind;   ///< accept, move, refuse
  std::string meant;  ///< accept: the candidate's address
  std::string day;    ///< ISO day
  Point position;     ///< accept, move: in the ledger's system; nan where there is none
};

struct Decisions {
  std::map<std::string, Decided> by_typed;                     ///< by typed_key
  std::vector<std::pair<std::string, std::string>> taught;     ///< typed -> meant, oldest first
  std::string key;                                             ///< changes with any of them
};

/// All that was not undone.
Result<Decisions> decisionsInForce(const Ledger& ledger);

/// The text with every taught reading put in: whole words, upper and lower case alike, oldest first, each once over the text.
std::string asTaught(const std::string& text, const std::vector<std::pair<std::string, std::string>>& taught);

/// What placing found for one address that was not sure, kept beside the ledger (the study's cache) with the key of the placing step.
struct KeptCandidate {
  std::string typed_key, placed_by, address, matched_id;
  Point position;  ///< in the ledger's system
  double score = 0, uncertainty_m = 0;
};
Result<void> keepCandidates(const std::filesystem::path& cache, const std::string& key, const std::vector<KeptCandidate>& candidates);
/// In the order kept: by address, best first. Nothing if they were kept for another state of the study.
std::optional<std::vector<KeptCandidate>> keptCandidates(const std::filesystem::path& cache, const std::string& key);

}  // namespace leeward::study
