// The same bits for one thread and for several, of every method that draws numbers; and another seed gives other draws, so that the test sees them.
#include <bit>

#include "analysis/patterns/local_patterns.h"
#include "analysis/scans/scan.h"
#include "analysis/surfaces/bandwidth.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

Progress on(unsigned threads) { return Progress(Progress::Sink{}, std::stop_token{}, threads); }

void expectSameBits(const std::vector<double>& a, const std::vector<double>& b) {
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t i = 0; i < a.size(); ++i) EXPECT_EQ(std::bit_cast<std::uint64_t>(a[i]), std::bit_cast<std::uint64_t>(b[i])) << i;
}

constexpr std::size_t kGridSide = 25;

TEST(Threads, LocalPatterns) {
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  std::vector<double> values;
  Random random(3);
  for (std::size_t i = 0; i < kGridSide * kGridSide; ++i) {
    values.push_back(random.normal());
    if (i % kGridSide + 1 < kGridSide) pairs.emplace_back(i, i + 1);
    if (i + kGridSide < kGridSide * kGridSide) pairs.emplace_back(i, i + kGridSide);
  }
  const auto neighbours = Neighbours::fromPairs(values.size(), pairs);
  const auto find = [&](unsigned threads, std::uint64_t seed) {
    auto progress = on(threads);
    return *localPatterns(values, neighbours, {.permutations = 199, .seed = seed}, progress);
  };
  const auto one = find(1, 7), many = find(5, 7);
  expectSameBits(one.p, many.p), expectSameBits(one.moran, many.moran), expectSameBits(one.gi, many.gi), expectSameBits(one.gstar, many.gstar);
  EXPECT_NE(find(1, 8).p, one.p);
}

TEST(Threads, EveryKindOfScan) {
  Random random(4);
  ScanAreas areas;
  areas.periods = 6;
  for (std::size_t i = 0; i < 90; ++i) {
    areas.places.push_back({1000 * random.uniform(), 1000 * random.uniform()});
    for (std::size_t t = 0; t < areas.periods; ++t) {
      areas.exposure.push_back(5 + random.below(20));
      areas.events.push_back(random.binomial(static_cast<std::uint32_t>(areas.exposure.back()), 0.2));
    }
  }
  for (const auto model : {ScanModel::Poisson, ScanModel::Bernoulli}) {
    for (const auto time : {ScanTime::None, ScanTime::Retrospective, ScanTime::Prospective}) {
      for (const bool is_spread : {false, true}) {
        if (is_spread && model == ScanModel::Bernoulli) continue;
        const auto find = [&](unsigned threads, std::uint64_t seed) {
          ScanRequest request{.model = model, .ellipses = time == ScanTime::None, .time = time, .replicates = 69, .seed = seed};
          if (is_spread) request.theta = 2.5;
          ScanAreas scanned = areas;
          if (time == ScanTime::None) {
            scanned.periods = 1;
            scanned.events.clear(), scanned.exposure.clear();
            for (std::size_t i = 0; i < areas.events.size(); i += areas.periods) scanned.events.push_back(areas.events[i]), scanned.exposure.push_back(areas.exposure[i]);
          }
          auto progress = on(threads);
          auto found = scanAreas(scanned, request, progress);
          EXPECT_OK(found);
          return std::move(*found);
        };
        const auto one = find(1, 9), many = find(4, 9);
        expectSameBits(one.maxima, many.maxima);
        ASSERT_EQ(one.clusters.size(), many.clusters.size());
        for (std::size_t i = 0; i < one.clusters.size(); ++i) {
          EXPECT_EQ(one.clusters[i].members, many.clusters[i].members);
          expectSameBits({one.clusters[i].llr, one.clusters[i].p, one.clusters[i].p_gumbel}, {many.clusters[i].llr, many.clusters[i].p, many.clusters[i].p_gumbel});
        }
        EXPECT_NE(find(1, 10).maxima, one.maxima);
      }
    }
  }
}

TEST(Threads, Bandwidths) {
  Random random(5);
  std::vector<Point> points;
  Bbox box;
  for (std::size_t i = 0; i < 2600; ++i) points.push_back({1000 * random.uniform() * random.uniform(), 1000 * random.uniform()}), box.add(points.back());
  const auto berman = [&](unsigned threads, std::uint64_t seed) {  // above 2,000 points: of a sample
    auto progress = on(threads);
    return *bermanDiggleBandwidth(points, box, seed, progress);
  };
  expectSameBits({berman(1, 6)}, {berman(4, 6)});
  EXPECT_NE(berman(1, 6), berman(1, 11));
  const auto likeliest = [&](unsigned threads) {
    auto progress = on(threads);
    return *likelihoodBandwidth(std::span(points).first(400), 1, progress);
  };
  expectSameBits({likeliest(1)}, {likeliest(4)});
}

}  // namespace
}  // namespace leeward::analysis
