#include "analysis/place/candidates.h"

#include <cmath>
#include <limits>

namespace leeward::analysis {
namespace {

constexpr std::size_t kStreets = 40;
constexpr std::size_t kCoresARead = 24;
constexpr std::size_t kCrossingStreets = 12;

CoreAgreement agreementOf(const CoreMatch& match, KeyKind kind) {
  if (match.shortened) return CoreAgreement::Part;
  if (match.by_ear) return CoreAgreement::SoundsAlike;
  if (kind == KeyKind::Part) return match.slips == 0 ? CoreAgreement::Part : CoreAgreement::TwoSlips;
  if (match.slips == 0) return kind == KeyKind::Name ? CoreAgreement::Same : CoreAgreement::WholeName;
  return match.slips == 1 ? CoreAgreement::OneSlip : CoreAgreement::TwoSlips;
}

/// `slips` of the typed town by the reference's towns; the first of those is "", not known.
TownAgreement compareTowns(const std::string& typed, const std::vector<std::uint8_t>& slips, std::uint32_t place) {
  if (typed.empty() || place == 0) return TownAgreement::Unknown;
  if (slips[place] == 0) return TownAgreement::Same;
  if (slips[place] == NearCoresMemo::kNeighbourTown) return TownAgreement::Neighbour;
  return slips[place] <= (typed.size() < 5 ? 1 : 2) ? TownAgreement::Near : TownAgreement::Differs;
}

void sharedNodes(const Street& a, const Street& b, std::vector<std::uint32_t>& shared) {
  shared.clear();
  std::set_intersection(a.nodes.begin(), a.nodes.end(), b.nodes.begin(), b.nodes.end(), std::back_inserter(shared));
  if (!shared.empty()) return;
  std::set_intersection(a.named_nodes.begin(), a.named_nodes.end(), b.named_nodes.begin(), b.named_nodes.end(), std::back_inserter(shared));
}

/// Candidates on one street for one line.
class OnStreet {
 public:
  OnStreet(const IndexData& index, const QueryPieces& query, const StreetMatch& match, std::vector<Candidate>& out)
      : index_(index), query_(query), match_(match), street_(index.streets[match.street]), out_(out) {}

  void run() {
    if (!query_.number) {
      whole(NumberAgreement::NotTyped);
    } else if (query_.kind == AddressKind::Block) {
      block();
    } else if (!points() && !between() && !range()) {
      whole(NumberAgreement::NotOnStreet);
    }
  }

 private:
  Candidate start(PlacedBy placed_by, NumberAgreement number, Point at) const {
    Candidate c;
    c.placed_by = placed_by;
    c.position = at;
    c.agreement = match_.agreement;
    c.agreement.number = number;
    c.street = match_.street;
    return c;
  }

  void finish(Candidate c, std::string_view postcode) {
    if (!query_.postcode.empty() && !postcode.empty()) {
      c.agreement.postcode = postcode.compare(0, 5, query_.postcode) == 0 ? PostcodeAgreement::Same : PostcodeAgreement::Differs;
    }
    c.weight = weightOf(c.agreement);
    out_.push_back(std::move(c));
  }

  std::string_view pointPostcode(std::uint32_t row) const { return index_.points.postcode.empty() ? std::string_view{} : index_.points.postcode[row]; }
  std::string_view rangePostcode(std::uint32_t row) const { return index_.ranges.l_postcode.empty() ? std::string_view{} : index_.ranges.l_postcode[row]; }

  NumberAgreement compareNumber(const NumberedPoint& p) const {
    const HouseNumber& typed = *query_.number;
    const std::string& suffix = index_.point_suffix[p.row];
    const std::string mine = typed.prefix.empty() ? typed.suffix : typed.prefix + "|" + typed.suffix;
    if (p.number == typed.number && p.last == typed.last && suffix == mine) return NumberAgreement::Same;
    if (p.last != p.number || typed.last != typed.number) return NumberAgreement::InWritten;
    if (mine.empty()) return NumberAgreement::SuffixLost;
    return suffix.empty() ? NumberAgreement::SuffixAdded : NumberAgreement::OtherParity;
  }

  void addPoint(const NumberedPoint& p, NumberAgreement number) {
    Candidate c = start(PlacedBy::Point, number, index_.points.position[p.row]);
    c.row = p.row;
    c.has_row = true;
    const std::string unit = index_.points.unit.empty() ? "" : comparableUnit(index_.points.unit[p.row]);
    if (!query_.unit.empty() && !unit.empty()) c.agreement.unit = unit == query_.unit ? UnitAgreement::Same : UnitAgreement::Differs;
    // "12 apt B" for a premises that the reference numbers 12B.
    if (number == NumberAgreement::SuffixLost && !query_.unit.empty() && index_.point_suffix[p.row] == query_.unit) {
      c.agreement.number = NumberAgreement::Same;
    }
    finish(std::move(c), pointPostcode(p.row));
  }

  /// Points of the typed number, or whose written range holds it.
  bool points() {
    const int n = query_.number->number;
    const std::size_t before = out_.size();
    auto at = std::lower_bound(street_.points.begin(), street_.points.end(), n, [](const NumberedPoint& p, int v) { return p.number < v; });
    for (auto p = at; p != street_.points.end() && p->number == n; ++p) addPoint(*p, compareNumber(*p));
    if (out_.size() > before) return true;
    for (auto p = at; p != street_.points.begin();) {
      --p;
      if (n - p->number > 60) break;
      if (p->last >= n && (n - p->number) % 2 == 0) addPoint(*p, NumberAgreement::InWritten);
    }
    return out_.size() > before;
  }

  bool between() {
    const auto placed = placeBetween(index_, street_, query_.number->number, kNoRow);
    if (!placed) return false;
    Candidate c = start(PlacedBy::Between, NumberAgreement::Between, placed->position);
    c.stretch_m = placed->stretch_m;
    finish(std::move(c), pointPostcode(placed->below));
    return true;
  }

  bool range() {
    const auto placed = placeOnRange(index_, street_, *query_.number);
    if (!placed) return false;
    Candidate c = start(PlacedBy::Range, placed->parity_agrees ? NumberAgreement::OnRange : NumberAgreement::OtherParity, placed->position);
    c.row = placed->row;
    c.has_row = true;
    c.stretch_m = placed->stretch_m;
    finish(std::move(c), rangePostcode(placed->row));
    return true;
  }

  /// The hundred of a block: the middle of its known points, else the middle of the ranges that reach into it.
  void block() {
    const int low = query_.number->number / 100 * 100;
    Bbox box;
    std::vector<Point> found;
    for (const NumberedPoint& p : street_.points) {
      if (p.number >= low && p.number < low + 100) found.push_back(index_.points.position[p.row]);
    }
    Candidate c = start(PlacedBy::Block, NumberAgreement::Same, {});
    for (const StreetSide& side : street_.sides) {
      const auto [first, last] = std::minmax(side.range.from, side.range.to);
      if (last < low || first >= low + 100) continue;
      if (!c.has_row) c.row = side.row;
      c.has_row = true;
      if (street_.points.empty()) {
        const auto line = index_.ranges.lines.path(side.row, 0);
        found.push_back(placeAlong(line, 0.0, side.left, 0));
        found.push_back(placeAlong(line, 1.0, side.left, 0));
      }
    }
    if (found.empty()) {
      whole(NumberAgreement::NotOnStreet);
      return;
    }
    Point sum;
    for (const Point p : found) {
      box.add(p);
      sum.x += p.x;
      sum.y += p.y;
    }
    const double n = static_cast<double>(found.size());
    c.position = {sum.x / n, sum.y / n};
    c.extent_m = std::hypot(box.width(), box.height()) / 2;
    finish(std::move(c), "");
  }

  void whole(NumberAgreement number) {
    if (street_.box.isEmpty()) return;
    // A place on the street itself, not the middle of its box: the middle point or the middle of the middle line.
    Point at = street_.box.center();
    if (!street_.points.empty()) at = index_.points.position[street_.points[street_.points.size() / 2].row];
    else if (!street_.lines.empty()) at = placeAlong(index_.ranges.lines.path(street_.lines[street_.lines.size() / 2], 0), 0.5, true, 0);
    Candidate c = start(PlacedBy::Street, number, at);
    c.extent_m = std::hypot(street_.box.width(), street_.box.height());
    finish(std::move(c), "");
  }

  const IndexData& index_;
  const QueryPieces& query_;
  const StreetMatch& match_;
  const Street& street_;
  std::vector<Candidate>& out_;
};

}  // namespace

std::vector<StreetMatch> matchStreets(const IndexData& index, const std::vector<StreetReading>& readings, const std::string& town, NearCoresMemo& memo) {
  std::vector<StreetMatch> matches;
  for (const StreetReading& reading : readings) {
    const std::string& typed_town = reading.place.empty() ? town : reading.place;
    const std::vector<std::uint8_t>& slips = memo.townSlips(index, typed_town);
    const std::vector<std::uint8_t>& types = memo.typeAgreements(index, reading.parts.type);
    const std::vector<std::uint8_t>& directions = memo.directionAgreements(index, reading.parts);
    for (const CoreMatch& core : memo.of(index, reading.parts.core, kCoresARead)) {
      // A slip in a name that swallowed its type would turn "Norfolk St" into "Norfolk Ct" as if no type had been typed.
      if (reading.parts.type_in_core && core.slips > 0) continue;
      for (std::uint32_t k = index.core_starts[core.core]; k < index.core_starts[core.core + 1]; ++k) {
        const StreetKey& key = index.keys[k];
        StreetMatch match;
        match.street = key.street;
        match.agreement.core = agreementOf(core, key.kind);
        match.agreement.letters = reading.parts.core.size();
        match.agreement.type = static_cast<TypeAgreement>(types[key.type]);
        const bool direction_in_name = match.agreement.core == CoreAgreement::WholeName;
        match.agreement.direction = direction_in_name ? DirectionAgreement::Same : static_cast<DirectionAgreement>(directions[key.direction]);
        match.agreement.left_over = reading.left_over;
        match.agreement.town = compareTowns(typed_town, slips, key.place);
        match.weight = weightOf(match.agreement);
        matches.push_back(match);
      }
    }
  }
  std::sort(matches.begin(), matches.end(), [](const StreetMatch& a, const StreetMatch& b) {
    return a.street != b.street ? a.street < b.street : a.weight > b.weight;
  });
  matches.erase(std::unique(matches.begin(), matches.end(), [](const auto& a, const auto& b) { return a.street == b.street; }), matches.end());
  std::sort(matches.begin(), matches.end(), [](const StreetMatch& a, const StreetMatch& b) {
    return a.weight != b.weight ? a.weight > b.weight : a.street < b.street;
  });
  if (matches.size() > kStreets) matches.resize(kStreets);
  return matches;
}

void addOnStreets(const IndexData& index, const QueryPieces& query, const std::vector<StreetMatch>& streets, std::vector<Candidate>& out) {
  // Number, postcode and unit can lift a street by so much; one that stays out of the window all the same is not looked at.
  const double most = kMostOfANumber + (query.postcode.empty() ? 0 : kMostOfAPostcode) + (query.unit.empty() ? 0 : kMostOfAUnit);
  double best = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < streets.size(); ++i) {
    const StreetMatch& match = streets[i];
    // Streets lie anywhere in memory: what the next ones need is asked for while this one is worked on.
    if (i + 4 < streets.size()) __builtin_prefetch(&index.streets[streets[i + 4].street].points);
    if (i + 2 < streets.size()) {
      const std::vector<NumberedPoint>& points = index.streets[streets[i + 2].street].points;
      __builtin_prefetch(points.data() + points.size() / 2);
    }
    if (match.weight + most < best - kWeightWindow) break;  // lighter ones follow
    const std::size_t before = out.size();
    OnStreet(index, query, match, out).run();
    for (std::size_t k = before; k < out.size(); ++k) best = std::max(best, out[k].weight);
  }
}

void addCrossings(const IndexData& index, const std::vector<StreetMatch>& first, const std::vector<StreetMatch>& second,
                  std::vector<Candidate>& out) {
  std::vector<std::uint32_t> shared;
  for (std::size_t a = 0; a < std::min(first.size(), kCrossingStreets); ++a) {
    for (std::size_t b = 0; b < std::min(second.size(), kCrossingStreets); ++b) {
      if (first[a].street == second[b].street) continue;
      sharedNodes(index.streets[first[a].street], index.streets[second[b].street], shared);
      for (const std::uint32_t node : shared) {
        Candidate c;
        c.placed_by = PlacedBy::Crossing;
        c.position = index.nodes[node];
        c.agreement = first[a].weight <= second[b].weight ? first[a].agreement : second[b].agreement;
        c.street = first[a].street;
        c.other_street = second[b].street;
        c.weight = first[a].weight + second[b].weight;
        out.push_back(std::move(c));
      }
    }
  }
}

void addPostcode(const IndexData& index, const std::string& postcode, std::vector<Candidate>& out) {
  const auto found = index.by_postcode.find(postcode);
  if (found == index.by_postcode.end()) return;
  Candidate c;
  c.placed_by = PlacedBy::Postcode;
  Bbox box;
  for (const std::uint32_t row : found->second) {
    const Point p = index.points.position[row];
    box.add(p);
    c.position.x += p.x / static_cast<double>(found->second.size());
    c.position.y += p.y / static_cast<double>(found->second.size());
  }
  c.extent_m = std::hypot(box.width(), box.height()) / 2;
  out.push_back(std::move(c));
}

}  // namespace leeward::analysis
