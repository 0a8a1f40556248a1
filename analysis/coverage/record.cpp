#include "analysis/coverage/record.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "analysis/coverage/by_door.h"

namespace leeward::analysis {

namespace {

Problem wrong(std::string what) { return {ProblemCode::InvalidArgument, std::move(what), "", ""}; }

bool allBelow(const std::vector<std::int32_t>& indices, std::size_t count) {
  return std::ranges::all_of(indices, [&](std::int32_t i) { return i >= kNowhere && i < static_cast<std::int64_t>(count); });
}

template <class... Columns>
bool sameLength(std::size_t rows, const Columns&... columns) {
  return ((columns.size() == rows) && ...);
}

bool isAnswer(DoorResult result) {
  switch (result) {
    case DoorResult::Welcomed:
    case DoorResult::Declined:
    case DoorResult::AskedNotToReturn:
    case DoorResult::NoDog:
    case DoorResult::Vacant:
      return true;
    case DoorResult::NotSaid:
    case DoorResult::NobodyHome:
    case DoorResult::NoAccess:
      return false;
  }
  return false;
}

bool happened(const std::optional<Date>& day, Date as_of) { return day && *day <= as_of; }

}  // namespace

void Looks::reserve(std::size_t rows) {
  for (auto* column : {&door, &block, &dogs_seen, &dogs_met}) column->reserve(rows);
  date.reserve(rows);
  kind.reserve(rows);
  why.reserve(rows);
  result.reserve(rows);
}

void Animals::reserve(std::size_t rows) {
  door.reserve(rows);
  block.reserve(rows);
  for (auto* column : {&first_seen, &last_seen}) column->reserve(rows);
  for (auto* column : {&first_met, &gone, &last_visit}) column->reserve(rows);
  by_planned_look.reserve(rows);
  for (auto* column : {&critical_first_found, &critical_last_left}) column->reserve(rows);
}

Result<void> checkRecord(const Record& record) {
  const Doors& doors = record.doors;
  const Looks& looks = record.looks;
  const Animals& animals = record.animals;
  const auto full_or_none = [&](std::size_t size) { return size == 0 || size == doors.size(); };
  if (!sameLength(doors.size(), doors.position) || !full_or_none(doors.asked_not_to_return.size()) ||
      !full_or_none(doors.vacant.size()))
    return wrong("the columns of the doors differ in length");
  if (!sameLength(looks.size(), looks.block, looks.date, looks.kind, looks.why, looks.result, looks.dogs_seen, looks.dogs_met))
    return wrong("the columns of the looks differ in length");
  if (!sameLength(animals.size(), animals.block, animals.first_seen, animals.first_met, animals.last_seen,
                  animals.by_planned_look, animals.gone, animals.last_visit, animals.critical_first_found,
                  animals.critical_last_left))
    return wrong("the columns of the animals differ in length");
  if (!allBelow(doors.block, record.blocks) || !allBelow(looks.block, record.blocks) || !allBelow(animals.block, record.blocks))
    return wrong("a block that does not exist is referred to");
  if (!allBelow(looks.door, doors.size()) || !allBelow(animals.door, doors.size()))
    return wrong("a door that does not exist is referred to");
  for (const auto& by_season : record.chance_of_seeing)
    if (std::ranges::any_of(by_season, [](double c) { return !(c >= 0 && c <= 1); }))
      return wrong("a chance of seeing a dog is not between 0 and 1");
  if (!(record.half_life_days > 0)) return wrong("the half-life of what is known of a door must be positive");
  if (record.service_interval_days <= 0) return wrong("the service interval must be positive");
  return {};
}

std::int32_t blockOfLook(const Record& record, std::size_t look) {
  const std::int32_t door = record.looks.door[look];
  return door == kNowhere ? record.looks.block[look] : record.doors.block[door];
}

std::int32_t blockOfAnimal(const Record& record, std::size_t animal) {
  const std::int32_t door = record.animals.door[animal];
  return door == kNowhere ? record.animals.block[animal] : record.doors.block[door];
}

bool sawDog(const Record& record, std::size_t look) {
  return record.looks.dogs_seen[look] > 0 || record.looks.dogs_met[look] > 0;
}

bool gotAnswerOrView(const Record& record, std::size_t look) {
  const DoorResult result = record.looks.result[look];
  if (sawDog(record, look) || isAnswer(result)) return true;
  const LookKind kind = record.looks.kind[look];
  if (kind == LookKind::Street || kind == LookKind::Track) return result != DoorResult::NoAccess;
  return result == DoorResult::NotSaid && record.looks.dogs_seen[look] != kNotSaid;
}

double chanceOfLook(const Record& record, std::size_t look) {
  const DoorResult result = record.looks.result[look];
  const bool failed = result == DoorResult::NobodyHome || result == DoorResult::NoAccess;
  LookKind kind = record.looks.kind[look];
  if (failed) {
    if (kind == LookKind::Knock)
      kind = LookKind::Street;
    else if (kind == LookKind::Call || result == DoorResult::NoAccess)
      return 0;
  }
  return record.chance_of_seeing[static_cast<std::size_t>(kind)][static_cast<std::size_t>(seasonOf(record.looks.date[look]))];
}

bool isClosed(const Record& record, std::size_t door) {
  const auto& asked = record.doors.asked_not_to_return;
  return !asked.empty() && happened(asked[door], record.as_of);
}

bool isVacant(const Record& record, std::size_t door) { return !record.doors.vacant.empty() && record.doors.vacant[door] != 0; }

double chanceStillSo(const Record& record, Date then) {
  const int days = record.as_of - then;
  return days <= 0 ? 1.0 : std::exp2(-days / record.half_life_days);
}

bool isKnown(const Record& record, std::size_t animal) {
  return record.animals.first_seen[animal] <= record.as_of && !happened(record.animals.gone[animal], record.as_of);
}

bool isMet(const Record& record, std::size_t animal) { return happened(record.animals.first_met[animal], record.as_of); }

Date lastContact(const Record& record, std::size_t animal) {
  const Animals& animals = record.animals;
  Date latest = animals.first_seen[animal];
  latest = std::max(latest, std::min(animals.last_seen[animal], record.as_of));
  if (happened(animals.first_met[animal], record.as_of)) latest = std::max(latest, *animals.first_met[animal]);
  if (happened(animals.last_visit[animal], record.as_of)) latest = std::max(latest, *animals.last_visit[animal]);
  return latest;
}

Date lastServed(const Record& record, std::size_t animal) {
  if (!isMet(record, animal)) return lastContact(record, animal);
  const auto& visit = record.animals.last_visit[animal];
  const Date first = *record.animals.first_met[animal];
  return happened(visit, record.as_of) ? std::max(first, *visit) : first;
}

namespace {

// What looks at one door saw beyond the animals listed there.
struct Unlisted {
  int seen = 0;
  int met = 0;
  Date first, last;
  std::optional<Date> first_met;
  bool by_planned = false;
};

Unlisted unlistedAt(const Record& record, std::span<const std::uint32_t> looks, int listed) {
  Unlisted found;
  for (const std::uint32_t look : looks) {
    const int met = std::max(record.looks.dogs_met[look], 0);
    const int seen = std::max(record.looks.dogs_seen[look], met);
    if (seen <= listed) continue;
    const Date day = record.looks.date[look];
    if (found.seen == 0) {
      found.first = day;
      found.by_planned = listed == 0 && record.looks.why[look] == WhyHere::Planned;
    }
    if (met > listed && !found.first_met) found.first_met = day;
    found.seen = std::max(found.seen, seen - listed);
    found.met = std::max(found.met, met - listed);
    found.last = day;
  }
  return found;
}

}  // namespace

std::size_t addUnlistedDogs(Record& record) {
  const ByDoor looks = ByDoor::looks(record);
  const ByDoor listed = ByDoor::animals(record);
  Animals& animals = record.animals;
  std::size_t added = 0;
  for (std::size_t door = 0; door < record.doors.size(); ++door) {
    const Unlisted found = unlistedAt(record, looks.of(door), static_cast<int>(listed.of(door).size()));
    for (int i = 0; i < found.seen; ++i, ++added) {
      const bool met = i < found.met;
      animals.door.push_back(static_cast<std::int32_t>(door));
      animals.block.push_back(record.doors.block[door]);
      animals.first_seen.push_back(found.first);
      animals.first_met.push_back(met ? found.first_met : std::nullopt);
      animals.last_seen.push_back(found.last);
      animals.by_planned_look.push_back(found.by_planned ? 1 : 0);
      animals.gone.push_back(std::nullopt);
      animals.last_visit.push_back(met ? found.first_met : std::nullopt);
      animals.critical_first_found.push_back(Known::Unknown);
      animals.critical_last_left.push_back(Known::Unknown);
    }
  }
  return added;
}

}  // namespace leeward::analysis
