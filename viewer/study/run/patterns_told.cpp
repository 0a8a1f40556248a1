// toldPatterns(): each finding as a lay reader is told it, with what can't be concluded from it.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/study/run/patterns.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

struct Told {
  std::vector<std::string> topic, finding, caution, method;
  void add(const char* about, std::string what, std::string not_this, std::string how) {
    topic.emplace_back(about), finding.push_back(std::move(what)), caution.push_back(std::move(not_this)), method.push_back(std::move(how));
  }
};

/// "about 3 times in a hundred".
std::string often(double p) {
  if (!(p >= 0.001)) return "less than once in a thousand";
  const bool few = p < 0.01;
  const auto times = std::llround(p * (few ? 1000 : 100));
  return fmt::format("about {} in a {}", times == 1 ? "once" : fmt::format("{} times", times), few ? "thousand" : "hundred");
}

std::string number(std::size_t count, const char* one, const char* many) { return fmt::format("{} {}", formatCount(static_cast<std::int64_t>(count)), count == 1 ? one : many); }

/// "the block between Elm St and 3rd St", as people know it.
std::string blockWords(const BlockFacts& facts, std::size_t row) {
  const auto& streets = facts.streets[row];
  if (streets.empty()) return "block " + facts.id[row];
  if (streets.size() == 1) return "the block by " + streets.front();
  return "the block between " + join({streets.begin(), streets.end() - 1}, ", ") + " and " + streets.back();
}

std::size_t rowOf(const BlockFacts& facts, const std::string& id) { return static_cast<std::size_t>(std::ranges::find(facts.id, id) - facts.id.begin()); }

std::string percent(double share) { return fmt::format("{:.0f} %", 100 * share); }

void tellEven(const PatternFacts& facts, Told& told) {
  const auto& even = facts.even;
  std::string finding;
  if (!even.undefined.empty()) finding = "Whether blocks with many finds lie by others like them can't be said: " + even.undefined + ".";
  else if (even.p > 1 - facts.level) finding = "For the looking that was done, blocks with many finds lie by others like them no more than chance would have it.";
  else if (even.z > 0) finding = fmt::format("For the looking that was done, blocks with many finds lie by others like them: so strong a pattern would come about by chance {}.", often(even.p));
  else finding = fmt::format("For the looking that was done, blocks with many finds lie by blocks with few, more than chance would have it ({}).", often(even.p));
  told.add("even", finding,
           "This is of the whole study, and of the blocks that were looked at: it says neither which blocks nor why. No pattern found is not the same as no pattern there, above all where looks are few.",
           fmt::format("Moran's I of rates adjusted for effort (Assuncao & Reis 1999), neighbours: {}; I {}, expected {}, z {}, p {} (normal approximation).", facts.neighbours, formatNumber(std::round(even.statistic * 1e4) / 1e4),
                       formatNumber(std::round(even.expectation * 1e4) / 1e4), formatNumber(std::round(even.z * 100) / 100), formatNumber(std::round(even.p * 1e5) / 1e5)));
}

void tellStanding(const PatternFacts& facts, Told& told) {
  std::string finding, caution;
  const double share = 1 - facts.level;
  if (facts.more + facts.fewer == 0) {
    finding = fmt::format("None of {} stands out from the others together with its neighbours.", number(facts.tested, "block", "blocks"));
    caution = "That no block stands out doesn't show that all are alike: with few looks nothing can.";
    const auto together = static_cast<std::size_t>(std::ceil(2.0 / (facts.permutations + 1) * static_cast<double>(facts.tested) / share));
    if (together > 1) caution += fmt::format(" Among so many blocks fewer than {} at once could not have stood out by this method.", together);
  } else {
    finding = fmt::format("{} together with their neighbours have more finds than the looking explains, {} fewer.", number(facts.more, "block", "blocks"), formatCount(static_cast<std::int64_t>(facts.fewer)));
    caution = fmt::format("Of the blocks named, up to {} may be there by chance. A block is named for its surroundings as well: it need have no dog itself. One that is not named may still be unlike the others.", percent(share));
  }
  told.add("standing", finding, caution,
           fmt::format("Getis and Ord's Gi* of rates adjusted for effort (Ord & Getis 1995), two-sided p from {} permutations, shares of false findings after Benjamini & Hochberg 1995 held under {}.",
                       formatCount(facts.permutations), percent(share)));
}

void tellCircles(const PatternFacts& facts, const Table& circles, Told& told) {
  const double share = 1 - facts.level;
  std::size_t sure = 0;
  for (std::size_t row = 0; row < circles.rows(); ++row) sure += columnOf(circles, "p").asReal(row).value_or(1) <= share ? 1 : 0;
  std::string finding, caution;
  if (sure == 0) {
    finding = "No circle of blocks holds more finds than chance would bring somewhere in the study.";
    caution = "A gathering that is small, long and narrow, or in blocks that were hardly looked at can be missed.";
  } else {
    const auto real = [&](const char* name) { return columnOf(circles, name).asReal(0); };
    const auto risk = real("relative_risk");
    const auto blocks = static_cast<std::size_t>(columnOf(circles, "blocks").asInteger(0).value_or(0));
    finding = fmt::format("Finds gather most in {} around {}: {:.0f} doors with dogs where the looking would bring {:.1f} if all were alike{}; by chance somewhere in the study so strong a gathering would come {}.",
                          number(blocks, "block", "blocks"), blockWords(facts.facts, rowOf(facts.facts, columnOf(circles, "centre").asText(0))), real("observed").value_or(0), real("expected").value_or(0),
                          risk ? fmt::format(", {:.1f} times the rate elsewhere", *risk) : "", often(real("p").value_or(1)));
    if (sure > 1) finding += fmt::format(" {} more could hardly be chance.", number(sure - 1, "such circle", "such circles"));
    caution = "The circle as a whole is unlike chance; no single block in it need be, and its border is the circle's, not the need's. Its rate is picked as the highest, so it says too much of the difference.";
  }
  told.add("circle", finding, caution,
           fmt::format("Scan statistic (Kulldorff 1997) with effective planned doors as exposure, p from {} replicates{}.", formatCount(static_cast<std::int64_t>(facts.replicates)),
                       facts.theta > 0 ? fmt::format(" in which blocks differ beyond chance as they do here (negative-binomial, theta {:.2f})", facts.theta) : ""));
}

void tellNearby(const PatternFacts& facts, const Table& blocks, Told& told) {
  const Column& nearby = columnOf(blocks, "nearby");
  std::size_t best = 0, known = 0;
  double highest = -1;
  std::vector<double> values;
  for (std::size_t row = 0; row < blocks.rows(); ++row) {
    const auto value = nearby.asReal(row);
    if (!value) continue;
    ++known, values.push_back(*value);
    if (*value > highest) highest = *value, best = row;
  }
  if (known == 0) return;
  std::ranges::nth_element(values, values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2));
  told.add("nearby",
           fmt::format("Smoothed over the surroundings, planned looks found most often near {}: {:.1f} doors with dogs in a hundred looks; near the middle block it is {:.1f}.", blockWords(facts.facts, best), 100 * highest,
                       100 * values[values.size() / 2]),
           "Such a surface has a highest place by chance too, and no p-value belongs to it. Another width of smoothing shows other hills.",
           fmt::format("Finds over planned looks, both spread by a Gaussian kernel of {:.0f} m.", facts.nearby_m));
}

std::string dayWords(const Table& table, const char* column, std::size_t row) {
  const auto day = parseIsoDate(columnOf(table, column).asText(row));
  return day ? toWords(*day) : "an unknown day";
}

void tellClusters(const Table& clusters, Told& told) {
  if (clusters.rows() == 0) return;
  std::size_t largest = 0;
  std::int64_t sightings = 0;
  const auto of = [&](const char* name, std::size_t row) { return columnOf(clusters, name).asInteger(row).value_or(0); };
  for (std::size_t row = 0; row < clusters.rows(); ++row) {
    sightings += of("sightings", row);
    if (of("sightings", row) > of("sightings", largest)) largest = row;
  }
  told.add("clusters",
           fmt::format("{} of sightings hold {} of them; the largest has {} of {} told apart, from {} to {}.", number(clusters.rows(), "cluster", "clusters"), formatCount(sightings), number(static_cast<std::size_t>(of("sightings", largest)), "sighting", "sightings"),
                       number(static_cast<std::size_t>(of("dogs", largest)), "dog", "dogs"), dayWords(clusters, "first", largest), dayWords(clusters, "last", largest)),
           "A cluster of sightings is where people were and reported, not where dogs are; none of the figures above rests on it.", "Clusters of sightings: DBSCAN (Ester et al. 1996).");
}

void tellExplained(const PatternFacts& facts, const Table& explained, Told& told) {
  constexpr const char* kHow = "Negative-binomial regression (Poisson where counts spread no more) of found doors on heat and need, effective planned doors as exposure; intervals by robust standard errors (HC1).";
  if (!facts.not_explained.empty()) {
    told.add("explained", facts.not_explained + ".", "Nothing can be said of what goes with finds; it is no sign that nothing does.", kHow);
    return;
  }
  std::string finding;
  for (std::size_t row = 1; row < explained.rows(); ++row) {
    const auto real = [&](const char* name) { return columnOf(explained, name).asReal(row).value_or(0); };
    const std::string name = columnOf(explained, "term").asText(row);
    const bool is_sure = real("low") > 1 || real("high") < 1;
    finding += fmt::format("{}Blocks at the upper quarter of {} ({}) had {:.2f} times the finds, for the same looking, of those at the lower ({}); {} interval {:.2f} to {:.2f}{}.", finding.empty() ? "" : " ",
                           name == "need" ? "the need index" : "heat", formatNumber(std::round(100 * real("to")) / 100), real("ratio"), formatNumber(std::round(100 * real("from")) / 100), percent(facts.level), real("low"), real("high"),
                           is_sure ? "" : ", so no difference is shown either way");
  }
  std::string caution = "What goes with finds need not cause them, and nothing here says what any household does. Blocks of one census area share its figures, so they are fewer pieces of evidence than they look.";
  if (facts.left.undefined.empty() && facts.left.p <= 1 - facts.level && facts.left.z > 0) {
    caution += fmt::format(" What the model leaves over still lies in patches (Moran's I {:.2f}), so the intervals are too short.", facts.left.statistic);
  }
  told.add("explained", finding, caution, kHow);
}

}  // namespace

Table toldPatterns(const PatternFacts& facts, const PatternTables& tables, const Table& clusters) {
  Told told;
  if (facts.looked < kLeastForPatterns || facts.found_doors < static_cast<double>(kLeastForPatterns)) {
    told.add("even",
             fmt::format("Planned looks found dogs at {} in {}: too few to say where finds gather.", number(static_cast<std::size_t>(facts.found_doors), "door", "doors"), number(facts.looked, "block", "blocks")),
             fmt::format("This is no sign of an even spread. From {} found doors in {} blocks on it is looked at.", kLeastForPatterns, kLeastForPatterns), "Planned looks alone, up to the one that finds the first dog at a door.");
  } else {
    tellEven(facts, told);
    tellStanding(facts, told);
    tellCircles(facts, tables.circles.table, told);
    tellNearby(facts, tables.blocks, told);
    tellExplained(facts, tables.explained, told);
  }
  tellClusters(clusters, told);
  return TableMaker{}.texts("topic", told.topic).texts("finding", told.finding).texts("caution", told.caution).texts("method", told.method).done();
}

}  // namespace leeward::study
