#include "analysis/place/place.h"

#include <cmath>
#include <limits>
#include <unordered_map>

#include "analysis/place/candidates.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kCandidatesKept = 5;
constexpr std::size_t kBatch = 256;

double uncertaintyOf(const IndexData& index, const Candidate& c) {
  const GradeUncertainty& u = index.uncertainty;
  switch (c.placed_by) {
    case PlacedBy::Point: return u.point_m;
    case PlacedBy::Between: return u.between_m;
    case PlacedBy::Range: return u.range_m;
    case PlacedBy::Crossing: return u.crossing_m;
    case PlacedBy::Block:
    case PlacedBy::Street:
    case PlacedBy::Postcode: return std::max(c.extent_m, u.range_m);
    case PlacedBy::None: break;
  }
  return std::numeric_limits<double>::quiet_NaN();
}

std::string addressOf(const IndexData& index, const QueryPieces& query, const Candidate& c) {
  const std::string& street = index.streets[c.street].name;
  switch (c.placed_by) {
    case PlacedBy::Point: {
      const AddressPoints& p = index.points;
      std::string text = p.number[c.row] + ' ' + p.street[c.row];
      if (!p.unit.empty() && !p.unit[c.row].empty()) text += ' ' + p.unit[c.row];
      return text;
    }
    case PlacedBy::Between:
    case PlacedBy::Range: return query.number->prefix + std::to_string(query.number->number) + ' ' + street;
    case PlacedBy::Block: return std::to_string(query.number->number / 100 * 100) + " block of " + street;
    case PlacedBy::Crossing: return street + " & " + index.streets[c.other_street].name;
    case PlacedBy::Street: return street;
    case PlacedBy::Postcode: return query.postcode;
    case PlacedBy::None: break;
  }
  return "";
}

std::string idOf(const IndexData& index, const Candidate& c) {
  if (!c.has_row) return "";
  return c.placed_by == PlacedBy::Point ? index.points.id[c.row] : index.ranges.id[c.row];
}

std::string sentence(const Placement& placement, const QueryPieces& query, const Candidate* best) {
  if (best == nullptr) {
    if (query.kind == AddressKind::Box) return "a postal box is no place to visit";
    if (query.plain.empty() && query.further.empty()) return "no street could be read";
    return "no street of that name in the reference";
  }
  if (best->placed_by == PlacedBy::Postcode) return "only the postcode is known";
  std::string why = inWords(best->agreement);
  if (placement.decision == PlaceDecision::Undecided && placement.runner_up_score > placement.score / 3) why += "; another place fits as well";
  return why;
}

Placement decide(const IndexData& index, const CandidateRanking& ranking) {
  const QueryPieces& query = ranking.query;
  const std::vector<Candidate>& places = ranking.places;
  Placement out;
  out.position = {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::quiet_NaN()};
  out.uncertainty_m = std::numeric_limits<double>::quiet_NaN();
  if (places.empty()) {
    out.why = sentence(out, query, nullptr);
    return out;
  }
  for (std::size_t i = 0; i < std::min(places.size(), kCandidatesKept); ++i) {
    const Candidate& c = places[i];
    out.candidates.push_back({c.placed_by, c.position, chanceOf(c.placed_by, c.weight, ranking.shares[i]), uncertaintyOf(index, c),
                              addressOf(index, query, c), idOf(index, c)});
  }
  const Candidate& best = places.front();
  const PlaceCandidate& shown = out.candidates.front();
  out.placed_by = shown.placed_by;
  out.position = shown.position;
  out.score = shown.score;
  out.uncertainty_m = shown.uncertainty_m;
  out.matched_address = shown.address;
  out.matched_id = shown.id;
  if (out.candidates.size() > 1) out.runner_up_score = out.candidates[1].score;
  const bool coarse = best.placed_by == PlacedBy::Postcode || (best.placed_by == PlacedBy::Street && (query.number.has_value() || query.kind == AddressKind::Crossing));
  const bool tie = places.size() > 1 && places[1].weight > best.weight - 0.7;
  out.decision = out.score >= kPlacedScore && !coarse && !tie ? PlaceDecision::Placed : PlaceDecision::Undecided;
  out.why = sentence(out, query, &best);
  return out;
}

struct QueryHash {
  std::size_t operator()(const PlaceQuery& q) const {
    const std::hash<std::string> hash;
    return hash(q.text) * 31 + hash(q.place) * 17 + hash(q.postcode);
  }
};

}  // namespace

const char* name(PlaceDecision decision) {
  switch (decision) {
    case PlaceDecision::Placed: return "placed";
    case PlaceDecision::Undecided: return "undecided";
    case PlaceDecision::None: break;
  }
  return "none";
}

const char* name(PlacedBy placed_by) {
  switch (placed_by) {
    case PlacedBy::Point: return "point";
    case PlacedBy::Between: return "between";
    case PlacedBy::Range: return "range";
    case PlacedBy::Crossing: return "crossing";
    case PlacedBy::Block: return "block";
    case PlacedBy::Street: return "street";
    case PlacedBy::Postcode: return "postcode";
    case PlacedBy::None: break;
  }
  return "none";
}

Placement placeAddress(const AddressIndex& index, const PlaceQuery& query) { return decide(index.data(), rankPlaces(index.data(), query)); }

Result<std::vector<Placement>> placeAddresses(const AddressIndex& index, const std::vector<PlaceQuery>& queries, Progress& progress) {
  std::unordered_map<PlaceQuery, std::size_t, QueryHash> first;
  std::vector<std::size_t> distinct;
  std::vector<std::size_t> which(queries.size());
  for (std::size_t i = 0; i < queries.size(); ++i) {
    const auto [at, is_new] = first.try_emplace(queries[i], distinct.size());
    if (is_new) distinct.push_back(i);
    which[i] = at->second;
  }
  std::vector<Placement> once(distinct.size());
  LEEWARD_TRY(progress.parallelFor(distinct.size(), kBatch, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) once[i] = placeAddress(index, queries[distinct[i]]);
  }));
  std::vector<Placement> all(queries.size());
  for (std::size_t i = 0; i < queries.size(); ++i) all[i] = once[which[i]];
  return all;
}

}  // namespace leeward::analysis
