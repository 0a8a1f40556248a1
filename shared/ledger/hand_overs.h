#pragma once
/// What left the team, as the ledger keeps it: the log of hand-overs, every count that an audience was given, where points were moved.
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward {

struct Export {
  std::string id, made_at;
  std::string made_by;       ///< account on this machine
  std::string audience;      ///< public, partner, authority
  std::string case_id;       ///< authority alone
  std::string as_of;         ///< ISO day of the figures
  std::string content_hash;  ///< SHA-256 over names and contents of the files
  std::string files;         ///< "SHA-256 name" lines
};

/// A count of a table that was handed over. Withheld ones are kept too: later tables are made so that neither follows from them.
struct HandedCell {
  std::string area, period, kind;
  std::int64_t value = 0;
  bool withheld = false;
};

struct MaskedPlace {
  std::string premises_tag;
  std::optional<Point> lon_lat;  ///< nothing: withheld
  std::uint32_t nearer = 0, candidates = 0;
  std::string since;
  std::string why_not;
};

/// One hand-over and what it told for the first time.
struct HandOverNote {
  Export what;
  std::string tables;  ///< which areas and periods its counts are by
  std::vector<HandedCell> cells;
  std::vector<MaskedPlace> places;
};

}  // namespace leeward
