/// The candidates of a line, one a place, with their shares.
#include <cmath>

#include "analysis/place/candidates.h"

namespace leeward::analysis {
namespace {

constexpr double kSamePlaceM = 30;    ///< candidates that near are one place: neighbours in a row, or two spellings of one door

bool isSamePlace(Point a, Point b) {
  const double x = a.x - b.x;
  const double y = a.y - b.y;
  return x * x + y * y <= kSamePlaceM * kSamePlaceM;
}

bool byWeight(const Candidate& a, const Candidate& b) {
  if (a.weight != b.weight) return a.weight > b.weight;
  if (a.street != b.street) return a.street < b.street;
  return a.row < b.row;
}

/// Nothing better can come of reading the line in other ways.
bool isPlain(const std::vector<Candidate>& candidates) {
  if (candidates.empty()) return false;
  const Agreement& a = std::min_element(candidates.begin(), candidates.end(), byWeight)->agreement;
  return a.core == CoreAgreement::Same && a.type == TypeAgreement::Same && a.direction == DirectionAgreement::Same &&
         (a.number == NumberAgreement::Same || a.number == NumberAgreement::SuffixAdded);
}

std::vector<Candidate> findCandidates(const IndexData& index, LineCut& cut, NearCoresMemo& memo) {
  const QueryPieces& query = cut.pieces();
  std::vector<Candidate> found;
  if (query.kind == AddressKind::Box) return found;
  if (query.kind == AddressKind::Crossing) {
    cut.addFurther();
    const auto first = matchStreets(index, query.plain, query.place, memo);
    const auto second = matchStreets(index, query.second, query.place, memo);
    addCrossings(index, first, second, found);
    if (!found.empty()) return found;
    addOnStreets(index, query, first, found);
    addOnStreets(index, query, second, found);
    return found;
  }
  addOnStreets(index, query, matchStreets(index, query.plain, query.place, memo), found);
  if (!isPlain(found)) {
    cut.addFurther();
    std::vector<StreetReading> all = query.plain;
    all.insert(all.end(), query.further.begin(), query.further.end());
    found.clear();
    addOnStreets(index, query, matchStreets(index, all, query.place, memo), found);
  }
  return found;
}

/// The same street, once with its town (from points) and once without (from ranges that name no town).
bool isSameStreet(const IndexData& index, const Candidate& a, const Candidate& b) {
  const auto on_street = [](PlacedBy by) { return by != PlacedBy::Crossing && by != PlacedBy::Postcode; };
  if (!on_street(a.placed_by) || !on_street(b.placed_by) || a.street == b.street) return false;
  const Street& s = index.streets[a.street];
  const Street& t = index.streets[b.street];
  return (s.place == 0) != (t.place == 0) && s.parts == t.parts;
}

/// Candidates at one place count once: the heaviest stands for them. Heaviest first.
std::vector<Candidate> distinctPlaces(const IndexData& index, std::vector<Candidate> candidates) {
  std::sort(candidates.begin(), candidates.end(), byWeight);
  std::vector<Candidate> kept;
  for (Candidate& c : candidates) {
    if (!kept.empty() && c.weight < kept.front().weight - kWeightWindow) break;
    const bool known = std::any_of(kept.begin(), kept.end(), [&](const Candidate& k) { return isSamePlace(k.position, c.position) || isSameStreet(index, k, c); });
    if (!known) kept.push_back(std::move(c));
  }
  return kept;
}

/// A door of just that number on a street of just that name, in the town that was typed if one was: the learned weights could only cut
/// the line into the same. Nothing of the street may be left over.
bool isClear(const QueryPieces& query, const std::vector<Candidate>& candidates) {
  if (query.kind != AddressKind::Street || candidates.empty()) return false;
  const Agreement& a = std::min_element(candidates.begin(), candidates.end(), byWeight)->agreement;
  return a.core == CoreAgreement::Same && a.type != TypeAgreement::Differs && a.direction != DirectionAgreement::Differs && a.number == NumberAgreement::Same && a.left_over == 0 &&
         a.town != TownAgreement::Differs && a.postcode != PostcodeAgreement::Differs && a.unit != UnitAgreement::Differs;
}

}  // namespace

CandidateRanking rankPlaces(const IndexData& index, const PlaceQuery& query, NearCoresMemo& memo) {
  CandidateRanking ranking;
  LineCut cut(index, query, CutBy::Rules);
  const QueryPieces ruled = cut.pieces();
  std::vector<Candidate> found = findCandidates(index, cut, memo);
  if (!isClear(ruled, found)) {
    LineCut parsed(index, query, CutBy::Parser);
    // Most lines that are not clear have a slip in a name, and the learned weights cut them no otherwise.
    if (parsed.pieces() != ruled) {
      found = findCandidates(index, parsed, memo);
      cut = std::move(parsed);
    }
  }
  ranking.query = cut.take();
  if (found.empty() && ranking.query.kind != AddressKind::Box) addPostcode(index, ranking.query.postcode, found);
  ranking.places = distinctPlaces(index, std::move(found));
  double total = 0;
  for (const Candidate& c : ranking.places) total += std::exp(c.weight - ranking.places.front().weight);
  for (const Candidate& c : ranking.places) ranking.shares.push_back(std::exp(c.weight - ranking.places.front().weight) / total);
  return ranking;
}

}  // namespace leeward::analysis
