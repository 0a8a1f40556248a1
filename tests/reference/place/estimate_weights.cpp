/// Estimates the agreement weights by EM, without knowing which pairs are right, and compares them with those in scoring.cpp:
///   leeward_estimate_weights FOLDER-OF-CAMBRIDGE
/// Two classes of pairs of a line and a candidate street, their fields independent within a class (Fellegi & Sunter 1969; by EM: Winkler 1988, "Using the EM
/// algorithm for weight computation in the Fellegi-Sunter model of record linkage", ASA Section on Survey Research Methods; Dempster, Laird & Rubin 1977). Seeds are those of the calibration.
#include <array>
#include <cmath>
#include <iostream>

#include "analysis/place/candidates.h"
#include "tests/reference/place/cambridge.h"

using namespace leeward;
using analysis::Agreement;

namespace {

constexpr std::size_t kFields = 6;
constexpr std::size_t kLevels = 12;
using Levels = std::array<std::size_t, kFields>;

Levels levelsOf(const Agreement& a) {
  return {static_cast<std::size_t>(a.core) + (a.letters < 5 && a.core != analysis::CoreAgreement::Same ? 6U : 0U), static_cast<std::size_t>(a.type),
          static_cast<std::size_t>(a.direction), static_cast<std::size_t>(a.number), static_cast<std::size_t>(a.postcode), static_cast<std::size_t>(std::min(a.left_over, 4))};
}

struct Pair {
  std::size_t line = 0;
  Levels levels{};
  double weight = 0;  ///< of scoring.cpp
  bool right = false;
};

using Chances = std::array<std::array<double, kLevels>, kFields>;

struct Classes {
  double share = 0.1;  ///< of right pairs
  Chances right{}, wrong{};

  double logOdds(const Levels& levels) const {
    double odds = 0;
    for (std::size_t f = 0; f < kFields; ++f) odds += std::log(right[f][levels[f]] / wrong[f][levels[f]]);
    return odds;
  }
};

/// Starts from "more agreement is likelier right": the first level of each field is the best one.
Classes started() {
  Classes c;
  for (std::size_t f = 0; f < kFields; ++f) {
    for (std::size_t l = 0; l < kLevels; ++l) c.right[f][l] = l == 0 ? 0.8 : 0.2 / (kLevels - 1), c.wrong[f][l] = l == 0 ? 0.2 : 0.8 / (kLevels - 1);
  }
  return c;
}

Classes estimated(const std::vector<Pair>& pairs) {
  Classes c = started();
  for (int round = 0; round < 200; ++round) {
    Classes next;
    for (auto* chances : {&next.right, &next.wrong}) {
      for (auto& field : *chances) field.fill(0.5);  // half a case of each, so that none is impossible
    }
    double right = 0;
    for (const Pair& p : pairs) {
      const double chance = 1 / (1 + (1 - c.share) / c.share * std::exp(-c.logOdds(p.levels)));
      right += chance;
      for (std::size_t f = 0; f < kFields; ++f) next.right[f][p.levels[f]] += chance, next.wrong[f][p.levels[f]] += 1 - chance;
    }
    for (auto* chances : {&next.right, &next.wrong}) {
      for (auto& field : *chances) {
        double sum = 0;
        for (const double v : field) sum += v;
        for (double& v : field) v /= sum;
      }
    }
    next.share = right / static_cast<double>(pairs.size());
    const bool settled = std::abs(next.share - c.share) < 1e-9;
    c = next;
    if (settled) break;
  }
  return c;
}

/// Share of the lines that have a right pair whose heaviest pair is right; ties count as shared.
template <typename Weight>
double rightFirst(const std::vector<Pair>& pairs, Weight weight) {
  double right = 0, lines = 0;
  for (std::size_t from = 0; from < pairs.size();) {
    std::size_t to = from;
    while (to < pairs.size() && pairs[to].line == pairs[from].line) ++to;
    double best = -1e300, held = 0, good = 0;
    bool any = false;
    for (std::size_t i = from; i < to; ++i) {
      const double w = weight(pairs[i]);
      any |= pairs[i].right;
      if (w > best + 1e-9) best = w, held = good = 0;
      if (w > best - 1e-9) held += 1, good += pairs[i].right;
    }
    if (any) lines += 1, right += good / held;
    from = to;
  }
  return right / lines;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const auto city = test::readCambridge(argv[1]);
  if (!city) return 3;
  Progress progress;
  const auto index = analysis::AddressIndex::build(city->points, city->ranges, progress);
  if (!index) return 3;
  std::vector<Pair> pairs;
  analysis::NearCoresMemo memo;
  const auto log = test::messyLog(*city, 20000, 7);
  for (std::size_t line = 0; line < log.size(); ++line) {
    const auto ranking = analysis::rankPlaces(index->data(), {log[line].line.text, "", ""}, memo);
    for (const analysis::Candidate& c : ranking.places) {
      if (c.placed_by == analysis::PlacedBy::Crossing || c.placed_by == analysis::PlacedBy::Postcode) continue;
      const double off = std::hypot(c.position.x - log[line].truth.x, c.position.y - log[line].truth.y);
      pairs.push_back({line, levelsOf(c.agreement), c.weight, off <= 30});
    }
  }
  const Classes em = estimated(pairs);
  double truly = 0;
  for (const Pair& p : pairs) truly += p.right;
  std::cout << pairs.size() << " pairs, right " << truly / static_cast<double>(pairs.size()) << ", by EM " << em.share << '\n';
  constexpr std::array kNames = {"core", "type", "direction", "number", "postcode", "left over"};
  for (std::size_t f = 0; f < kFields; ++f) {
    std::cout << kNames[f] << ':';
    for (std::size_t l = 0; l < kLevels; ++l) std::cout << ' ' << std::round(100 * std::log(em.right[f][l] / em.wrong[f][l])) / 100;
    std::cout << '\n';
  }
  std::cout << "heaviest pair right: by scoring.cpp " << rightFirst(pairs, [](const Pair& p) { return p.weight; }) << ", by EM "
            << rightFirst(pairs, [&](const Pair& p) { return em.logOdds(p.levels); }) << '\n';
  return 0;
}
