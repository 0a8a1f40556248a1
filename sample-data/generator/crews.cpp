#include "sample-data/generator/crews.h"

#include <algorithm>
#include <cmath>

#include "sample-data/generator/at_the_door.h"

namespace leeward::town {

namespace {

constexpr Point kBase{-250, -120};
constexpr double kNeverShare = 0.19;  ///< of blocks with homes: nobody ever goes there
constexpr double kOutingsPerDay = 0.44;
constexpr int kDoorsAnOuting = 7;

class Crews {
 public:
  Crews(const Town& town, Population& population, const std::vector<Day>& days, Random& random)
      : town_(town), population_(population), random_(random), door_(town, population, days, random, record_.visits) {
    by_block_.resize(town.blocks.size());
    for (std::size_t d = 0; d < town.doors.size(); ++d) {
      if (town.doors[d].home) by_block_[static_cast<std::size_t>(town.doors[d].block)].push_back(static_cast<int>(d));
    }
    favour();
  }

  Record run() {
    for (Date date = kFirstDay; date <= kLastDay; date = date + 1) {
      if ((date - kFirstDay) % 30 == 29) monthPasses(population_, date, random_);
      calls(date);
      const int weekday = ((date.days + 3) % 7 + 7) % 7;  // Monday is 0
      if (weekday == 0 || weekday == 6) continue;
      // two outings in five working days, a few more once there are two vans
      const double busy = kOutingsPerDay * (date - kFirstDay > 270 ? 1.15 : 0.85);
      if (random_.uniform() < busy) outing(date, random_.uniform() < 0.62 || date - kFirstDay < 240 ? "Van A" : "Van B");
    }
    record_.looked.assign(town_.doors.size(), 0);
    for (std::size_t d = 0; d < town_.doors.size(); ++d) record_.looked[d] = door_.memory[d].last_look ? 1 : 0;
    return std::move(record_);
  }

 private:
  /// Which blocks the crews like to work: near the base, poorer, and by habit. The least liked are never gone to.
  void favour() {
    std::vector<std::pair<double, std::size_t>> order;
    liking_.assign(town_.blocks.size(), 0);
    for (std::size_t b = 0; b < town_.blocks.size(); ++b) {
      if (by_block_[b].size() < 3) continue;
      const double score = 5 * town_.blocks[b].poverty - distance(town_.plan.faces[b].inner, kBase) / 1300 + 0.75 * random_.normal();
      order.emplace_back(score, b);
    }
    std::sort(order.begin(), order.end());
    const auto never = static_cast<std::size_t>(kNeverShare * static_cast<double>(order.size()));
    for (std::size_t k = never; k < order.size(); ++k) liking_[order[k].second] = std::exp(0.8 * order[k].first);
  }

  void calls(Date date) {
    // a neighbour calls about a dog that stays outdoors; few calls come from where nobody knows the team
    if (random_.uniform() >= 0.26 || population_.dogs.empty()) return;
    for (int attempt = 0; attempt < 60; ++attempt) {
      const auto d = random_.below(static_cast<std::uint32_t>(population_.dogs.size()));
      const Dog& dog = population_.dogs[d];
      const double like = liking_[static_cast<std::size_t>(town_.doors[static_cast<std::size_t>(dog.door)].block)];
      if (!dog.outside(date) || random_.uniform() > (like > 0 ? 0.5 : 0.0) || (!dog.inNeed() && random_.uniform() < 0.5)) continue;
      called_.push_back(dog.door);
      return;
    }
  }

  void outing(Date date, const char* crew) {
    int left = kDoorsAnOuting + static_cast<int>(random_.below(5));
    for (int door : dueBy(date, 5)) {
      visit({date, crew, "return", true, door});
      --left;
    }
    for (int k = 0; k < 3 && !called_.empty(); ++k) {
      const int door = called_.front();
      called_.erase(called_.begin());
      if (door_.memory[static_cast<std::size_t>(door)].keep_away) continue;
      visit({date, crew, random_.uniform() < 0.12 ? "owner_asked" : "caller", true, door});
      --left;
    }
    while (left > 0) {
      const int done = plannedBlock(date, crew, left);
      if (done == 0) return;
      left -= done;
    }
  }

  std::vector<int> dueBy(Date date, std::size_t most) const {
    std::vector<std::pair<Date, int>> due;
    for (std::size_t d = 0; d < door_.memory.size(); ++d) {
      const Memory& m = door_.memory[d];
      if (m.known && !m.keep_away && m.fruitless < 5 && m.return_by && *m.return_by <= date) due.emplace_back(*m.return_by, static_cast<int>(d));
    }
    std::sort(due.begin(), due.end());
    std::vector<int> out;
    for (std::size_t k = 0; k < std::min(most, due.size()); ++k) out.push_back(due[k].second);
    return out;
  }

  /// Some doors in a row on one block, chosen by liking, by dogs known there, and away from what was just done.
  int plannedBlock(Date date, const char* crew, int left) {
    std::vector<double> sums;
    double sum = 0;
    for (std::size_t b = 0; b < liking_.size(); ++b) {
      int looked = 0;
      int known = 0;
      for (int d : by_block_[b]) {
        const Memory& m = door_.memory[static_cast<std::size_t>(d)];
        looked += m.last_look ? 1 : 0;
        known += m.known ? 1 : 0;
      }
      const double share = by_block_[b].empty() ? 1 : looked / static_cast<double>(by_block_[b].size());
      sum += liking_[b] * (1 + 0.6 * std::min(known, 5)) * std::pow(1.02 - share, 1.5);
      sums.push_back(sum);
    }
    if (sum <= 0) return 0;
    const double draw = random_.uniform() * sum;
    const auto block = static_cast<std::size_t>(std::lower_bound(sums.begin(), sums.end(), draw) - sums.begin());
    const auto& doors = by_block_[block];
    const std::size_t start = random_.below(static_cast<std::uint32_t>(doors.size()));
    const bool knock = random_.uniform() < 0.72;
    int done = 0;
    const int want = std::min(left, 4 + static_cast<int>(random_.below(5)));
    for (std::size_t k = 0; k < doors.size() && done < want; ++k) {
      const int door = doors[(start + k) % doors.size()];
      const Memory& m = door_.memory[static_cast<std::size_t>(door)];
      if (m.known || m.keep_away || (m.last_look && date - *m.last_look < 240)) continue;
      visit({date, crew, "planned", knock, door});
      ++done;
    }
    for (int door : doors) {  // dogs that nobody looked for, seen in passing
      const Memory& m = door_.memory[static_cast<std::size_t>(door)];
      if (m.known || m.keep_away || (m.last_look && *m.last_look == date) || random_.uniform() > 0.05) continue;
      bool out = false;
      for (int d : population_.at_door[static_cast<std::size_t>(door)]) out = out || population_.dogs[static_cast<std::size_t>(d)].outside(date);
      if (!out) continue;
      visit({date, crew, "passing", random_.uniform() < 0.4, door});
      ++done;
    }
    return std::max(done, 1);
  }

  void visit(const Look& look) { door_.look(look); }

  const Town& town_;
  Population& population_;
  Random& random_;
  Record record_;
  AtTheDoor door_;
  std::vector<std::vector<int>> by_block_;
  std::vector<double> liking_;
  std::vector<int> called_;
};

}  // namespace

Record keepRecord(const Town& town, Population& population, const std::vector<Day>& days, Random& random) {
  return Crews(town, population, days, random).run();
}

}  // namespace leeward::town
