#include "analysis/need/because.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward::analysis {

namespace {

std::string count(int n, const char* one, const char* many) { return fmt::format("{} {}", formatCount(n), n == 1 ? one : many); }
std::string doors(int n) { return count(n, "door", "doors"); }
std::string percent(double share) {
  const double p = share * 100;
  if (p > 0 && p < 1) return "less than 1 %";
  if (p < 100 && p > 99) return "more than 99 %";
  return fmt::format("{:.0f} %", p);
}

std::string unmetPhrase(std::size_t block, const UnmetEstimate& e) {
  return fmt::format("about {} {} ({} to {})", inWords(e.unmet[block]), e.unmet[block] == 1 ? "dog" : "dogs", e.low[block],
                     e.high[block]);
}

std::string leadsPhrase(int leads) {
  return count(leads, "animal seen here has", "animals seen here have") + " not been met yet";
}

// What is known of the block, up to the first semicolon.
std::string opening(std::size_t block, const Coverage& coverage, const UnmetEstimate& e) {
  const BlockCoverage& b = coverage.blocks;
  const int all = b.doors[block], looked = b.doors_looked[block], never = all - looked;
  const std::string of_doors =
      never == 0    ? fmt::format("Every one of {} was looked at before", doors(all))
      : looked == 0 ? fmt::format("None of {} was ever looked at", doors(all))
                    : fmt::format("Of {} {} {} never looked at", doors(all), formatCount(never), never == 1 ? "was" : "were");
  switch (b.state[block]) {
    case CoverageState::Never:
      return all == 1 ? "Its one door was never looked at" : of_doors;
    case CoverageState::Nobody:
      return fmt::format("{} and {} got no answer and no view", of_doors, count(b.looks[block], "look", "looks"));
    case CoverageState::None:
      return fmt::format("{} and {} found no dog, yet one kept here had a {} chance of being missed", of_doors,
                         count(b.looks[block], "look", "looks"), percent(b.chance_missed[block]));
    case CoverageState::OnTime:
    case CoverageState::Overdue:
      break;
  }
  std::string text = fmt::format("{} and {} known", of_doors, count(b.dogs_known[block], "dog is", "dogs are"));
  if (e.lead_count[block] > 0) text += fmt::format(", {} of them seen but never met", formatCount(e.lead_count[block]));
  if (b.dogs_overdue[block] > 0) text += fmt::format(", {} overdue", formatCount(b.dogs_overdue[block]));
  return text;
}

std::string basis(std::size_t block, const Effort& effort, const UnmetEstimate& e) {
  // Leads stand in the figure beside what the rate expects, so the sentence must not derive it from the rate alone. Who they are, the
  // opening has said: where there are leads, dogs are known.
  const std::string leads = e.lead_count[block] > 0 ? fmt::format(", with the {} never met,", formatCount(e.lead_count[block])) : "";
  if (e.day_one)
    return fmt::format("no planned look was made in town yet, so {} dogs a door is an assumption, by which{}", inWords(e.rate[block]), leads);
  if (effort.effective_doors[block] > 0)
    return fmt::format("planned looks here and in the rest of the town point to {} dogs a door, so{}", inWords(e.rate[block]), leads);
  return fmt::format("planned looks elsewhere in town point to {} dogs a door, so{}", inWords(e.rate[block]), leads);
}

}  // namespace

std::string inWords(double number) {
  if (std::isnan(number)) return "an unknown number of";
  if (number <= 0) return "0";
  if (number < 0.01) return "less than 0.01";
  if (number < 0.995) return fmt::format("{:.2f}", number);
  if (number < 9.95) return fmt::format("{:.1f}", number);
  return formatCount(std::llround(number));
}

std::string becauseOf(std::size_t block, const Coverage& coverage, const Effort& effort, const UnmetEstimate& e,
                      const Ranking& ranking) {
  const BlockCoverage& b = coverage.blocks;
  if (b.doors[block] == 0) {
    std::string text = "No doors are on file here, so the block is not ranked";
    if (e.lead_count[block] > 0) text += "; " + leadsPhrase(e.lead_count[block]);
    return text + ".";
  }
  if (b.doors_closed[block] == b.doors[block])
    return fmt::format("{} asked not to be visited again, so nothing can be knocked on here, though {} may still be unmet.",
                       b.doors[block] == 1 ? "Its one door" : fmt::format("All {}", doors(b.doors[block])),
                       unmetPhrase(block, e));
  std::string text = fmt::format("{}; {} {} {} unmet", opening(block, coverage, e), basis(block, effort, e),
                                 unmetPhrase(block, e), e.unmet[block] == 1 ? "is still" : "are still");
  if (b.doors_closed[block] > 0) text += fmt::format(", {} of the doors being closed to us", formatCount(b.doors_closed[block]));
  if (ranking.doors_to_look[block] == 0) return text + ", but there is no door to go to now.";
  const double per_hour = ranking.per_crew_hour[block];
  if (per_hour > ranking.within_reach[block])  // less than an hour's work: a rate an hour would promise more than there is
    return fmt::format("{}; some {} minutes here cover doors with about {} of them in need.", text, inWords(std::ceil(ranking.minutes[block])),
                       inWords(ranking.within_reach[block]));
  const std::string worth = per_hour < 0.01 ? "hardly any" : "about " + inWords(per_hour);
  return fmt::format("{}; an hour here covers doors with {} of them in need.", text, worth);
}

Result<std::vector<std::string>> becauseOfAll(const Coverage& coverage, const Effort& effort, const UnmetEstimate& estimate, const Ranking& ranking, Progress progress) {
  constexpr std::size_t kAtOnce = 512;
  std::vector<std::string> sentences(coverage.blocks.state.size());
  LEEWARD_TRY(progress.parallelFor(sentences.size(), kAtOnce, [&](std::size_t begin, std::size_t end) {
    for (std::size_t block = begin; block < end; ++block) sentences[block] = becauseOf(block, coverage, effort, estimate, ranking);
  }));
  return sentences;
}

}  // namespace leeward::analysis
