// leeward-towns-bench [--seeds N] [--kinds a,b] [--no-record] [--ablate]: a year of outings under each policy, in invented towns. See TOWNS.md.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "tests/bench/towns/calibration.h"
#include "tests/bench/towns/policies.h"

namespace {

using namespace leeward;  // NOLINT: one program
using namespace leeward::bench;  // NOLINT

struct Call {
  int seeds = 8;
  int first_seed = 1;
  bool record = true;
  bool all = true;
  bool ablate = false;
  std::string kinds;
};

struct Year {
  double in_need_per_hour = 0, never_looked = 0;
};

Team prepared(const Town& town, bool record) {
  Team team = newTeam(town);
  if (record) liveHistory(town, team);
  hearTips(town, team, town.start + (kHistoryDays - 1), record);
  return team;
}

template <class Chooser>
Year liveYear(const Town& town, Team team, Chooser doors_for, Calibration* at_end) {
  constexpr double kHours = 6;
  for (Date day = town.start + kHistoryDays; day < town.end; day = day + 7) {
    hearTips(town, team, day + (-1));
    team.record.as_of = day + (-1);
    goOut(town, team, day, doors_for(team, day, kHours), kHours);
  }
  team.record.as_of = town.end + (-1);
  if (at_end != nullptr) *at_end = judge(town, team);
  std::vector<std::uint8_t> looked(town.blocks(), 0);
  for (const auto block : team.record.looks.block) looked[static_cast<std::size_t>(block)] = 1;
  Year year{team.newly_met_in_need / team.crew_hours, 0};
  for (std::size_t b = 0; b < town.blocks(); ++b) year.never_looked += looked[b] == 0 && !town.doors_of[b].empty() ? 1 : 0;
  return year;
}

struct TownResult {
  std::map<Policy, Year> years;
  Calibration at_start, at_end;
};

TownResult runTown(const TownKind& kind, int seed, const Call& call) {
  const Town town = makeTown(kind, static_cast<std::uint64_t>(seed));
  Team team = prepared(town, call.record);
  TownResult result;
  team.record.as_of = town.start + (kHistoryDays - 1);
  result.at_start = judge(town, team);
  for (const NamedPolicy& named : policies()) {
    if (!call.all && named.policy != Policy::Engine && named.policy != Policy::TrueRates) continue;
    const auto doors_for = [&](const Team& as_is, Date day, double hours) { return doorsFor(named.policy, town, as_is, day, hours); };
    result.years[named.policy] = liveYear(town, team, doors_for, named.policy == Policy::Engine ? &result.at_end : nullptr);
  }
  return result;
}

double median(std::vector<double> values) {
  std::ranges::sort(values);
  const std::size_t n = values.size();
  return n == 0 ? 0 : n % 2 == 1 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2;
}

void printTable(const std::map<std::string, std::vector<TownResult>>& by_kind, bool every) {
  fmt::print("\nDogs in need newly met per crew-hour, means over seeds\n{:<12}", "");
  for (const NamedPolicy& named : policies())
    if (every || named.policy == Policy::Engine || named.policy == Policy::TrueRates) fmt::print("{:>12}", named.name);
  fmt::print("{:>10}\n", "never*");
  std::map<Policy, std::vector<double>> ratios;
  std::vector<double> best_simple_ratios;
  for (const auto& [kind, towns] : by_kind) {
    fmt::print("{:<12}", kind);
    double never = 0;
    std::map<Policy, double> mean;
    for (const TownResult& town : towns) {
      for (const auto& [policy, year] : town.years) mean[policy] += year.in_need_per_hour / static_cast<double>(towns.size());
      never += town.years.at(Policy::Engine).never_looked / static_cast<double>(towns.size());
      double best = 0;
      for (const auto& [policy, year] : town.years) {
        ratios[policy].push_back(town.years.at(Policy::Engine).in_need_per_hour / year.in_need_per_hour);
        if (policy >= Policy::Flat) best = std::max(best, year.in_need_per_hour);
      }
      if (best > 0) best_simple_ratios.push_back(town.years.at(Policy::Engine).in_need_per_hour / best);
    }
    double best = 0;
    for (const NamedPolicy& named : policies()) {
      if (mean.contains(named.policy)) fmt::print("{:>12.3f}", mean[named.policy]);
      if (named.policy >= Policy::Flat) best = std::max(best, mean[named.policy]);
    }
    fmt::print("{:>10.0f}   {:.2f} x true rates", never, mean[Policy::Engine] / mean[Policy::TrueRates]);
    if (best > 0) fmt::print(", {:.2f} x best simple", mean[Policy::Engine] / best);
    fmt::print("\n");
  }
  fmt::print("{:<12}", "engine / it");
  for (const NamedPolicy& named : policies())
    if (ratios.contains(named.policy)) fmt::print("{:>12.2f}", median(ratios[named.policy]));
  fmt::print("   (median town)");
  if (!best_simple_ratios.empty()) fmt::print(", {:.2f} x best simple of each town", median(best_simple_ratios));
  fmt::print("\n* blocks with doors that nobody had looked at when the engine's year ended\n");
}

struct ToldPart {
  unsigned told;
  const char* name;
};
constexpr ToldPart kTold[] = {{kNothing, "nothing"},           {kRates, "rates"},
                              {kDetection, "detection"},       {kHalfLife, "how long dogs stay"},
                              {kDoorClasses, "doors' homes"},  {kRates | kDoorClasses, "rates and homes"},
                              {kRates | kDetection | kHalfLife | kDoorClasses, "all"}};

/// Dogs in need newly met per crew-hour by the engine's choice where it is told part of the truth.
void ablate(const Call& call) {
  fmt::print("{:<20}", "told");
  for (const TownKind& kind : townKinds()) fmt::print("{:>12}", kind.name);
  fmt::print("{:>12}\n", "mean");
  for (const ToldPart& part : kTold) {
    fmt::print("{:<20}", part.name);
    double all = 0;
    for (const TownKind& kind : townKinds()) {
      double sum = 0;
      for (int seed = call.first_seed; seed < call.first_seed + call.seeds; ++seed) {
        const Town town = makeTown(kind, static_cast<std::uint64_t>(seed));
        const auto doors_for = [&](const Team& as_is, Date, double hours) { return doorsTold(part.told, town, as_is, hours); };
        sum += liveYear(town, prepared(town, call.record), doors_for, nullptr).in_need_per_hour / call.seeds;
      }
      fmt::print("{:>12.3f}", sum);
      std::fflush(stdout);
      all += sum / static_cast<double>(townKinds().size());
    }
    fmt::print("{:>12.3f}\n", all);
  }
}

Call readCall(int count, char** words) {
  Call call;
  for (int i = 1; i < count; ++i) {
    const std::string word = words[i];
    const auto value = [&] { return i + 1 < count ? std::string(words[++i]) : std::string(); };
    if (word == "--seeds") call.seeds = std::atoi(value().c_str());
    else if (word == "--first") call.first_seed = std::atoi(value().c_str());
    else if (word == "--kinds") call.kinds = value();
    else if (word == "--no-record") call.record = false;
    else if (word == "--ablate") call.ablate = true;
    else if (word == "--engine-only") call.all = false;
    else {
      fmt::print(stderr, "usage: {} [--seeds N] [--first N] [--kinds a,b] [--no-record] [--engine-only] [--ablate]\n", words[0]);
      std::exit(2);
    }
  }
  return call;
}

}  // namespace

int main(int count, char** words) {
  const Call call = readCall(count, words);
  if (call.ablate) {
    ablate(call);
    return 0;
  }
  std::map<std::string, std::vector<TownResult>> by_kind;
  CalibrationSum start, end;
  for (const TownKind& kind : townKinds()) {
    if (!call.kinds.empty() && ("," + call.kinds + ",").find("," + kind.name + ",") == std::string::npos) continue;
    CalibrationSum of_start, of_end;
    for (int seed = call.first_seed; seed < call.first_seed + call.seeds; ++seed) {
      by_kind[kind.name].push_back(runTown(kind, seed, call));
      of_start.add(by_kind[kind.name].back().at_start);
      of_end.add(by_kind[kind.name].back().at_end);
      std::fflush(stdout);
    }
    fmt::print("{:<12} as the year began: {}\n{:<12} as it ended:       {}\n", kind.name, of_start.text(), "", of_end.text());
    start.add(of_start);
    end.add(of_end);
  }
  fmt::print("{:<12} as the year began: {}\n{:<12} as it ended:       {}\n", "all", start.text(), "", end.text());
  printTable(by_kind, call.all);
  return 0;
}
