#pragma once
/// Invented towns whose every dog is known: the ground on which policies are compared.
///
/// A town is drawn from its kind and a seed. All that a team could know (doors, census figures with their sampling error, heat, the need index) is
/// kept apart from the truth (rates, shares in need, every dog from its coming to its going), which only the reference policies and the judge read.
/// The generator shares no formula with the engine's model: rates are log-linear in smooth fields, in what census figures measure with error and in
/// noise; dogs come and go household by household; who is at home, who welcomes and what can be seen from the street belongs to the household.
#include <string>
#include <vector>

#include "shared/base/dates.h"
#include "shared/geo/geometry.h"

namespace leeward::bench {

/// What drives where the dogs are. Shares are standard deviations of the logarithm of a block's rate.
struct TownKind {
  std::string name;
  double base_rate = 0.07;      ///< doors with dogs per door
  double by_neighbourhood = 0;  ///< a smooth field
  double by_deprivation = 0;    ///< what the indicators measure; negative: they mislead
  double by_block = 0.3;        ///< noise
  double many_dogs = 0.05;      ///< share of owners who keep four and more
  double stays_owner = 0.3;     ///< when its dogs go, the household keeps new ones
  double winter_seen = 1;       ///< chance of seeing a dog in the cold months, over that in the warm ones
  double need_by_deprivation = 0.3;  ///< logit of the share in need, by standard deviation of deprivation
};
const std::vector<TownKind>& townKinds();

struct Dog {
  int door = 0;
  Date from, until;  ///< kept outdoors at that door from..until-1
  bool in_need = false;
};
/// A caller tells of the dogs at a door.
struct Tip {
  int door = 0;
  Date day;
  bool exact = true;  ///< else only the block can be told
};
struct Door {
  int block = 0;
  Point at;
  double at_home = 0.5, welcomes = 0.8, in_view = 0.4;  ///< chances: of an answer; of permission; that a dog is seen from the street
};

struct Town {
  TownKind kind;
  std::uint64_t seed = 1;
  Point base;
  std::vector<Door> doors;
  // One entry a block.
  std::vector<Point> centre;
  std::vector<std::vector<double>> covariates;  ///< [poverty, vacancy, renters, heat][block] as published
  std::vector<double> need_index;               ///< 0..1, from those with the directions that people assume
  std::vector<double> rate, need_share;         ///< the truth: doors with dogs per door; share of dogs in need
  std::vector<std::vector<int>> doors_of;
  // The truth in time, the same whatever crews do.
  Date start, end;  ///< start: the first day of history; end: the day after the last
  std::vector<Dog> dogs;  ///< by door, then by `from`
  std::vector<std::vector<int>> dogs_of;  ///< per door
  std::vector<Tip> tips;  ///< by day
  double half_life_days = 600;
  double mean_dogs = 1.6;
  std::size_t blocks() const { return centre.size(); }
};

/// Days of history before the year that is judged, and the days of that year.
inline constexpr int kHistoryDays = 540;
inline constexpr int kYearDays = 364;

Town makeTown(const TownKind& kind, std::uint64_t seed);

/// Dogs at a door on a day.
std::vector<int> dogsAt(const Town& town, int door, Date day);

}  // namespace leeward::bench
