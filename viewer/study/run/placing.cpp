#include "viewer/study/run/placing.h"

#include <chrono>
#include <cmath>
#include <limits>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/place/place.h"
#include "shared/base/hash.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/decisions.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

using analysis::PlaceDecision;
using analysis::PlacedBy;

/// What one row of looks or sightings says of its place.
struct Said {
  std::string key;  ///< "" = nothing
  bool by_phone = false;
  double sigma_m = kCrewSigmaM;  ///< of a phone's position
  analysis::PlaceQuery query;
  Point lon_lat;
};

std::vector<Said> saidIn(const Table& rows) {
  const auto addresses = textsOf(rows, "address");
  const auto places = textsOf(rows, "place");
  const auto postcodes = textsOf(rows, "postcode");
  const auto sources = textsOf(rows, "source");  // of sightings; looks are the crew's own
  std::vector<Said> said(rows.rows());
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    if (!trim(addresses[row]).empty()) {
      said[row].query = {std::string(trim(addresses[row])), std::string(trim(places[row])), std::string(trim(postcodes[row]))};
      said[row].key = said[row].query.text + " | " + said[row].query.place + " | " + said[row].query.postcode;
    } else if (const auto position = pointAt(rows, row)) {
      said[row].by_phone = true;
      said[row].lon_lat = *position;
      if (!sources.empty()) said[row].sigma_m = sources[row] == "caller" ? kCallerSigmaM : sources[row] == "post" ? kPostSigmaM : kCrewSigmaM;
      said[row].key = fmt::format("@ {:.6f}, {:.6f}, {:.0f} m", position->x, position->y, said[row].sigma_m);
    }
  }
  return said;
}

/// One distinct thing said, and what became of it.
struct Placed {
  Said said;
  std::string decision = "none", placed_by = "none", matched_address, matched_id, why;
  double score = 0, uncertainty_m = std::numeric_limits<double>::quiet_NaN(), runner_up = 0;
  Point position{std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::quiet_NaN()};  ///< in the frame
  std::vector<analysis::PlaceCandidate> candidates;  ///< where a person may want to choose
  std::string id, premises_id;
  bool isPremises() const {
    return decision == "placed" && !matched_address.empty() &&
           (placed_by == "point" || placed_by == "between" || placed_by == "range" || placed_by == "hand" || (placed_by == "phone" && !matched_id.empty()));
  }
  /// Whether matched_id is the premises layer's.
  bool isPublic() const { return !matched_id.empty() && (placed_by == "point" || placed_by == "phone" || placed_by == "hand"); }
};

void fromPlacement(Placed& placed, const analysis::Placement& placement) {
  placed.candidates = placement.candidates;
  placed.decision = name(placement.decision);
  placed.placed_by = name(placement.placed_by);
  placed.matched_address = placement.matched_address;
  placed.matched_id = placement.matched_id;
  placed.why = placement.why;
  placed.score = placement.score;
  placed.uncertainty_m = placement.uncertainty_m;
  placed.runner_up = placement.runner_up_score;
  placed.position = placement.position;
}

/// Looks up the nearest address points for positions that came without an address.
class PhonePlacer {
 public:
  PhonePlacer(const analysis::AddressPoints& points, const Geometries& geometry) : points_(points), index_(geometry) {}

  void place(Placed& placed, Point at) const {
    placed.decision = "placed";
    placed.placed_by = "phone";
    placed.position = at;
    const double sigma = placed.said.sigma_m;
    placed.uncertainty_m = 2.45 * sigma;  // radius that holds 95 % of a circular normal
    placed.why = "by the phone's position; no address was typed";
    Bbox reach;
    reach.add(at);
    double all = 0, best = 0;
    std::size_t found = points_.size();
    for (const std::size_t row : index_.meeting(reach.grownBy(3 * sigma))) {
      const double away = std::hypot(points_.position[row].x - at.x, points_.position[row].y - at.y) / sigma;
      const double weight = std::exp(-away * away / 2);
      all += weight;
      if (weight > best) best = weight, found = row;
    }
    if (found == points_.size() || best < kSurePosition * all) return;
    placed.matched_id = points_.id[found];
    placed.matched_address = points_.number[found] + " " + points_.street[found];
    placed.position = points_.position[found];
    placed.score = best / all;
    placed.why = "the address point nearest to the phone's position, with no other about as near";
  }

 private:
  const analysis::AddressPoints& points_;
  BoxIndex index_;
};

/// Puts a person's word in the place of what was computed.
class DecisionPlacer {
 public:
  DecisionPlacer(const PhonePlacer& phone, const Transform& to_frame) : phone_(phone), to_frame_(to_frame) {}

  void apply(Placed& placed, const Decided& decided) const {
    if (decided.kind == "accept") return accept(placed, decided);
    if (decided.kind == "move") return setBy(placed, to_frame_(decided.position), joined(placed.said.query), "set by hand on " + decided.day);
    Placed refused;
    refused.said = placed.said;
    refused.candidates = std::move(placed.candidates);
    refused.why = "refused by hand on " + decided.day;
    placed = std::move(refused);
  }

 private:
  /// The candidate of that address nearest to where it lay; where the reference has it no more, the position alone.
  void accept(Placed& placed, const Decided& decided) const {
    const Point at = to_frame_(decided.position);
    const auto away = [&](const analysis::PlaceCandidate& c) { return std::hypot(c.position.x - at.x, c.position.y - at.y); };
    const analysis::PlaceCandidate* chosen = nullptr;
    for (const auto& candidate : placed.candidates) {
      if (candidate.address == decided.meant && (chosen == nullptr || away(candidate) < away(*chosen))) chosen = &candidate;
    }
    if (chosen == nullptr) return setBy(placed, at, decided.meant, "accepted by hand on " + decided.day);
    placed.decision = "placed";
    placed.placed_by = name(chosen->placed_by);
    placed.matched_address = chosen->address;
    placed.matched_id = chosen->id;
    placed.position = chosen->position;
    placed.uncertainty_m = chosen->uncertainty_m;
    placed.score = 1;
    placed.why = "accepted by hand on " + decided.day;
  }

  /// At the address point there, else at the bare position.
  void setBy(Placed& placed, Point at, const std::string& address, std::string why) const {
    Placed there;
    there.said = placed.said;
    there.said.sigma_m = kHandSigmaM;
    phone_.place(there, at);
    there.said = placed.said;
    if (there.matched_id.empty()) there.matched_address = address;
    there.placed_by = "hand";
    there.score = 1;
    there.why = std::move(why);
    there.candidates = std::move(placed.candidates);
    placed = std::move(there);
  }

  static std::string joined(const analysis::PlaceQuery& query) {
    std::string text = query.text;
    for (const auto& more : {query.place, query.postcode}) text += more.empty() ? "" : ", " + more;
    return text;
  }

  const PhonePlacer& phone_;
  const Transform& to_frame_;
};

/// Of the layer that a placement rests on.
double addedUncertaintyM(const RunContext& context, const std::string& placed_by) {
  const auto found = context.added_uncertainty_m.find(placed_by == "point" || placed_by == "between" ? "premises" : "streets");
  return found == context.added_uncertainty_m.end() ? 0 : found->second;
}

Result<void> placeAll(RunContext& context, const Decisions& decisions, std::vector<Placed>& all, Progress& progress) {
  const Layer* premises = context.layer("premises");
  const Layer* streets = context.layer("streets");
  const Layer nothing;
  const auto points = addressPoints(premises != nullptr ? *premises : nothing);
  if (premises != nullptr || streets != nullptr) {
    auto building = progress.part(0, 0.4);
    LEEWARD_ASSIGN(index, analysis::AddressIndex::build(points, streetRanges(streets != nullptr ? *streets : nothing), building));
    std::vector<analysis::PlaceQuery> queries;
    std::vector<std::size_t> which;
    for (std::size_t i = 0; i < all.size(); ++i) {
      if (all[i].said.by_phone) continue;
      queries.push_back(all[i].said.query);
      queries.back().text = asTaught(queries.back().text, decisions.taught);
      which.push_back(i);
    }
    auto placing = progress.part(0.4, 1);
    LEEWARD_ASSIGN(placements, analysis::placeAddresses(index, queries, placing));
    for (std::size_t i = 0; i < which.size(); ++i) {
      Placed& placed = all[which[i]];
      fromPlacement(placed, placements[i]);
      if (queries[i].text != placed.said.query.text) placed.why += "; read as taught: " + queries[i].text;
    }
  } else {
    context.remarks.emplace_back("No address points and no streets are named in the study, so typed addresses could not be placed.");
  }
  LEEWARD_ASSIGN(to_frame, Transform::between(context.positions(), context.frame));
  const PhonePlacer phone(points, premises != nullptr ? premises->geometry : nothing.geometry);
  const DecisionPlacer by_hand(phone, to_frame);
  for (auto& one : all) {
    const auto decided = decisions.by_typed.find(one.said.key);
    if (decided != decisions.by_typed.end() && !one.said.by_phone) by_hand.apply(one, decided->second);
  }
  for (auto& one : all) one.uncertainty_m += addedUncertaintyM(context, one.placed_by);
  for (auto& one : all) {
    if (one.said.by_phone) phone.place(one, to_frame(one.said.lon_lat));
  }
  return {};
}

/// Gives ids: those that the ledger has for the same typed key or premises, else new ones. Returns the premises to write.
Result<Table> premisesTable(RunContext& context, std::vector<Placed>& all, const Table& looks, const std::vector<Said>& looks_said) {
  LEEWARD_ASSIGN(known, context.ledger.read(Entity::Premises));
  std::unordered_map<std::string, std::string> id_of;  // "#public id" or "address | place | postcode" -> ledger id
  const auto keyFor = [](const std::string& public_id, const std::string& address) { return public_id.empty() ? address : "#" + public_id; };
  const auto known_ids = textsOf(known, "id"), known_public = textsOf(known, "public_id"), known_address = textsOf(known, "address");
  for (std::size_t row = 0; row < known.rows(); ++row) id_of.emplace(keyFor(known_public[row], known_address[row]), known_ids[row]);

  LEEWARD_ASSIGN(to_lon_lat, Transform::between(context.frame, context.positions()));
  std::vector<std::string> id, public_id, address;
  std::vector<double> lon, lat, uncertainty;
  std::unordered_map<std::string, std::size_t> row_of;  // ledger id -> row here
  std::unordered_map<std::string, std::string> premises_of_key;
  for (auto& placed : all) {
    if (!placed.isPremises()) continue;
    const std::string key = keyFor(placed.isPublic() ? placed.matched_id : "", placed.matched_address);
    placed.premises_id = id_of.try_emplace(key, newUuid()).first->second;
    premises_of_key[placed.said.key] = placed.premises_id;
    if (!row_of.try_emplace(placed.premises_id, id.size()).second) continue;
    const Point at = to_lon_lat(placed.position);
    id.push_back(placed.premises_id);
    public_id.push_back(placed.isPublic() ? placed.matched_id : "");
    address.push_back(placed.matched_address);
    lon.push_back(at.x);
    lat.push_back(at.y);
    uncertainty.push_back(placed.uncertainty_m);
  }
  // What the doors said of themselves: the first day on which somebody asked not to return, the latest hazard.
  std::vector<std::string> asked(id.size()), hazard(id.size());
  const auto results = textsOf(looks, "door_result"), hazards = textsOf(looks, "hazard"), dates = textsOf(looks, "date");
  std::vector<std::string> hazard_date(id.size());
  for (std::size_t row = 0; row < looks.rows(); ++row) {
    const auto premises = premises_of_key.find(looks_said[row].key);
    if (premises == premises_of_key.end()) continue;
    const std::size_t at = row_of.at(premises->second);
    if (results[row] == "asked_not_to_return" && (asked[at].empty() || dates[row] < asked[at])) asked[at] = dates[row];
    if (!hazards[row].empty() && dates[row] >= hazard_date[at]) hazard[at] = hazards[row], hazard_date[at] = dates[row];
  }
  return TableMaker{}
      .texts("id", id).named("public_id", public_id).texts("address", address).reals("lon", lon).reals("lat", lat)
      .reals("uncertainty_m", uncertainty).named("asked_not_to_return", asked).texts("hazard", hazard).done();
}

Result<Table> placementsTable(RunContext& context, std::vector<Placed>& all) {
  LEEWARD_ASSIGN(known, context.ledger.read(Entity::Placements));
  std::unordered_map<std::string, std::string> id_of;
  const auto known_ids = textsOf(known, "id"), known_keys = textsOf(known, "typed_key");
  for (std::size_t row = 0; row < known.rows(); ++row) id_of.emplace(known_keys[row], known_ids[row]);
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(context.frame, context.positions()));
  std::vector<std::string> id, key, decision, placed_by, premises, matched_address, matched_id, why;
  std::vector<double> score, uncertainty, runner_up, lon, lat;
  for (auto& placed : all) {
    placed.id = id_of.try_emplace(placed.said.key, newUuid()).first->second;
    const Point at = to_lon_lat(placed.position);
    id.push_back(placed.id), key.push_back(placed.said.key), decision.push_back(placed.decision), placed_by.push_back(placed.placed_by);
    premises.push_back(placed.premises_id), matched_address.push_back(placed.matched_address), matched_id.push_back(placed.matched_id);
    why.push_back(placed.why), score.push_back(placed.score), uncertainty.push_back(placed.uncertainty_m), runner_up.push_back(placed.runner_up);
    lon.push_back(at.x), lat.push_back(at.y);
  }
  return TableMaker{}
      .texts("id", id).texts("typed_key", key).texts("decision", decision).texts("placed_by", placed_by).named("premises_id", premises)
      .reals("score", score).reals("uncertainty_m", uncertainty).texts("matched_address", matched_address).texts("matched_id", matched_id)
      .reals("runner_up_score", runner_up).texts("why", why).reals("lon", lon).reals("lat", lat).done();
}

/// What a person may choose from: candidates of lines that are not placed, or were settled by hand.
Result<std::vector<KeptCandidate>> choices(const RunContext& context, const Decisions& decisions, const std::vector<Placed>& all) {
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(context.frame, context.positions()));
  std::vector<KeptCandidate> kept;
  for (const auto& placed : all) {
    if (placed.decision == "placed" && !decisions.by_typed.contains(placed.said.key)) continue;
    for (const auto& one : placed.candidates) {
      kept.push_back({placed.said.key, name(one.placed_by), one.address, one.id, to_lon_lat(one.position), one.score, one.uncertainty_m});
    }
  }
  return kept;
}

Table linksTable(const Table& rows, const std::vector<Said>& said, const std::unordered_map<std::string, const Placed*>& by_key) {
  std::vector<std::string> placement(rows.rows()), premises(rows.rows());
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    const auto found = by_key.find(said[row].key);
    if (found == by_key.end()) continue;
    placement[row] = found->second->id;
    premises[row] = found->second->premises_id;
  }
  return TableMaker{}.texts("id", textsOf(rows, "id")).named("placement_id", placement).named("premises_id", premises).done();
}

/// What the rows say and which they are: a row that left and came in again is another.
std::string rowsKey(const Table& rows) {
  Sha256 hash;
  for (const auto* column : {"id", "content_hash"}) {
    for (const auto& value : textsOf(rows, column)) hash.addField(value);
  }
  return hash.hex();
}

/// Whether every row that says where it was has its placement.
bool allLinked(const Table& rows, const std::vector<Said>& said) {
  const Column& placement = columnOf(rows, "placement_id");
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    if (!said[row].key.empty() && placement.isMissing(row)) return false;
  }
  return true;
}

constexpr const char* kPlacedAtRest = "placed_at_rest";

/// The ledger's state and the reference's keys: while they stay, there is nothing to place and no need to read the rows to find that out.
Result<std::string> restKey(const RunContext& context) {
  LEEWARD_ASSIGN(state, context.ledger.stateKey());
  return stepKey("placed", {state, context.keyOf("premises"), context.keyOf("streets"), context.frame.definition()});
}

}  // namespace

Result<void> noteAllPlaced(RunContext& context) {
  LEEWARD_ASSIGN(key, restKey(context));
  LEEWARD_ASSIGN(known, context.ledger.setting(kPlacedAtRest));
  return known == key ? Result<void>{} : context.ledger.setSetting(kPlacedAtRest, key);
}

Result<bool> isAllPlaced(const RunContext& context) {
  LEEWARD_ASSIGN(key, restKey(context));
  LEEWARD_ASSIGN(known, context.ledger.setting(kPlacedAtRest));
  if (known != key) return false;
  LEEWARD_ASSIGN(placing_key, context.ledger.setting("placing_key"));
  return placing_key && keptCandidates(context.study.cache(), *placing_key);
}

Result<void> placeRecords(RunContext& context, Progress progress) {
  constexpr const char* kTitle = "Placing addresses";
  const auto start = std::chrono::steady_clock::now();
  const auto report = [&](bool up_to_date) {
    context.steps.note({kTitle, up_to_date, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count()});
  };
  LEEWARD_ASSIGN(at_rest, isAllPlaced(context));
  if (at_rest) return report(true), Result<void>{};
  LEEWARD_ASSIGN(last_key, context.ledger.setting("placing_key"));
  LEEWARD_ASSIGN(looks, context.ledger.read(Entity::Looks));
  LEEWARD_ASSIGN(sightings, context.ledger.read(Entity::Sightings));
  LEEWARD_ASSIGN(decisions, decisionsInForce(context.ledger));
  const std::string key = stepKey("placing", {context.keyOf("premises"), context.keyOf("streets"), context.frame.definition(), rowsKey(looks), rowsKey(sightings), decisions.key});
  const auto looks_said = saidIn(looks), sightings_said = saidIn(sightings);
  if (last_key == key && keptCandidates(context.study.cache(), key) && allLinked(looks, looks_said) && allLinked(sightings, sightings_said)) return report(true), Result<void>{};

  progress.report(0, kTitle);
  std::vector<Placed> all;
  std::unordered_map<std::string, std::size_t> seen;
  for (const auto* said : {&looks_said, &sightings_said}) {
    for (const auto& one : *said) {
      if (!one.key.empty() && seen.try_emplace(one.key, all.size()).second) all.push_back({.said = one});
    }
  }
  auto placing = progress.part(0, 0.8);
  LEEWARD_TRY(placeAll(context, decisions, all, placing));
  LEEWARD_ASSIGN(premises, premisesTable(context, all, looks, looks_said));
  LEEWARD_ASSIGN(placements, placementsTable(context, all));
  std::unordered_map<std::string, const Placed*> by_key;
  for (const auto& placed : all) by_key.emplace(placed.said.key, &placed);
  auto writing = progress.part(0.8, 1);
  LEEWARD_TRY(context.ledger.put({{Entity::Premises, std::move(premises)},
                                  {Entity::Placements, std::move(placements)},
                                  {Entity::Looks, linksTable(looks, looks_said, by_key)},
                                  {Entity::Sightings, linksTable(sightings, sightings_said, by_key)}},
                                 writing));
  LEEWARD_ASSIGN(kept, choices(context, decisions, all));
  LEEWARD_TRY(keepCandidates(context.study.cache(), key, kept));
  LEEWARD_TRY(context.ledger.setSetting("placing_key", key));
  LEEWARD_TRY(context.ledger.setSetting("placing_decisions", decisions.key));
  return report(false), Result<void>{};
}

}  // namespace leeward::study
