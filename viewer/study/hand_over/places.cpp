#include "viewer/study/hand_over/places.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "analysis/disclosure/masking.h"
#include "shared/base/hash.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// Stands beside every point, since files lose their read-me.
constexpr const char* kNote = "a home that was visited, moved at random: not where the home is";

std::map<std::int32_t, Date> firstVisits(const Book& book) {
  std::map<std::int32_t, Date> first;
  const auto events = eventsOf(book, std::vector<std::int32_t>(book.looks.rows(), -1));
  for (const auto& look : events.looks) {
    if (!look.visit || look.door < 0) continue;
    auto [known, is_new] = first.try_emplace(static_cast<std::int32_t>(look.door), look.date);
    known->second = std::min(known->second, look.date);
  }
  return first;
}

/// The premises as a masked point's reader may have them: several at one place are one home to be mistaken for, not many.
struct HomeField {
  analysis::PremisesField field;
  std::vector<std::uint32_t> of_door;
};

HomeField homeField(const Book& book, const ToldAreas& areas) {
  HomeField homes;
  std::map<std::tuple<double, double, std::int32_t>, std::uint32_t> known;
  for (std::size_t door = 0; door < book.doors.size(); ++door) {
    const Point p = book.doors.position[door];
    const std::int32_t area = areas.of_door[door];
    const auto [at, is_new] = known.try_emplace({std::round(p.x * 10), std::round(p.y * 10), area}, static_cast<std::uint32_t>(homes.field.position.size()));
    homes.of_door.push_back(at->second);
    if (!is_new) continue;
    homes.field.position.push_back(p), homes.field.area.push_back(area);
  }
  for (std::size_t row = 0; row < book.look_position.size(); ++row) {
    if (book.look_door[row] < 0 && std::isfinite(book.look_position[row].x)) homes.field.others.push_back(book.look_position[row]);
  }
  for (std::size_t row = 0; row < book.sighting_position.size(); ++row) {
    if (book.sighting_door[row] < 0 && std::isfinite(book.sighting_position[row].x)) homes.field.others.push_back(book.sighting_position[row]);
  }
  return homes;
}

std::map<std::string, MaskedPlace> byTag(std::vector<MaskedPlace> places) {
  std::map<std::string, MaskedPlace> map;
  for (auto& place : places) map.emplace(place.premises_tag, std::move(place));
  return map;
}

/// Coordinates to seven decimals: what lies behind them would be no finer than a centimetre.
Point rounded(Point p, bool degrees) {
  const double unit = degrees ? 1e7 : 1e2;
  return {std::round(p.x * unit) / unit, std::round(p.y * unit) / unit};
}

class Places {
 public:
  Places(const RunContext& context, const Book& book, const ToldAreas& areas, std::string audience, std::string secret)
      : context_(context), book_(book), areas_(areas), audience_(std::move(audience)), secret_(std::move(secret)) {}

  Result<ToldPlaces> tell(Progress& progress) {
    LEEWARD_ASSIGN(own, context_.ledger.maskedPlaces(audience_));
    LEEWARD_ASSIGN(others, context_.ledger.maskedPlaces(audience_ == "public" ? "partner" : "public"));
    const auto known = byTag(std::move(own)), elsewhere = byTag(std::move(others));
    // Several homes at one place (flats of a house) are one point: two upon each other would tell that it is such a house.
    const HomeField homes = homeField(book_, areas_);
    std::map<std::uint32_t, std::vector<std::pair<std::int32_t, Date>>> at_place;
    for (const auto& visited : firstVisits(book_)) at_place[homes.of_door[static_cast<std::size_t>(visited.first)]].push_back(visited);
    std::vector<std::pair<std::int32_t, Date>> fresh;
    for (const auto& [home, visited] : at_place) {
      Date first = visited.front().second;
      for (const auto& [door, day] : visited) first = std::min(first, day);
      if (periodOf(first, Every::Year).last() > context_.as_of) {
        ++told_.waiting;
        continue;
      }
      const auto among = [&](const std::map<std::string, MaskedPlace>& places) {
        const auto found = std::ranges::find_if(visited, [&](const auto& one) { return places.contains(tagOf(one.first)); });
        return found == visited.end() ? nullptr : &places.at(tagOf(found->first));
      };
      const std::int32_t door = visited.front().first;
      const MaskedPlace *have = among(known), *other = among(elsewhere);
      if (have != nullptr) {
        take(*have, door);
      } else if (other != nullptr && other->lon_lat) {
        MaskedPlace place = *other;
        if (audience_ == "public") place = {other->premises_tag, std::nullopt, 0, 0, sinceOf(first), "a partner has another place of it, and two tell more than one"};
        told_.news.push_back(place);
        take(place, door);
      } else {
        fresh.emplace_back(door, first);
      }
    }
    LEEWARD_TRY(draw(homes, fresh, progress));
    finish();
    return std::move(told_);
  }

 private:
  std::string tagOf(std::int32_t door) const { return premisesTag(secret_, book_.doors.id[static_cast<std::size_t>(door)]); }
  static std::string sinceOf(Date first) { return periodOf(first, Every::Year).name(); }

  void take(const MaskedPlace& place, std::int32_t door) {
    if (place.lon_lat) shown_.push_back(place);
    else told_.withheld.push_back(fmt::format("{}: {}", book_.doors.address[static_cast<std::size_t>(door)], place.why_not));
  }

  Result<void> draw(const HomeField& homes, const std::vector<std::pair<std::int32_t, Date>>& fresh, Progress& progress) {
    if (fresh.empty()) return {};
    std::vector<std::uint32_t> which;
    std::map<std::uint32_t, std::string> id_of;
    for (const auto& [door, first] : fresh) {
      which.push_back(homes.of_door[static_cast<std::size_t>(door)]);
      id_of.emplace(which.back(), book_.doors.id[static_cast<std::size_t>(door)]);
    }
    const auto key = [&](std::uint32_t home, std::uint32_t attempt) { return hmacSha256(secret_, fmt::format("place {} {} {}", audience_, id_of.at(home), attempt)); };
    const analysis::MaskingRule rule{.k = static_cast<std::uint32_t>(context_.study.audiences.at(audience_).k)};
    LEEWARD_ASSIGN(masked, analysis::maskPoints(homes.field, which, rule, key, progress));
    LEEWARD_ASSIGN(to_positions, Transform::between(context_.frame, context_.positions()));
    for (std::size_t i = 0; i < masked.size(); ++i) {
      MaskedPlace place{tagOf(fresh[i].first), std::nullopt, masked[i].nearer, masked[i].candidates, sinceOf(fresh[i].second), masked[i].why_not};
      if (masked[i].masked) place.lon_lat = rounded(to_positions(masked[i].position), !context_.frame.isLocal());
      take(place, fresh[i].first);
      told_.news.push_back(std::move(place));
    }
    return {};
  }

  void finish() {
    std::ranges::sort(shown_, {}, [](const MaskedPlace& place) { return std::pair(place.lon_lat->x, place.lon_lat->y); });
    std::vector<std::string> since;
    for (const auto& place : shown_) {
      told_.points.geometry.addPoint(*place.lon_lat);
      since.push_back(place.since);
      told_.least_nearer = told_.least_nearer == 0 ? place.nearer : std::min(told_.least_nearer, place.nearer);
    }
    told_.points.name = "places";
    told_.points.crs = context_.positions();
    TableMaker columns;
    columns.texts("note", std::vector<std::string>(since.size(), kNote));
    if (audience_ != "public") columns.texts("first_visit", since);
    told_.points.table = columns.done();
  }

  const RunContext& context_;
  const Book& book_;
  const ToldAreas& areas_;
  std::string audience_, secret_;
  std::vector<MaskedPlace> shown_;
  ToldPlaces told_;
};

}  // namespace

std::string premisesTag(const std::string& secret, const std::string& door_id) {
  std::string text;
  for (const unsigned char byte : hmacSha256(secret, "premises " + door_id)) text += fmt::format("{:02x}", byte);
  return text;
}

Result<ToldPlaces> toldPlaces(const RunContext& context, const Book& book, const ToldAreas& areas, const std::string& audience, Progress& progress) {
  LEEWARD_ASSIGN(secret, context.ledger.setting("masking_secret"));
  if (!secret || secret->empty()) return Problem{ProblemCode::BadData, "the ledger has no masking secret", context.study.ledger().string(), "Take the last backup"};
  return Places(context, book, areas, audience, *secret).tell(progress);
}

}  // namespace leeward::study
