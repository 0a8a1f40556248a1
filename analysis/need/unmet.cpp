#include "analysis/need/unmet.h"

#include <algorithm>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "analysis/need/count_distribution.h"
#include "analysis/need/meeting.h"
#include "analysis/need/town_fit.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"

namespace leeward::analysis {

namespace {

constexpr int kMostDogsAtADoor = 12;
// Assumed shares of doors with 1, 2, 3 dogs, and the found doors that the assumption weighs (no published source).
constexpr double kAssumedDogs[] = {0.7, 0.2, 0.1};
constexpr double kAssumedDogsWeight = 4;
constexpr int kFewFinds = 5;
constexpr int kFewChecks = 10;

std::vector<double> dogsPerDoor(const std::vector<int>& found) {
  std::vector<double> chances(kMostDogsAtADoor, 0.0);
  for (std::size_t i = 0; i < std::size(kAssumedDogs); ++i) chances[i] = kAssumedDogs[i] * kAssumedDogsWeight;
  for (const int dogs : found) chances[std::clamp(dogs, 1, kMostDogsAtADoor) - 1] += 1;
  const double sum = kAssumedDogsWeight + static_cast<double>(found.size());
  for (double& chance : chances) chance /= sum;
  while (chances.back() == 0) chances.pop_back();
  return chances;
}

double meanOf(const std::vector<double>& chances) {
  double mean = 0;
  for (std::size_t i = 0; i < chances.size(); ++i) mean += static_cast<double>(i + 1) * chances[i];
  return mean;
}

// Day one only: 0.5 + need, scaled so that the mean over doors is 1.
std::vector<double> tiltByNeed(const Record& record, std::span<const double> need) {
  std::vector<double> tilt(record.blocks, 1.0);
  if (need.empty()) return tilt;
  for (std::size_t b = 0; b < record.blocks; ++b) tilt[b] = 0.5 + (std::isnan(need[b]) ? 0.5 : std::clamp(need[b], 0.0, 1.0));
  double sum = 0, doors = 0;
  for (const std::int32_t block : record.doors.block) {
    if (block == kNowhere) continue;
    sum += tilt[block];
    doors += 1;
  }
  if (doors > 0)
    for (double& t : tilt) t *= doors / sum;
  return tilt;
}

struct Checks {
  std::vector<int> all, critical;
};

Checks firstChecks(const Record& record) {
  Checks checks{std::vector<int>(record.blocks, 0), std::vector<int>(record.blocks, 0)};
  for (std::size_t i = 0; i < record.animals.size(); ++i) {
    const std::int32_t block = blockOfAnimal(record, i);
    const Known found = record.animals.critical_first_found[i];
    if (block == kNowhere || found == Known::Unknown || !isMet(record, i)) continue;
    ++checks.all[block];
    checks.critical[block] += found == Known::Yes ? 1 : 0;
  }
  return checks;
}

UnmetEstimate blank(const Record& record) {
  UnmetEstimate e;
  for (auto* column :
       {&e.rate, &e.rate_low, &e.rate_high, &e.unseen, &e.leads, &e.unmet, &e.mass, &e.chance_any, &e.share_in_need,
        &e.unmet_in_need, &e.rate_shape, &e.rate_scale, &e.prior_share, &e.doors_open, &e.need_a, &e.need_b})
    column->assign(record.blocks, 0);
  for (auto* column : {&e.lead_count, &e.low, &e.high, &e.met_in_need}) column->assign(record.blocks, 0);
  for (auto* column : {&e.door_unmet, &e.door_chance}) column->assign(record.doors.size(), 0);
  e.animal_unmet.assign(record.animals.size(), 0);
  return e;
}

// The middle of each block's doors; nan where it has none.
std::vector<Point> centresOf(const Record& record) {
  std::vector<Point> centre(record.blocks);
  std::vector<double> doors(record.blocks, 0);
  for (std::size_t door = 0; door < record.doors.size(); ++door) {
    const std::int32_t block = record.doors.block[door];
    const Point at = record.doors.position[door];
    if (block == kNowhere || !std::isfinite(at.x)) continue;
    centre[block] = {centre[block].x + at.x, centre[block].y + at.y};
    doors[block] += 1;
  }
  for (std::size_t b = 0; b < record.blocks; ++b) centre[b] = doors[b] > 0 ? Point{centre[b].x / doors[b], centre[b].y / doors[b]} : Point{kNan, kNan};
  return centre;
}

void fitTown(UnmetEstimate& e, const Record& record, const Effort& effort, const UnmetOptions& options) {
  const double effective = std::accumulate(effort.effective_doors.begin(), effort.effective_doors.end(), 0.0);
  e.day_one = !(effective > 0);
  const GammaFitPrior prior{options.assumed_doors_with_dogs, options.assumed_doors};
  const GammaTownFit rates = fitGammaTown(effort.found_doors, effort.effective_doors, prior);
  e.town.mean_rate = rates.mean;
  e.town.shape = rates.shape;
  e.town.mean_shape = rates.mean_shape;
  e.town.effective_doors = effective;
  e.town.found_doors = std::accumulate(effort.found_doors.begin(), effort.found_doors.end(), 0);
  e.town.dogs_per_door = dogsPerDoor(effort.dogs_per_found_door);
  e.town.mean_dogs = meanOf(e.town.dogs_per_door);

  Checks checks = firstChecks(record);
  const BetaTownFit need = fitBetaTown(checks.critical, checks.all);
  e.town.share_in_need = need.mean;
  e.town.share_weight = need.weight;
  e.town.first_checks = std::accumulate(checks.all.begin(), checks.all.end(), 0);
  e.first_checks = std::move(checks.all);
  e.first_checks_critical = std::move(checks.critical);
}

Result<void> setRates(UnmetEstimate& e, const Record& record, const Effort& effort, const UnmetOptions& options, Progress& progress) {
  e.leans_on_need = e.day_one && !options.need.empty();
  BlockRates model;
  if (!e.day_one) {
    const std::vector<Point> centre = centresOf(record);
    LEEWARD_ASSIGN(fitted, blockRates({effort.found_doors, effort.effective_doors, centre, options.figures, options.assumed_doors_with_dogs, options.assumed_doors}, progress));
    model = std::move(fitted);
    e.town.mean_rate = model.town_mean;
    e.town.shape = model.shape_between;
    e.town.mean_shape = model.mean_shape;
    e.town.terms = model.terms;
    e.town.reach_m = model.reach_m;
    e.remarks = model.remarks;
  }
  const std::vector<double> tilt = tiltByNeed(record, e.day_one ? options.need : std::span<const double>());
  for (std::size_t b = 0; b < record.blocks; ++b) {
    const double shape = e.day_one ? e.town.shape : model.shape[b];
    const double prior_exposure = shape / (e.day_one ? e.town.mean_rate * tilt[b] : model.mean[b]);
    e.rate_shape[b] = shape + effort.found_doors[b];
    e.rate_scale[b] = 1 / (prior_exposure + effort.effective_doors[b]);
    e.prior_share[b] = prior_exposure * e.rate_scale[b];
    e.rate[b] = e.rate_shape[b] * e.rate_scale[b] * e.town.mean_dogs;
    e.need_a[b] = e.town.share_in_need * e.town.share_weight + e.first_checks_critical[b];
    e.need_b[b] = (1 - e.town.share_in_need) * e.town.share_weight + e.first_checks[b] - e.first_checks_critical[b];
    e.share_in_need[b] = e.need_a[b] / (e.need_a[b] + e.need_b[b]);
  }
  return {};
}

// Of a block's doors with dogs that planned looks have not seen, the share that became known otherwise: K / (K + U).
void setKnownOtherwise(UnmetEstimate& e, const Record& record, const Effort& effort) {
  std::vector<double> unseen_by_planned(record.blocks, 0);
  for (std::size_t door = 0; door < record.doors.size(); ++door) {
    const std::int32_t block = record.doors.block[door];
    if (block != kNowhere && !isVacant(record, door))
      unseen_by_planned[block] += effort.unexamined_by_planned[door] * e.rate_shape[block] * e.rate_scale[block];
  }
  e.known_otherwise_share.assign(record.blocks, 0);
  for (std::size_t b = 0; b < record.blocks; ++b) {
    const double known = effort.known_otherwise[b];
    if (known > 0) e.known_otherwise_share[b] = known / (known + unseen_by_planned[b]);
  }
}

// Expected unmet per door and per animal, summed into blocks.
void addUp(UnmetEstimate& e, const Record& record, const Effort& effort) {
  std::vector<double> none(record.doors.size(), 1.0);  // chance that no lead of the door is still there
  for (std::size_t i = 0; i < record.animals.size(); ++i) {
    const std::int32_t block = blockOfAnimal(record, i);
    if (!isKnown(record, i)) continue;
    if (isMet(record, i)) {
      if (block != kNowhere && record.animals.critical_last_left[i] == Known::Yes) ++e.met_in_need[block];
      continue;
    }
    const double there = chanceStillSo(record, lastContact(record, i));
    e.animal_unmet[i] = there;
    if (block != kNowhere) {
      e.leads[block] += there;
      ++e.lead_count[block];
    }
    if (const std::int32_t door = record.animals.door[i]; door != kNowhere) {
      e.door_unmet[door] += there;
      none[door] *= 1 - there;
    }
  }
  for (std::size_t door = 0; door < record.doors.size(); ++door) {
    const std::int32_t block = record.doors.block[door];
    if (block != kNowhere && !isVacant(record, door)) {
      const double open = effort.unexamined[door] * (1 - e.known_otherwise_share[block]);
      e.doors_open[block] += open;
      e.door_unmet[door] += e.rate[block] * open;
      none[door] *= std::pow(1 + e.rate_scale[block] * open, -e.rate_shape[block]);
    }
    e.door_chance[door] = 1 - none[door];
  }
  for (std::size_t b = 0; b < record.blocks; ++b) {
    e.unseen[b] = e.rate[b] * e.doors_open[b];
    e.unmet[b] = e.unseen[b] + e.leads[b];
    e.unmet_in_need[b] = e.unmet[b] * e.share_in_need[b];
  }
}

// The town's mean is itself uncertain: the same mean, a wider gamma (variances of the logarithms' rates add).
double predictiveShape(const UnmetEstimate& e, std::size_t b) {
  return 1 / (1 / e.rate_shape[b] + e.prior_share[b] * e.prior_share[b] / e.town.mean_shape);
}

Result<void> setIntervals(UnmetEstimate& e, const Record& record, double level, Progress& progress) {
  std::vector<std::vector<double>> leads(record.blocks);
  for (std::size_t i = 0; i < record.animals.size(); ++i)
    if (const std::int32_t block = blockOfAnimal(record, i); block != kNowhere && e.animal_unmet[i] > 0)
      leads[block].push_back(e.animal_unmet[i]);
  return progress.parallelFor(record.blocks, 256, [&](std::size_t begin, std::size_t end) {
    for (std::size_t b = begin; b < end; ++b) {
      const double shape = predictiveShape(e, b);
      const double scale = e.rate_shape[b] * e.rate_scale[b] / shape;
      const double dogs = e.town.mean_dogs;
      e.rate_low[b] = boost::math::gamma_p_inv(shape, (1 - level) / 2) * scale * dogs;
      e.rate_high[b] = boost::math::gamma_q_inv(shape, (1 - level) / 2) * scale * dogs;
      const CountChances chances = predictive(e, b, leads[b]);
      const CountInterval interval = equalTailed(chances, level);
      e.low[b] = interval.low;
      e.high[b] = interval.high;
      e.mass[b] = interval.mass;
      e.chance_any[b] = 1 - chances[0];
    }
  });
}

void addRemarks(UnmetEstimate& e, const Record& record, const UnmetOptions& options) {
  if (e.day_one) {
    e.remarks.push_back(fmt::format(
        "No planned look has been made yet: numbers rest on an assumption ({} doors with dogs in 100), on the doors{}.",
        formatNumber(std::round(options.assumed_doors_with_dogs * 1000) / 10),
        options.need.empty() ? "" : " and on need, by which blocks are put in order"));
  } else if (e.town.found_doors < kFewFinds) {
    e.remarks.push_back(
        fmt::format("Planned looks have found dogs at {} {} so far: the town's mean still leans on the assumption of {} doors "
                    "with dogs in 100.",
                    e.town.found_doors, e.town.found_doors == 1 ? "door" : "doors",
                    formatNumber(std::round(options.assumed_doors_with_dogs * 1000) / 10)));
  }
  if (e.town.first_checks < kFewChecks)
    e.remarks.push_back(fmt::format("{} first {} known: the share in need leans on an assumed half.", e.town.first_checks,
                                    e.town.first_checks == 1 ? "check is" : "checks are"));
  e.remarks.emplace_back(
      "Chances of seeing a dog and the half-life of a look are the team's parameters, not estimates from its data.");
  const auto outside = std::ranges::count(record.doors.block, kNowhere);
  if (outside > 0) e.remarks.push_back(fmt::format("{} doors lie in no block and are in no figure.", formatCount(outside)));
  std::int64_t unplaced = 0;
  for (std::size_t i = 0; i < record.animals.size(); ++i)
    unplaced += isKnown(record, i) && blockOfAnimal(record, i) == kNowhere ? 1 : 0;
  if (unplaced > 0)
    e.remarks.push_back(fmt::format("{} animals could be put in no block and are in no figure.", formatCount(unplaced)));
}

Result<void> checkOptions(const Record& record, const Effort& effort, const UnmetOptions& options) {
  const auto wrong = [](std::string what) { return Problem{ProblemCode::InvalidArgument, std::move(what), "", ""}; };
  if (!(options.level > 0 && options.level < 1)) return wrong("the level of intervals must lie between 0 and 1");
  if (!(options.assumed_doors_with_dogs > 0 && options.assumed_doors > 0))
    return wrong("the assumptions on doors must be positive");
  if (!options.need.empty() && options.need.size() != record.blocks) return wrong("need has another length than the blocks");
  if (effort.effective_doors.size() != record.blocks || effort.unexamined.size() != record.doors.size())
    return wrong("the effort belongs to another record");
  return {};
}

}  // namespace

CountChances predictive(const UnmetEstimate& e, std::size_t block, std::span<const double> leads) {
  const double shape = predictiveShape(e, block);
  CountChances chances = compoundNegativeBinomial(shape, e.rate_shape[block] * e.rate_scale[block] / shape, e.doors_open[block], e.town.dogs_per_door);
  for (const double chance : leads) addBernoulli(chances, chance);
  return chances;
}

Result<UnmetEstimate> expectedUnmet(const Record& record, const Effort& effort, const UnmetOptions& options, Progress& progress) {
  LEEWARD_TRY(checkRecord(record));
  LEEWARD_TRY(checkOptions(record, effort, options));
  UnmetEstimate estimate = blank(record);
  fitTown(estimate, record, effort, options);
  LEEWARD_TRY(setRates(estimate, record, effort, options, progress));
  setKnownOtherwise(estimate, record, effort);
  addUp(estimate, record, effort);
  estimate.door_meeting = meetingOf(record).chance;
  LEEWARD_TRY(setIntervals(estimate, record, options.level, progress));
  addRemarks(estimate, record, options);
  return estimate;
}

}  // namespace leeward::analysis
