#pragma once
/// Streets and places in the reference that a typed line may mean.
#include <vector>

#include "analysis/place/query.h"
#include "analysis/place/scoring.h"

namespace leeward::analysis {

inline constexpr double kWeightWindow = 8;  ///< candidates this far below the best are not looked at: their share is below 0.0004

struct StreetMatch {
  std::uint32_t street = 0;
  Agreement agreement;   ///< of name, type, direction, town
  double weight = 0;
};
/// Streets near any of the readings, best first, each once, at most 40.
std::vector<StreetMatch> matchStreets(const IndexData& index, const std::vector<StreetReading>& readings, const std::string& town, NearCoresMemo& memo);

struct Candidate {
  PlacedBy placed_by = PlacedBy::None;
  Point position;
  double weight = 0;
  double extent_m = 0;   ///< half the extent of what was found, for blocks and streets
  double stretch_m = 0;  ///< of Between the distance of the two doors, of Range the length of the line
  Agreement agreement;
  std::uint32_t street = 0;
  std::uint32_t other_street = 0;  ///< of a crossing
  std::uint32_t row = 0;           ///< of points for Point, of ranges for Range and Block
  bool has_row = false;
};

/// Candidates of a line with a number, of a block, or of a street alone.
void addOnStreets(const IndexData& index, const QueryPieces& query, const std::vector<StreetMatch>& streets, std::vector<Candidate>& out);
/// Nodes that both streets of a crossing have.
void addCrossings(const IndexData& index, const std::vector<StreetMatch>& first, const std::vector<StreetMatch>& second,
                  std::vector<Candidate>& out);
/// The middle of a postcode's points.
void addPostcode(const IndexData& index, const std::string& postcode, std::vector<Candidate>& out);

/// What a line may mean: distinct places, heaviest first, each with its share exp(weight) / sum of exp(weight).
struct CandidateRanking {
  QueryPieces query;
  std::vector<Candidate> places;
  std::vector<double> shares;
};
CandidateRanking rankPlaces(const IndexData& index, const PlaceQuery& query, NearCoresMemo& memo);

}  // namespace leeward::analysis
