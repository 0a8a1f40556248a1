#include "tests/bench/towns/town.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "shared/base/random.h"

namespace leeward::bench {

namespace {

constexpr int kColumns = 16, kRows = 15;            // blocks
constexpr double kBlockWide = 180, kBlockDeep = 110;  // metres, streets included
constexpr int kGroupColumns = 4, kGroupRows = 3;    // blocks in a census group

enum Stream : std::uint64_t { kMap = 1, kFields, kRates, kHouseholds, kTips };

/// Mean 0, standard deviation 1.
void standardise(std::vector<double>& values) {
  const auto n = static_cast<double>(values.size());
  const double mean = std::accumulate(values.begin(), values.end(), 0.0) / n;
  double squares = 0;
  for (double& v : values) {
    v -= mean;
    squares += v * v;
  }
  const double sd = std::sqrt(squares / n);
  for (double& v : values) v /= sd > 0 ? sd : 1;
}

/// A smooth random field at points: the sum of cosines in random directions.
std::vector<double> smoothField(const std::vector<Point>& at, double wavelength_m, Random& random) {
  std::vector<double> field(at.size(), 0);
  for (int wave = 0; wave < 40; ++wave) {
    const double direction = 2 * std::numbers::pi * random.uniform(), phase = 2 * std::numbers::pi * random.uniform();
    const double per_metre = 2 * std::numbers::pi / (wavelength_m * (0.6 + 0.8 * random.uniform()));
    for (std::size_t i = 0; i < at.size(); ++i)
      field[i] += std::cos(per_metre * (at[i].x * std::cos(direction) + at[i].y * std::sin(direction)) + phase);
  }
  standardise(field);
  return field;
}

std::vector<double> noise(std::size_t count, Random& random) {
  std::vector<double> values(count);
  for (double& v : values) v = random.normal();
  return values;
}

/// Percentile ranks, (rank - 0.5) / n.
std::vector<double> percentiles(const std::vector<double>& values) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, {}, [&](std::size_t i) { return values[i]; });
  std::vector<double> ranks(values.size());
  for (std::size_t i = 0; i < order.size(); ++i) ranks[order[i]] = (static_cast<double>(i) + 0.5) / static_cast<double>(order.size());
  return ranks;
}

class Maker {
 public:
  Maker(const TownKind& kind, std::uint64_t seed) : seed_(seed), random_(seed, kMap) {
    town_.kind = kind;
    town_.seed = seed;
    town_.start = *makeDate(2023, 1, 9);
    town_.end = town_.start + (kHistoryDays + kYearDays);
  }

  Town make() {
    layOut();
    setCovariates();
    setRates();
    peopleDoors();
    tellTips();
    return std::move(town_);
  }

 private:
  int groupOf(std::size_t block) const {
    const int column = static_cast<int>(block) % kColumns, row = static_cast<int>(block) / kColumns;
    return row / kGroupRows * (kColumns / kGroupColumns) + column / kGroupColumns;
  }

  void layOut() {
    for (int row = 0; row < kRows; ++row)
      for (int column = 0; column < kColumns; ++column) town_.centre.push_back({(column + 0.5) * kBlockWide, (row + 0.5) * kBlockDeep});
    town_.base = {kColumns * kBlockWide * (0.2 + 0.6 * random_.uniform()), kRows * kBlockDeep * (0.2 + 0.6 * random_.uniform())};
    town_.doors_of.resize(town_.blocks());
    for (std::size_t b = 0; b < town_.blocks(); ++b) {
      const int count = random_.uniform() < 0.04 ? 0 : std::clamp(static_cast<int>(std::lround(28 * std::exp(0.4 * random_.normal()))), 3, 90);
      for (int i = 0; i < count; ++i) {
        // Along the two long sides.
        const double along = (i / 2 + 0.5) / ((count + 1) / 2) - 0.5, across = i % 2 == 0 ? -0.38 : 0.38;
        Door door{static_cast<int>(b), {town_.centre[b].x + along * kBlockWide * 0.9, town_.centre[b].y + across * kBlockDeep}};
        door.at_home = std::clamp(0.5 + 0.2 * random_.normal(), 0.1, 0.9);
        door.welcomes = random_.uniform() < 0.82 ? 0.88 : 0.2;
        door.in_view = random_.uniform() < 0.5 ? 0.7 : 0.1;
        town_.doors_of[b].push_back(static_cast<int>(town_.doors.size()));
        town_.doors.push_back(door);
      }
    }
  }

  void setCovariates() {
    Random random(seed_, kFields);
    const std::size_t blocks = town_.blocks();
    const std::size_t groups = static_cast<std::size_t>(groupOf(blocks - 1)) + 1;
    std::vector<Point> at(groups);
    std::vector<double> members(groups, 0);
    for (std::size_t b = 0; b < blocks; ++b) {
      const auto g = static_cast<std::size_t>(groupOf(b));
      at[g] = {at[g].x + town_.centre[b].x, at[g].y + town_.centre[b].y};
      ++members[g];
    }
    for (std::size_t g = 0; g < groups; ++g) at[g] = {at[g].x / members[g], at[g].y / members[g]};
    // Three figures of census groups that go together, as such figures do, and heat, which partly follows them.
    const std::vector<double> common = smoothField(at, 2600, random);
    std::vector<std::vector<double>> truth(3, std::vector<double>(groups));
    for (auto& figure : truth) {
      const std::vector<double> own = noise(groups, random);
      for (std::size_t g = 0; g < groups; ++g) figure[g] = 0.75 * common[g] + 0.65 * own[g];
      standardise(figure);
    }
    std::vector<double> heat = smoothField(town_.centre, 1800, random);
    const std::vector<double> pixels = noise(blocks, random);
    town_.covariates.assign(4, std::vector<double>(blocks));
    deprivation_.assign(blocks, 0);
    for (std::size_t b = 0; b < blocks; ++b) {
      const auto g = static_cast<std::size_t>(groupOf(b));
      heat[b] = 0.5 * truth[0][g] + 0.7 * heat[b] + 0.4 * pixels[b];
    }
    standardise(heat);
    std::vector<std::vector<double>> published = truth;
    for (auto& figure : published)
      for (double& value : figure) value += 0.4 * random.normal();  // sampling error of a survey, once a group
    for (std::size_t b = 0; b < blocks; ++b) {
      const auto g = static_cast<std::size_t>(groupOf(b));
      for (std::size_t c = 0; c < 3; ++c) town_.covariates[c][b] = published[c][g];
      town_.covariates[3][b] = heat[b];
      deprivation_[b] = 0.6 * truth[0][g] + 0.35 * truth[1][g] + 0.1 * truth[2][g] + 0.35 * heat[b];
    }
    standardise(deprivation_);
    town_.need_index.assign(blocks, 0);
    for (const auto& covariate : town_.covariates) {
      const std::vector<double> ranks = percentiles(covariate);
      for (std::size_t b = 0; b < blocks; ++b) town_.need_index[b] += ranks[b] / static_cast<double>(town_.covariates.size());
    }
  }

  void setRates() {
    Random random(seed_, kRates);
    const TownKind& kind = town_.kind;
    const std::vector<double> field = smoothField(town_.centre, 1100, random);
    const std::vector<double> own = noise(town_.blocks(), random), of_need = noise(town_.blocks(), random);
    // No town has the numbers of its kind exactly.
    const auto about = [&](double value) { return value * (0.75 + 0.5 * random.uniform()); };
    const double by_field = about(kind.by_neighbourhood), by_deprivation = about(kind.by_deprivation), by_block = about(kind.by_block);
    const double base = about(kind.base_rate), need = about(0.45);
    town_.half_life_days = 350 + 600 * random.uniform();
    double doors = 0, dogs = 0;
    for (std::size_t b = 0; b < town_.blocks(); ++b) {
      town_.rate.push_back(std::exp(by_field * field[b] + by_deprivation * deprivation_[b] + by_block * own[b]));
      const double logit = std::log(need / (1 - need)) + kind.need_by_deprivation * deprivation_[b] + 0.35 * of_need[b];
      town_.need_share.push_back(1 / (1 + std::exp(-logit)));
      doors += static_cast<double>(town_.doors_of[b].size());
      dogs += town_.rate[b] * static_cast<double>(town_.doors_of[b].size());
    }
    for (double& rate : town_.rate) rate = std::min(rate * base * doors / dogs, 0.6);
  }

  int dogsOfAnOwner(Random& random) const {
    if (random.uniform() < town_.kind.many_dogs) return 4 + static_cast<int>(random.poisson(2.5));
    const double u = random.uniform();
    return u < 0.64 ? 1 : u < 0.89 ? 2 : 3;
  }

  // Households in time: with dogs or without, each state lasting exponentially, so that the share with dogs stays the rate.
  void peopleDoors() {
    town_.dogs_of.resize(town_.doors.size());
    double owners = 0, of_owners = 0;
    for (std::size_t d = 0; d < town_.doors.size(); ++d) {
      Random random(seed_, (std::uint64_t{kHouseholds} << 32) | d);
      const int block = town_.doors[d].block;
      const double rate = town_.rate[static_cast<std::size_t>(block)];
      const double mean_with = town_.half_life_days / std::numbers::ln2;
      // A household that keeps on keeping dogs stays with dogs longer; those without wait longer, so that the share is the rate.
      const double spell = mean_with / (1 - town_.kind.stays_owner), mean_without = spell * (1 - rate) / rate;
      bool with = random.uniform() < rate;
      Date now = town_.start;
      bool first = true;
      while (now < town_.end) {
        const double mean = with ? mean_with : mean_without;
        const Date until = now + (1 + static_cast<int>(std::min(-std::log(1 - random.uniform()) * mean, 1e6)));
        if (with) {
          const int count = dogsOfAnOwner(random);
          if (first) ++owners, of_owners += count;
          const bool careless = random.uniform() < town_.need_share[static_cast<std::size_t>(block)];
          for (int i = 0; i < count; ++i) {
            const bool in_need = random.uniform() < 0.85 ? careless : random.uniform() < town_.need_share[static_cast<std::size_t>(block)];
            town_.dogs_of[d].push_back(static_cast<int>(town_.dogs.size()));
            town_.dogs.push_back({static_cast<int>(d), now, until, in_need});
          }
        }
        first = false;
        with = with ? random.uniform() < town_.kind.stays_owner : true;
        now = until;
      }
    }
    town_.mean_dogs = owners > 0 ? of_owners / owners : 1.6;
  }

  // Callers tell of dogs where people pass.
  void tellTips() {
    Random random(seed_, kTips);
    const std::vector<double> traffic = smoothField(town_.centre, 1500, random);
    for (std::size_t d = 0; d < town_.doors.size(); ++d) {
      const double a_day = 0.06 / 365 * std::exp(0.9 * traffic[static_cast<std::size_t>(town_.doors[d].block)]) * (0.3 + 1.75 * town_.doors[d].in_view);
      for (Date day = town_.start; day < town_.end; day = day + 1) {
        if (random.uniform() >= a_day) continue;
        const bool exact = random.uniform() < 0.8;
        if (!dogsAt(town_, static_cast<int>(d), day).empty()) town_.tips.push_back({static_cast<int>(d), day, exact});
      }
    }
    std::ranges::stable_sort(town_.tips, {}, &Tip::day);
  }

  std::uint64_t seed_;
  Random random_;
  Town town_;
  std::vector<double> deprivation_;
};

}  // namespace

const std::vector<TownKind>& townKinds() {
  static const std::vector<TownKind> kKinds = {
      {.name = "clustered", .by_neighbourhood = 0.9, .by_deprivation = 0.2},
      {.name = "diffuse", .by_neighbourhood = 0.1, .by_deprivation = 0.1, .by_block = 0.45},
      {.name = "need", .by_neighbourhood = 0.2, .by_deprivation = 0.8, .by_block = 0.25, .need_by_deprivation = 0.7},
      {.name = "owners", .base_rate = 0.045, .by_neighbourhood = 0.3, .by_deprivation = 0.2, .by_block = 0.5, .many_dogs = 0.2, .stays_owner = 0.75},
      {.name = "misleading", .by_neighbourhood = 0.5, .by_deprivation = -0.5, .need_by_deprivation = -0.2},
      {.name = "seasonal", .by_neighbourhood = 0.5, .by_deprivation = 0.4, .winter_seen = 0.35},
  };
  return kKinds;
}

Town makeTown(const TownKind& kind, std::uint64_t seed) {
  std::uint64_t mixed = seed;
  for (const char c : kind.name) mixed = mixed * 1099511628211ULL + static_cast<unsigned char>(c);
  Town town = Maker(kind, mixed).make();
  town.seed = mixed;
  return town;
}

std::vector<int> dogsAt(const Town& town, int door, Date day) {
  std::vector<int> there;
  for (const int dog : town.dogs_of[static_cast<std::size_t>(door)])
    if (town.dogs[static_cast<std::size_t>(dog)].from <= day && day < town.dogs[static_cast<std::size_t>(dog)].until) there.push_back(dog);
  return there;
}

}  // namespace leeward::bench
