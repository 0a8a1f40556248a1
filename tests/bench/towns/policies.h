#pragma once
/// The policies that are compared: how each makes the list of doors for an outing.
#include <string>
#include <vector>

#include "analysis/need/unmet.h"
#include "tests/bench/towns/team.h"

namespace leeward::bench {

enum class Policy { Oracle, TrueRates, Engine, PlainModel, Flat, OpenLeads, MostFinds, ByHabit, NeedIndex, Nearest, Random };
/// What the engine may be told of the truth, to see how much each part of its ignorance costs. Bits.
enum Told : unsigned { kNothing = 0, kRates = 1, kDetection = 2, kHalfLife = 4, kDoorClasses = 8 };
struct NamedPolicy {
  Policy policy;
  std::string name;
};
const std::vector<NamedPolicy>& policies();

/// The doors to knock on this day, best first, enough for somewhat more than `hours`. `record.as_of` must be the day before.
std::vector<int> doorsFor(Policy policy, const Town& town, const Team& team, Date day, double hours);

/// The engine's doors where it is told part of the truth: block rates and shares in need; what a look sees; how long dogs stay; who is at home
/// and welcomes at each door.
std::vector<int> doorsTold(unsigned told, const Town& town, const Team& team, double hours);

/// What the engine says of the town, as `next` would: indicators as they are published, no truth.
struct Said {
  analysis::Effort effort;
  analysis::UnmetEstimate unmet;
};
Said engineSays(const Town& town, const analysis::Record& record);

/// The same estimate for somebody who knows each block's rate and share in need, but not which dogs there are.
Said trueRatesSay(const Town& town, const analysis::Record& record);

}  // namespace leeward::bench
