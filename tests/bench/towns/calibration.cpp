#include "tests/bench/towns/calibration.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numeric>

#include <fmt/format.h>

#include "analysis/need/count_distribution.h"
#include "analysis/need/rank.h"
#include "shared/base/random.h"
#include "tests/bench/towns/plain.h"
#include "tests/bench/towns/policies.h"

namespace leeward::bench {

namespace {

constexpr double kLevel = 0.9;
constexpr int kTop = 20;

std::vector<int> unmetNow(const Town& town, const Team& team, Date day) {
  std::vector<int> unmet(town.blocks(), 0);
  for (std::size_t i = 0; i < town.dogs.size(); ++i)
    if (town.dogs[i].from <= day && day < town.dogs[i].until && team.met[i] == 0) ++unmet[static_cast<std::size_t>(town.doors[static_cast<std::size_t>(town.dogs[i].door)].block)];
  return unmet;
}

double winkler(int low, int high, int truth) {
  const double outside = truth < low ? low - truth : truth > high ? truth - high : 0;
  return high - low + 2 / (1 - kLevel) * outside;
}

std::vector<std::vector<double>> leadsOf(const analysis::Record& record, const analysis::UnmetEstimate& said) {
  std::vector<std::vector<double>> leads(record.blocks);
  for (std::size_t i = 0; i < record.animals.size(); ++i)
    if (const auto block = analysis::blockOfAnimal(record, i); block != analysis::kNowhere && said.animal_unmet[i] > 0) leads[static_cast<std::size_t>(block)].push_back(said.animal_unmet[i]);
  return leads;
}

analysis::CountChances chancesOf(double shape, double scale, double open, const std::vector<double>& dogs, const std::vector<double>& leads) {
  auto chances = analysis::compoundNegativeBinomial(shape, scale, open, dogs);
  for (const double lead : leads) analysis::addBernoulli(chances, lead);
  return chances;
}

double minusLog(const analysis::CountChances& chances, int truth) {
  const double p = static_cast<std::size_t>(truth) < chances.size() ? chances[static_cast<std::size_t>(truth)] : 0;
  return -std::log(std::max(p, 1e-6));
}

/// The chance of being among the k with most: truth, ties at the k-th place sharing what is left.
std::vector<double> amongTop(const std::vector<int>& unmet, const std::vector<std::size_t>& ranked) {
  std::vector<int> sorted;
  for (const std::size_t b : ranked) sorted.push_back(unmet[b]);
  std::ranges::sort(sorted, std::greater<>());
  const int limit = sorted[std::min<std::size_t>(kTop, sorted.size()) - 1];
  double above = 0, at = 0;
  for (const int count : sorted) {
    above += count > limit ? 1 : 0;
    at += count == limit ? 1 : 0;
  }
  std::vector<double> top(unmet.size(), 0);
  for (const std::size_t b : ranked) top[b] = unmet[b] > limit ? 1 : unmet[b] == limit ? (kTop - above) / at : 0;
  return top;
}

void judgeTop(Calibration& c, const Town& town, const Team& team, const Said& said, const std::vector<int>& truth) {
  Progress progress;
  analysis::Outing outing;
  outing.start = town.base;
  const auto ranking = analysis::rankBlocks(team.record, said.effort, said.unmet, outing, {.k = kTop, .draws = 400}, progress);
  if (!ranking.ok()) std::exit(4);
  const std::vector<double> top = amongTop(truth, ranking->order);
  const double base = kTop / static_cast<double>(ranking->order.size());
  for (const std::size_t b : ranking->order) {
    const double chance = ranking->chance_top_k[b];
    c.brier += (chance - top[b]) * (chance - top[b]);
    c.brier_base += (base - top[b]) * (base - top[b]);
    const auto fifth = static_cast<std::size_t>(std::min(4.0, chance * 5));
    c.top_said[fifth] += chance;
    c.top_true[fifth] += top[b];
    ++c.top_count[fifth];
  }
}

}  // namespace

Calibration judge(const Town& town, const Team& team) {
  Calibration c;
  const analysis::Record& record = team.record;
  const std::vector<int> truth = unmetNow(town, team, record.as_of);
  const Said said = engineSays(town, record), knows = trueRatesSay(town, record);
  const auto leads = leadsOf(record, said.unmet), leads_known = leadsOf(record, knows.unmet);
  const PlainRates flat = plainRates(town, record, said.effort, false);
  const double mean = std::accumulate(flat.rate.begin(), flat.rate.end(), 0.0) / static_cast<double>(flat.rate.size());
  std::vector<int> looked(town.blocks(), 0);
  std::vector<std::uint8_t> door_looked(town.doors.size(), 0);
  for (const auto door : record.looks.door) looked[static_cast<std::size_t>(record.doors.block[static_cast<std::size_t>(door)])] += door_looked[static_cast<std::size_t>(door)]++ == 0 ? 1 : 0;
  Random random(town.seed + 9, 1);
  for (std::size_t b = 0; b < town.blocks(); ++b) {
    if (town.doors_of[b].empty()) continue;
    const auto& e = said.unmet;
    const auto chances = analysis::predictive(e, b, leads[b]);
    const auto known = chancesOf(1e6, town.rate[b] / 1e6, knows.unmet.doors_open[b], e.town.dogs_per_door, leads_known[b]);
    const auto known_interval = analysis::equalTailed(known, kLevel);
    ++c.blocks;
    const bool covered = truth[b] >= e.low[b] && truth[b] <= e.high[b];
    c.covered += covered ? 1 : 0;
    c.above += truth[b] > e.high[b] ? 1 : 0;
    c.mass += e.mass[b];
    c.interval_score += winkler(e.low[b], e.high[b], truth[b]);
    c.interval_score_true += winkler(known_interval.low, known_interval.high, truth[b]);
    c.log_score += minusLog(chances, truth[b]);
    c.log_score_flat += minusLog(chancesOf(1, mean, said.effort.unexamined.empty() ? 0 : knows.unmet.doors_open[b], e.town.dogs_per_door, leads[b]), truth[b]);
    const double raw = (said.effort.found_doors[b] + 0.5) / (said.effort.effective_doors[b] + 0.5 / mean);
    c.log_score_raw += minusLog(chancesOf(1e6, raw / 1e6, knows.unmet.doors_open[b], e.town.dogs_per_door, leads[b]), truth[b]);
    c.said += e.unmet[b];
    c.truth += truth[b];
    const std::size_t of_looks = looked[b] == 0 ? 0 : 2 * looked[b] <= static_cast<int>(town.doors_of[b].size()) ? 1 : 2;
    if (of_looks == 0) c.said_never += e.unmet[b], c.truth_never += truth[b];
    ++c.class_blocks[of_looks];
    c.class_covered[of_looks] += covered ? 1 : 0;
    c.class_mass[of_looks] += e.mass[b];
    double below = 0;
    for (int x = 0; x < truth[b] && static_cast<std::size_t>(x) < chances.size(); ++x) below += chances[static_cast<std::size_t>(x)];
    const double at = static_cast<std::size_t>(truth[b]) < chances.size() ? chances[static_cast<std::size_t>(truth[b])] : 0;
    ++c.pit[static_cast<std::size_t>(std::clamp((below + random.uniform() * at) * 10, 0.0, 9.0))];
  }
  judgeTop(c, town, team, said, truth);
  return c;
}

void CalibrationSum::add(const Calibration& t) {
  const auto plus = [](std::vector<double>& a, const std::vector<double>& b) { std::ranges::transform(a, b, a.begin(), std::plus<>()); };
  for (auto field : {&Calibration::blocks, &Calibration::covered, &Calibration::mass, &Calibration::above, &Calibration::interval_score, &Calibration::interval_score_true,
                     &Calibration::log_score, &Calibration::log_score_flat, &Calibration::log_score_raw, &Calibration::said, &Calibration::truth, &Calibration::said_never,
                     &Calibration::truth_never, &Calibration::brier, &Calibration::brier_base})
    sum_.*field += t.*field;
  for (auto field : {&Calibration::pit, &Calibration::top_said, &Calibration::top_true, &Calibration::top_count, &Calibration::class_blocks, &Calibration::class_covered, &Calibration::class_mass})
    plus(sum_.*field, t.*field);
  if (t.truth > 0) ratios_.push_back(t.said / t.truth);
  if (t.truth_never > 0) ratios_never_.push_back(t.said_never / t.truth_never);
}

void CalibrationSum::add(const CalibrationSum& other) {
  auto ratios = ratios_, never = ratios_never_;
  add(other.sum_);
  ratios.insert(ratios.end(), other.ratios_.begin(), other.ratios_.end());
  never.insert(never.end(), other.ratios_never_.begin(), other.ratios_never_.end());
  ratios_ = std::move(ratios), ratios_never_ = std::move(never);
}

std::string CalibrationSum::text() const {
  const auto middle = [](std::vector<double> values) {
    if (values.empty()) return std::string("-");
    std::ranges::sort(values);
    return fmt::format("{:.2f} ({:.2f}-{:.2f})", values[values.size() / 2], values.front(), values.back());
  };
  const double n = sum_.blocks;
  std::string text = fmt::format("covered {:.3f} of {:.3f} claimed, above {:.3f}; interval score {:.2f} x true rates; log score {:.3f} (flat {:.3f}, raw {:.3f}); said/true {}, never looked at {}; ",
                                 sum_.covered / n, sum_.mass / n, sum_.above / n, sum_.interval_score / sum_.interval_score_true, sum_.log_score / n, sum_.log_score_flat / n, sum_.log_score_raw / n,
                                 middle(ratios_), middle(ratios_never_));
  text += fmt::format("Brier skill {:.2f}; top 20 said/true", 1 - sum_.brier / sum_.brier_base);
  for (std::size_t i = 0; i < 5; ++i) text += sum_.top_count[i] > 0 ? fmt::format(" {:.2f}/{:.2f}", sum_.top_said[i] / sum_.top_count[i], sum_.top_true[i] / sum_.top_count[i]) : " -";
  text += "; covered/claimed by looks";
  for (std::size_t i = 0; i < 3; ++i) text += sum_.class_blocks[i] > 0 ? fmt::format(" {:.3f}/{:.3f}", sum_.class_covered[i] / sum_.class_blocks[i], sum_.class_mass[i] / sum_.class_blocks[i]) : " -";
  text += "; PIT";
  for (const double tenth : sum_.pit) text += fmt::format(" {:.2f}", tenth / n * 10);
  return text;
}

}  // namespace leeward::bench
