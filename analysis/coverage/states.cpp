#include "analysis/coverage/states.h"
#include "shared/base/missing.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace leeward::analysis {

namespace {


// What decides a state, gathered for a door or a block.
struct Facts {
  int looks = 0;
  int dogs = 0;
  int overdue = 0;
  bool reached = false;
};

CoverageState stateOf(const Facts& facts) {
  if (facts.dogs > 0) return facts.overdue > 0 ? CoverageState::Overdue : CoverageState::OnTime;
  if (facts.looks == 0) return CoverageState::Never;
  return facts.reached ? CoverageState::None : CoverageState::Nobody;
}

void keepLatest(std::optional<Date>& latest, Date day) { latest = latest ? std::max(*latest, day) : day; }
void keepEarliest(std::optional<Date>& earliest, Date day) { earliest = earliest ? std::min(*earliest, day) : day; }

Coverage blank(const Record& record) {
  Coverage c;
  BlockCoverage& b = c.blocks;
  b.state.resize(record.blocks);
  b.last_look.resize(record.blocks);
  for (auto* column :
       {&b.doors, &b.doors_closed, &b.doors_looked, &b.looks, &b.planned_looks, &b.dogs_known, &b.dogs_met, &b.dogs_overdue})
    column->assign(record.blocks, 0);
  for (auto* column : {&b.share_never, &b.chance_missed}) column->assign(record.blocks, kNan);
  DoorCoverage& d = c.doors;
  const std::size_t doors = record.doors.size();
  d.state.resize(doors);
  d.looks.assign(doors, 0);
  d.dogs_known.assign(doors, 0);
  d.last_look.resize(doors);
  d.due.resize(doors);
  return c;
}

struct Gathering {
  const Record& record;
  Coverage coverage;
  std::vector<Facts> doors, blocks;
  std::vector<double> missed;  // per door: product of (1 - chance)
};

void addLooks(Gathering& g) {
  const Looks& looks = g.record.looks;
  for (std::size_t i = 0; i < looks.size(); ++i) {
    if (looks.date[i] > g.record.as_of) continue;
    const bool reached = gotAnswerOrView(g.record, i);
    if (const std::int32_t door = looks.door[i]; door != kNowhere) {
      ++g.doors[door].looks;
      g.doors[door].reached |= reached;
      g.missed[door] *= 1 - chanceOfLook(g.record, i);
      keepLatest(g.coverage.doors.last_look[door], looks.date[i]);
    }
    if (const std::int32_t block = blockOfLook(g.record, i); block != kNowhere) {
      ++g.blocks[block].looks;
      g.blocks[block].reached |= reached;
      g.coverage.blocks.planned_looks[block] += looks.why[i] == WhyHere::Planned ? 1 : 0;
      keepLatest(g.coverage.blocks.last_look[block], looks.date[i]);
    }
  }
}

void addAnimals(Gathering& g) {
  for (std::size_t i = 0; i < g.record.animals.size(); ++i) {
    if (!isKnown(g.record, i)) continue;
    const Date due = lastServed(g.record, i) + g.record.service_interval_days;
    const int overdue = isOverdue(due, g.record.as_of) ? 1 : 0;
    if (const std::int32_t door = g.record.animals.door[i]; door != kNowhere) {
      ++g.doors[door].dogs;
      g.doors[door].overdue += overdue;
      keepEarliest(g.coverage.doors.due[door], due);
    }
    if (const std::int32_t block = blockOfAnimal(g.record, i); block != kNowhere) {
      ++g.blocks[block].dogs;
      g.blocks[block].overdue += overdue;
      g.coverage.blocks.dogs_met[block] += isMet(g.record, i) ? 1 : 0;
    }
  }
}

void closeDoors(Gathering& g) {
  BlockCoverage& blocks = g.coverage.blocks;
  for (std::size_t door = 0; door < g.record.doors.size(); ++door) {
    g.coverage.doors.state[door] = stateOf(g.doors[door]);
    g.coverage.doors.looks[door] = g.doors[door].looks;
    g.coverage.doors.dogs_known[door] = g.doors[door].dogs;
    const std::int32_t block = g.record.doors.block[door];
    if (block == kNowhere) continue;
    ++blocks.doors[block];
    blocks.doors_closed[block] += isClosed(g.record, door) ? 1 : 0;
    blocks.doors_looked[block] += g.doors[door].looks > 0 ? 1 : 0;
    double& missed = blocks.chance_missed[block];
    missed = (std::isnan(missed) ? 0 : missed) + g.missed[door];
  }
}

void closeBlocks(Gathering& g) {
  BlockCoverage& blocks = g.coverage.blocks;
  for (std::size_t block = 0; block < g.record.blocks; ++block) {
    blocks.state[block] = stateOf(g.blocks[block]);
    blocks.looks[block] = g.blocks[block].looks;
    blocks.dogs_known[block] = g.blocks[block].dogs;
    blocks.dogs_overdue[block] = g.blocks[block].overdue;
    const double doors = blocks.doors[block];
    if (doors > 0) blocks.share_never[block] = 1 - blocks.doors_looked[block] / doors;
    blocks.chance_missed[block] = blocks.state[block] == CoverageState::None ? blocks.chance_missed[block] / doors : kNan;
  }
}

}  // namespace

bool isDue(Date due, Date as_of) { return due <= as_of; }
bool isOverdue(Date due, Date as_of) { return due < as_of; }

std::string_view stateKey(CoverageState state) {
  switch (state) {
    case CoverageState::Never:
      return "never";
    case CoverageState::Nobody:
      return "nobody";
    case CoverageState::None:
      return "none";
    case CoverageState::OnTime:
      return "ontime";
    case CoverageState::Overdue:
      return "overdue";
  }
  return "";
}

Result<Coverage> coverageOf(const Record& record) {
  LEEWARD_TRY(checkRecord(record));
  const std::size_t doors = record.doors.size();
  Gathering gathering{record, blank(record), std::vector<Facts>(doors), std::vector<Facts>(record.blocks),
                      std::vector<double>(doors, 1.0)};
  addLooks(gathering);
  addAnimals(gathering);
  closeDoors(gathering);
  closeBlocks(gathering);
  return std::move(gathering.coverage);
}

}  // namespace leeward::analysis
