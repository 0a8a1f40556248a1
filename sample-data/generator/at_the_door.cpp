#include "sample-data/generator/at_the_door.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

namespace leeward::town {

namespace {

constexpr double kSeenFromStreet = 0.55;
constexpr double kSeenWhenNobodyHome = 0.65;
constexpr int kServiceIntervalDays = 120;
constexpr std::array kVisitNotes{"", "", "", "", "owner works nights", "gate sticks", "kids do the feeding", "asked about low-cost shots", "landlord owns the shed",
                            "wants fence help", "moved the dog off the mud", "very glad of the visit", "not much to say", "grandmother speaks for the house"};
constexpr std::array kHazards{"bites strangers", "loose dog next door", "broken porch step", "wasps under eave", "charges the fence"};
constexpr std::array kPromises{"will fix the roof of the house", "call back about neutering", "bring straw", "bring a larger house", "owner will move the dog to shade",
                               "bring a tie-out", "look at the ear again"};
constexpr std::array kHeard{"neighbor", "van", "clinic", "flyer", "school", ""};

}  // namespace

std::vector<std::string> visitHeadings() {
  std::vector<std::string> out{"visit_id", "date", "time", "crew", "address", "place", "postcode", "lon", "lat", "look", "why_here", "door_result",
                               "permission_by", "permission_how", "permission_for", "permission_until", "note_left", "dogs_seen", "dogs_met", "dog_name", "kind",
                               "sex", "age", "altered", "description", "body_condition", "body_scale"};
  for (const CheckItem& item : kCheck) out.emplace_back(item.id);
  for (const CheckItem& item : kCheck) out.push_back(std::string("left_") + item.id);
  for (const char* name : {"done", "treatment", "promised", "return_by", "outcome", "referred_to", "photos", "notes", "hazard", "household", "phone", "language",
                           "heard_by"}) {
    out.emplace_back(name);
  }
  return out;
}

void AtTheDoor::address(Row& row, const Look& look) {
  Memory& m = memory[static_cast<std::size_t>(look.door)];
  const Door& door = town_.doors[static_cast<std::size_t>(look.door)];
  if (m.typed.address.empty() || chance(0.35)) m.typed = typed(town_, door, random_);  // else copied from the last sheet
  row["address"] = m.typed.address;
  row["place"] = m.typed.place;
  row["postcode"] = m.typed.postcode;
  if (!chance(0.4)) return;
  const Point at = lonLat(door.at + Point{11 * random_.normal(), 11 * random_.normal()});  // as a phone says it
  row["lon"] = fmt::format("{:.5f}", at.x);
  row["lat"] = fmt::format("{:.5f}", at.y);
}

void AtTheDoor::write(const Row& row, int door) {
  VisitRow out;
  out.visit_id = row.at("visit_id");
  out.door = door;
  out.slips = memory[static_cast<std::size_t>(door)].typed.slips;
  for (const std::string& heading : visitHeadings()) {
    const auto found = row.find(heading);
    out.fields.push_back(found == row.end() ? std::string() : found->second);
  }
  out_.push_back(std::move(out));
}

void AtTheDoor::look(const Look& look) {
  Memory& m = memory[static_cast<std::size_t>(look.door)];
  m.last_look = look.date;
  if (m.return_by && *m.return_by <= look.date + 20) m.return_by.reset();
  Row row{{"visit_id", fmt::format("V{:05}", next_visit_++)}, {"date", toIso(look.date)}, {"crew", look.crew}, {"why_here", look.why_here},
          {"look", look.knock ? "knock" : "street"}};
  row["time"] = fmt::format("{:02}:{:02}", 9 + random_.below(9), 5 * random_.below(12));
  address(row, look);
  std::vector<int> present;
  for (int d : population_.at_door[static_cast<std::size_t>(look.door)]) {
    if (population_.dogs[static_cast<std::size_t>(d)].outside(look.date)) present.push_back(d);
  }
  if (!look.knock) return fromTheStreet(look, std::move(row), present);
  if (!present.empty()) return knockWithDogs(look, std::move(row), present);
  if (m.known && noteGone(look, row)) return;
  nobodyWithDogs(look, row);
  write(row, look.door);
}

void AtTheDoor::nobodyWithDogs(const Look& look, Row& row) {
  Memory& m = memory[static_cast<std::size_t>(look.door)];
  const double draw = random_.uniform();
  row["dogs_seen"] = "0";
  if (draw < 0.025) row["door_result"] = "vacant";
  else if (draw < 0.05) row["door_result"] = "no_access";
  else if (draw < 0.47) row["door_result"] = "no_dog";
  else if (draw < 0.50) row["door_result"] = "declined";
  else row["door_result"] = "nobody_home";
  if (row["door_result"] == "nobody_home") {
    row["note_left"] = chance(0.55) ? "yes" : "no";
    ++m.fruitless;
  }
}

/// A dog that was known is not there any more: somebody says what became of it.
bool AtTheDoor::noteGone(const Look& look, Row row) {
  Memory& m = memory[static_cast<std::size_t>(look.door)];
  bool still = false;
  std::vector<Dog*> gone;
  for (int d : population_.at_door[static_cast<std::size_t>(look.door)]) {
    Dog& dog = population_.dogs[static_cast<std::size_t>(d)];
    if (dog.met && !dog.gone_noted && dog.to <= look.date) gone.push_back(&dog);
    still = still || dog.here(look.date);
  }
  if (gone.empty() || !chance(0.6)) {
    if (!still && gone.empty()) m.known = false;
    return false;
  }
  row["door_result"] = "no_dog";
  row["dogs_seen"] = "0";
  row["dogs_met"] = "0";
  for (Dog* dog : gone) {
    dog->gone_noted = true;
    Row own = row;
    own["dog_name"] = dog->name;
    own["kind"] = "dog";
    own["sex"] = dog->sex;
    own["outcome"] = dog->left == "died" ? "died" : dog->left == "moved" ? "moved" : "lost_contact";
    write(own, look.door);
  }
  m.known = still;
  return true;
}

void AtTheDoor::fromTheStreet(const Look& look, Row row, const std::vector<int>& present) {
  Memory& m = memory[static_cast<std::size_t>(look.door)];
  int seen = 0;
  for (int d : present) {
    if (!chance(kSeenFromStreet) && look.why_here != "passing") continue;
    ++seen;
    population_.dogs[static_cast<std::size_t>(d)].seen = true;
  }
  row["dogs_seen"] = std::to_string(seen);
  if (seen == 0) row["door_result"] = "no_dog";
  if (seen > 0) {
    m.known = true;
    m.return_by = look.date + 7 + static_cast<int>(random_.below(40));
    row["notes"] = chance(0.4) ? "dog seen from street, come back to knock" : "";
  }
  write(row, look.door);
}

void AtTheDoor::knockWithDogs(const Look& look, Row row, const std::vector<int>& present) {
  Memory& m = memory[static_cast<std::size_t>(look.door)];
  Household& home = population_.households[static_cast<std::size_t>(population_.dogs[static_cast<std::size_t>(present.front())].household)];
  const bool answered = chance(std::min(0.95, home.home + (look.why_here == "return" ? 0.15 : 0) + (look.why_here == "owner_asked" ? 0.4 : 0)));
  if (answered && chance(home.welcome)) return welcomed(look, std::move(row), present);
  int seen = 0;
  for (int d : present) {
    if (!chance(kSeenWhenNobodyHome)) continue;
    ++seen;
    population_.dogs[static_cast<std::size_t>(d)].seen = true;
  }
  if (answered) {
    row["door_result"] = chance(0.12) ? "asked_not_to_return" : "declined";
    m.keep_away = row["door_result"] == "asked_not_to_return";
    if (chance(0.1)) row["hazard"] = pickOf(kHazards, random_);
  } else {
    row["door_result"] = "nobody_home";
    row["note_left"] = chance(0.7) ? "yes" : "no";
  }
  ++m.fruitless;
  row["dogs_seen"] = std::to_string(seen);
  row["dogs_met"] = "0";
  if (seen > 0) {
    m.known = true;
    m.return_by = look.date + 10 + static_cast<int>(random_.below(50)) * std::max(1, m.fruitless - 1);
  }
  write(row, look.door);
}

void AtTheDoor::welcomed(const Look& look, Row row, const std::vector<int>& present) {
  Memory& m = memory[static_cast<std::size_t>(look.door)];
  Household& home = population_.households[static_cast<std::size_t>(population_.dogs[static_cast<std::size_t>(present.front())].household)];
  std::vector<int> met;
  for (int d : present) {
    population_.dogs[static_cast<std::size_t>(d)].seen = true;
    if (chance(0.93) || met.empty()) met.push_back(d);
  }
  m.known = true;
  m.fruitless = 0;
  const bool may_handle = chance(0.45 + 0.35 * home.welcome);
  row["door_result"] = "welcomed";
  row["permission_by"] = chance(0.8) ? "owner" : chance(0.7) ? "relative" : "caretaker";
  row["permission_how"] = chance(0.93) ? "door" : "phone";
  row["permission_for"] = may_handle ? (chance(0.5) ? "enter; handle; change; treat; photograph" : "enter; handle; change") : "enter; change";
  if (chance(0.2)) row["permission_until"] = toIso(look.date + 365);
  row["dogs_seen"] = std::to_string(present.size());
  row["dogs_met"] = std::to_string(met.size());
  row["household"] = home.name;
  if (chance(0.6)) row["phone"] = home.phone;
  row["language"] = home.language;
  if (chance(0.15)) row["heard_by"] = pickOf(kHeard, random_);
  row["notes"] = pickOf(kVisitNotes, random_);
  if (chance(0.04)) row["hazard"] = pickOf(kHazards, random_);
  const int wait = chance(0.3) ? 14 + static_cast<int>(random_.below(30)) : kServiceIntervalDays - 30 + static_cast<int>(random_.below(60));
  m.return_by = look.date + wait;
  if (chance(0.65)) row["return_by"] = toIso(*m.return_by);
  if (chance(0.35)) row["promised"] = pickOf(kPromises, random_);
  for (int d : met) {
    Row own = row;
    checkDog(look, own, population_.dogs[static_cast<std::size_t>(d)], may_handle);
    write(own, look.door);
  }
  home.care = std::clamp(home.care + (home.souring ? -0.03 : 0.045), 0.03, 0.97);
}

void AtTheDoor::checkDog(const Look& look, Row& row, Dog& dog, bool may_handle) {
  row["dog_name"] = dog.name;
  row["kind"] = "dog";
  row["sex"] = dog.sex;
  const int days = dog.born_days + (look.date - kFirstDay);
  row["age"] = days < 330 ? fmt::format("{} months", std::max(2, days / 30)) : fmt::format("{} years", std::max(1, days / 365));
  row["description"] = dog.coat;
  if (chance(0.9)) {
    row["body_condition"] = std::to_string(dog.body);
    row["body_scale"] = "five_ideal_first";
  }
  std::vector<std::string> done;
  items(row, dog, may_handle, done);
  if (cold(look.date) && chance(0.5)) done.push_back(fmt::format("straw {}", 1 + random_.below(2)));
  if (chance(0.45)) done.push_back(fmt::format("food {}", 1 + random_.below(2)));
  for (std::size_t i = 0; i < done.size(); ++i) row["done"] += (i == 0 ? "" : "; ") + done[i];
  if (may_handle && chance(0.3)) {
    const double kg = 6 + 30 * random_.uniform();
    row["treatment"] = fmt::format("{}|L{}{:03}|{:.0f} kg", chance(0.5) ? "flea and tick drops" : chance(0.5) ? "wormer" : "rabies vaccine",
                                   static_cast<char>('A' + random_.below(6)), random_.below(1000), kg);
  }
  if (chance(0.25)) row["photos"] = fmt::format("{}_{:03}.jpg", row["visit_id"], 1 + random_.below(40));
  outcome(look, row, dog);
  row["altered"] = dog.altered ? "yes" : chance(0.85) ? "no" : "unknown";
  if (!dog.met) dog.first_met = look.date;
  dog.met = true;
  ++dog.visits;
}

void AtTheDoor::items(Row& row, Dog& dog, bool may_handle, std::vector<std::string>& done) {
  static constexpr const char* kGoods[kItems] = {"collar 1",  "collar 1", "tie-out 1", "", "house 1", "bedding 1", "tarp 1", "bucket 1", "", "", "", "", "", "", "",
                                                 "flea comb 1", "",       ""};
  std::array<bool, kItems> seen{};
  for (std::size_t i = 0; i < kItems; ++i) {
    const CheckItem& item = kCheck[i];
    seen[i] = !chance(item.by_hand ? (may_handle ? 0.10 : 0.75) : item.critical ? 0.03 : 0.07);
    row[item.id] = seen[i] ? (dog.unmet[i] ? "unmet" : "met") : "not seen";
  }
  if (dog.visits == 0) dog.first_unmet = dog.unmet;
  const bool left_checked = chance(0.9);
  for (std::size_t i = 0; i < kItems; ++i) {
    const CheckItem& item = kCheck[i];
    if (seen[i] && dog.unmet[i] && chance(item.mended)) {
      dog.unmet[i] = false;
      const std::string good = kGoods[i];
      if (!good.empty() && std::find(done.begin(), done.end(), good) == done.end()) done.push_back(good);
    }
    if (left_checked) row[std::string("left_") + item.id] = seen[i] ? (dog.unmet[i] ? "unmet" : "met") : "not seen";
  }
}

void AtTheDoor::outcome(const Look& look, Row& row, Dog& dog) {
  if (dog.visits == 0) return;
  int critical = 0;
  int now = 0;
  int first = 0;
  for (std::size_t i = 0; i < kItems; ++i) {
    critical += kCheck[i].critical && row[kCheck[i].id] == "unmet" ? 1 : 0;
    now += row[kCheck[i].id] == "unmet" ? 1 : 0;
    first += dog.first_unmet[i] && row[kCheck[i].id] != "not seen" ? 1 : 0;
  }
  if (chance(0.04)) {
    constexpr std::array kFollowed{"foster", "foster", "shelter", "adopted", "veterinarian"};
    row["outcome"] = std::string("given up: ") + pickOf(kFollowed, random_);
    dog.to = look.date + 1;
    dog.left = "given up";
    dog.gone_noted = true;
  } else if (!dog.altered && chance(0.13)) {
    row["outcome"] = "neutered";
    dog.altered = true;
  } else if (critical >= 2 && chance(0.35)) {
    row["outcome"] = "referred";
    row["referred_to"] = "Ardenquill animal desk";
  } else if (chance(0.6)) {
    row["outcome"] = now < first ? "improved" : now == first ? "unchanged" : "worse";
  }
}

}  // namespace leeward::town
