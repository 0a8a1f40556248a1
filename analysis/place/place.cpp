#include "analysis/place/place.h"

#include <cmath>
#include <limits>
#include <memory>
#include <mutex>
#include <unordered_map>

#include "analysis/place/candidates.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kCandidatesKept = 5;
constexpr std::size_t kBatch = 512;
constexpr double kSwappedApartM = 150;  ///< nearer, a swap does less harm; chosen on the calibration's lines
/// Factor on the score of a line whose number with two digits swapped is a door too, far along the same street. By choice: nothing in
/// the line tells a swap from the truth, and how often a crew swaps is not known beforehand. It keeps such lines below sureness.
constexpr double kNotSwapped = 0.9;
/// Factor where another type or direction was typed than the street has, or a name that only sounds like it: crews do mix them up, but a
/// street that the reference lacks looks the same. By choice, so that such lines are never sure.
constexpr double kOtherStreet = 0.88;
/// Factor where, besides, the street as typed is there and only the number is not: a number that the reference lacks is as likely.
constexpr double kNumberMissing = 0.5;

double uncertaintyOf(const IndexData& index, const Candidate& c) {
  const GradeUncertainty& u = index.uncertainty;
  switch (c.placed_by) {
    case PlacedBy::Point: return u.point_m;
    case PlacedBy::Between: return u.between.of(c.stretch_m);
    case PlacedBy::Range: return u.range.of(c.stretch_m);
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

/// Numbers with two neighbouring digits the other way round: 143 -> 413, 134. None begins with 0.
std::vector<int> swappedNumbers(int number) {
  const std::string digits = std::to_string(number);
  std::vector<int> swapped;
  for (std::size_t i = 0; i + 1 < digits.size(); ++i) {
    if (digits[i] == digits[i + 1] || (i == 0 && digits[1] == '0')) continue;
    std::string other = digits;
    std::swap(other[i], other[i + 1]);
    swapped.push_back(std::stoi(other));
  }
  return swapped;
}

/// Whether a door elsewhere on the street has the number with two digits swapped, and the typed postcode does not tell the two apart.
bool hasSwappedDoor(const IndexData& index, const QueryPieces& query, const Candidate& c) {
  if (c.placed_by != PlacedBy::Point || !query.number) return false;
  const std::vector<NumberedPoint>& points = index.streets[c.street].points;
  const auto fits = [&](const NumberedPoint& p) {
    const Point at = index.points.position[p.row];
    if (std::hypot(at.x - c.position.x, at.y - c.position.y) <= kSwappedApartM) return false;
    const bool told_apart = !query.postcode.empty() && !index.points.postcode.empty() && !index.points.postcode[p.row].empty() &&
                            !index.points.postcode[p.row].starts_with(query.postcode);
    return !told_apart;
  };
  for (const int number : swappedNumbers(query.number->number)) {
    auto at = std::lower_bound(points.begin(), points.end(), number, [](const NumberedPoint& p, int n) { return p.number < n; });
    for (; at != points.end() && at->number == number; ++at) {
      if (fits(*at)) return true;
    }
  }
  return false;
}

bool isAsTyped(const Agreement& a) {
  return (a.core == CoreAgreement::Same || a.core == CoreAgreement::WholeName) && a.type == TypeAgreement::Same && a.direction == DirectionAgreement::Same;
}

/// What the number's being on another street than the typed one takes from the score, and what is said of it.
struct OtherStreet {
  double factor = 1;
  const char* words = "";
};

OtherStreet otherStreet(const std::vector<Candidate>& places) {
  const Candidate& best = places.front();
  const Agreement& a = best.agreement;
  if (best.placed_by == PlacedBy::Crossing || best.placed_by == PlacedBy::Postcode || a.number == NumberAgreement::NotTyped || isAsTyped(a)) return {};
  const bool there = std::any_of(places.begin() + 1, places.end(), [](const Candidate& c) {
    return c.placed_by == PlacedBy::Street && c.agreement.number == NumberAgreement::NotOnStreet && isAsTyped(c.agreement);
  });
  if (there) return {kNumberMissing, "; the street as typed is there, but not the number"};
  if (a.type == TypeAgreement::Differs || a.direction == DirectionAgreement::Differs || a.core == CoreAgreement::SoundsAlike) return {kOtherStreet, ""};
  return {};
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
  const bool swapped_too = hasSwappedDoor(index, query, best);
  if (swapped_too) out.candidates.front().score *= kNotSwapped;
  const OtherStreet other = otherStreet(places);
  out.candidates.front().score *= other.factor;
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
  out.why += other.words;
  if (swapped_too) out.why += "; the number with two digits swapped is a door of this street too";
  return out;
}

/// Memos that outlive a batch: the next batch of any thread goes on with one that is free. What is found never depends on what is remembered.
class MemoPool {
 public:
  std::unique_ptr<NearCoresMemo> take() {
    const std::scoped_lock lock(mutex_);
    if (free_.empty()) return std::make_unique<NearCoresMemo>();
    auto memo = std::move(free_.back());
    free_.pop_back();
    return memo;
  }
  void giveBack(std::unique_ptr<NearCoresMemo> memo) {
    const std::scoped_lock lock(mutex_);
    free_.push_back(std::move(memo));
  }

 private:
  std::mutex mutex_;
  std::vector<std::unique_ptr<NearCoresMemo>> free_;
};

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

Placement placeAddress(const AddressIndex& index, const PlaceQuery& query) {
  NearCoresMemo memo;
  return decide(index.data(), rankPlaces(index.data(), query, memo));
}

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
  MemoPool memos;
  LEEWARD_TRY(progress.parallelFor(distinct.size(), kBatch, [&](std::size_t begin, std::size_t end) {
    auto memo = memos.take();
    for (std::size_t i = begin; i < end; ++i) once[i] = decide(index.data(), rankPlaces(index.data(), queries[distinct[i]], *memo));
    memos.giveBack(std::move(memo));
  }));
  if (distinct.size() == queries.size()) return once;
  std::vector<Placement> all(queries.size());
  for (std::size_t i = 0; i < queries.size(); ++i) all[i] = once[which[i]];
  return all;
}

}  // namespace leeward::analysis
