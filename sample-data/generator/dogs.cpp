#include "sample-data/generator/dogs.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace leeward::town {

const std::array<CheckItem, kItems> kCheck{{
    {"collar_fit", true, 0.09, 0.85, false}, {"collar_kind", false, 0.18, 0.80, false}, {"tether", true, 0.20, 0.75, false},
    {"pen", false, 0.10, 0.15, false},       {"house", true, 0.20, 0.40, false},        {"bedding", false, 0.30, 0.50, false},
    {"shade", false, 0.22, 0.30, false},     {"water", true, 0.23, 0.85, false},        {"food", false, 0.10, 0.70, false},
    {"area", false, 0.24, 0.40, false},      {"coat", false, 0.20, 0.25, true},         {"eyes", false, 0.07, 0.05, true},
    {"ears", false, 0.13, 0.30, true},       {"gums", false, 0.07, 0.00, true},         {"nails", false, 0.24, 0.55, true},
    {"parasites", false, 0.26, 0.55, true},  {"wound", true, 0.04, 0.12, false},        {"behaviour", false, 0.12, 0.00, false},
}};

namespace {

constexpr std::array kNames{"Biscuit", "Duke", "Lady", "Bear", "Rosie", "Tank", "Shadow", "Princess", "Rocky", "Ginger", "Smoke", "Lucky", "Daisy", "Chief",
                            "Coco", "Bandit", "Honey", "Max", "Queenie", "Rusty", "Pepper", "Bruno", "Sasha", "Blue", "Patch", "Nala", "King", "Mocha",
                            "Scout", "Diesel", "Luna", "Buddy", "Domino", "Penny", "Goose", "Tiny", "Olive", "Hank", "Pearl", "Ranger"};
constexpr std::array kCoats{"black", "brown", "brown and white", "brindle", "tan", "black and tan", "white", "grey", "red", "spotted", "yellow",
                            "black with white chest"};
constexpr std::array kBuild{"large", "large", "medium", "medium", "medium", "small"};
constexpr std::array kFamilies{"Abelard", "Brindley", "Castrel", "Dunmoor", "Ellery", "Farrow", "Garrick", "Holloway", "Ibarra", "Jessop", "Kestle", "Lorimer",
                               "Marchetti", "Nance", "Orellana", "Penhale", "Quiroga", "Rasmin", "Saldana", "Tamsen", "Umber", "Varela", "Wexley", "Yarborn"};

constexpr double kLeavesPerYear = 0.26;
constexpr double kHouseholdMovesPerYear = 0.10;

double daysUntil(double per_year, Random& random) { return -std::log(1 - random.uniform()) * 365.25 / per_year; }

Date later(Date from, double days) { return from + static_cast<int>(std::min(days, 9000.0)) + 1; }

class Populating {
 public:
  Populating(const Town& town, Random& random) : town_(town), random_(random) {}

  Population run() {
    out_.at_door.resize(town_.doors.size());
    out_.household_at.assign(town_.doors.size(), -1);
    std::vector<double> rates;
    for (const Block& block : town_.blocks) {
      const double trend = 0.043 * std::exp(2.4 * (block.poverty - 0.15) + 0.045 * (block.heat - 2));
      rates.push_back(std::min(0.4, trend * random_.gamma(1.5, 1 / 1.5)));  // blocks differ by more than what a census knows
    }
    for (std::size_t d = 0; d < town_.doors.size(); ++d) {
      const Door& door = town_.doors[d];
      if (!door.home) continue;
      const double rate = rates[static_cast<std::size_t>(door.block)] * (door.unit.starts_with("Apt") ? 0.08 : 1);
      if (random_.uniform() < rate) settle(static_cast<int>(d), kFirstDay, true);
      const double arrives = daysUntil(std::max(1e-6, rate * (kLeavesPerYear + kHouseholdMovesPerYear)), random_);
      if (out_.household_at[d] < 0 && arrives < kDays) settle(static_cast<int>(d), later(kFirstDay, arrives), false);
    }
    return std::move(out_);
  }

 private:
  void settle(int door, Date from, bool since_before) {
    const Block& block = town_.blocks[static_cast<std::size_t>(town_.doors[static_cast<std::size_t>(door)].block)];
    Household home;
    home.door = door;
    home.care = std::clamp(0.52 + 0.2 * random_.normal() - 0.35 * (block.poverty - 0.15), 0.04, 0.97);
    home.home = 0.38 + 0.3 * random_.uniform();
    home.welcome = std::clamp(0.55 + 0.4 * home.care + 0.1 * random_.normal(), 0.15, 0.97);
    home.souring = random_.uniform() < 0.09;
    home.until = later(from, daysUntil(kHouseholdMovesPerYear, random_));
    home.name = std::string(1, static_cast<char>('A' + random_.below(26))) + ". " + pickOf(kFamilies, random_);
    home.phone = fmt::format("555-01{:02}", random_.below(100));
    const double tongue = random_.uniform();
    home.language = tongue < 0.80 ? "English" : tongue < 0.94 ? "Spanish" : tongue < 0.97 ? "Vietnamese" : "Portuguese";
    const auto household = static_cast<int>(out_.households.size());
    out_.households.push_back(home);
    out_.household_at[static_cast<std::size_t>(door)] = household;
    int count = 1;
    while (count < 7 && random_.uniform() < 0.29) ++count;  // owners of several
    for (int k = 0; k < count; ++k) line(household, from, since_before, home);
  }

  /// One place at a household: an animal and, often, those that follow it.
  void line(int household, Date from, bool since_before, const Household& home) {
    while (from <= kLastDay && from < home.until) {
      Dog dog;
      dog.household = household;
      dog.door = home.door;
      dog.name = random_.uniform() < 0.93 ? pickOf(kNames, random_) : "";
      dog.sex = random_.uniform() < 0.54 ? "male" : "female";
      dog.coat = std::string(pickOf(kBuild, random_)) + ", " + pickOf(kCoats, random_);
      const double years = since_before ? 0.6 + random_.gamma(2.0, 2.0) : 0.2 + random_.gamma(1.1, 1.0);
      dog.born_days = static_cast<int>(years * 365.25) - (from - kFirstDay);
      dog.altered = random_.uniform() < 0.10 + 0.35 * home.care;
      dog.all_year = random_.uniform() < 0.72;
      dog.from = from;
      const double stays = daysUntil(kLeavesPerYear, random_);
      dog.to = std::min(later(from, stays), home.until);
      dog.left = dog.to == home.until ? "moved" : random_.uniform() < 0.45 ? "died" : random_.uniform() < 0.6 ? "moved" : "kept indoors";
      for (std::size_t i = 0; i < kItems; ++i) dog.unmet[i] = random_.uniform() < std::min(0.95, kCheck[i].unmet * 2.1 * (1 - home.care));
      const double thin = random_.uniform() * (1.5 - home.care);
      dog.body = thin < 0.45 ? 1 : thin < 0.78 ? 2 : thin < 1.12 ? 3 : thin < 1.3 ? 4 : 5;
      out_.at_door[static_cast<std::size_t>(home.door)].push_back(static_cast<int>(out_.dogs.size()));
      out_.dogs.push_back(dog);
      if (random_.uniform() < 0.5) return;
      from = dog.to + 20 + static_cast<int>(random_.below(160));
      since_before = false;
    }
  }

  const Town& town_;
  Random& random_;
  Population out_;
};

}  // namespace

bool Dog::outside(Date d) const {
  if (!here(d)) return false;
  const auto month = static_cast<unsigned>(calendar(d).month());
  return all_year || (month >= 4 && month <= 10);
}

bool Dog::inNeed() const {
  for (std::size_t i = 0; i < kItems; ++i) {
    if (kCheck[i].critical && unmet[i]) return true;
  }
  return body >= 4;
}

Population populate(const Town& town, Random& random) { return Populating(town, random).run(); }

void monthPasses(Population& population, Date date, Random& random) {
  for (Dog& dog : population.dogs) {
    if (!dog.here(date)) continue;
    Household& home = population.households[static_cast<std::size_t>(dog.household)];
    if (home.souring) home.care = std::max(0.03, home.care - 0.012);
    for (std::size_t i = 0; i < kItems; ++i) {
      const double bad = std::min(0.95, kCheck[i].unmet * 2.1 * (1 - home.care));
      if (random.uniform() < (dog.visits > 0 ? 0.035 : 0.05)) dog.unmet[i] = random.uniform() < bad;
    }
    if (random.uniform() < 0.05) dog.body = std::clamp(dog.body + (random.uniform() < home.care ? -1 : 1), 1, 5);
  }
}

}  // namespace leeward::town
