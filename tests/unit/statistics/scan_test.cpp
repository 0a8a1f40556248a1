#include "analysis/scans/scan.h"

#include "analysis/scans/draws.h"
#include "shared/base/missing.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

/// Places on a lattice with gaps, so that distances tie; exposures of 1 to 40, events by chance, more of them in one corner.
ScanAreas latticeOf(std::size_t side, std::size_t periods, std::uint64_t seed) {
  Random random(seed);
  ScanAreas areas;
  areas.periods = periods;
  for (std::size_t i = 0; i < side * side; ++i) {
    if (random.below(8) == 0) continue;
    areas.places.push_back({static_cast<double>(i % side) * 100, static_cast<double>(i / side) * 100});
    for (std::size_t t = 0; t < periods; ++t) {
      const double exposure = random.below(10) == 0 ? 0 : 1 + random.below(40);
      const double rate = i % side < 3 && i / side < 3 ? 0.3 : 0.1;
      areas.exposure.push_back(exposure);
      areas.events.push_back(random.binomial(static_cast<std::uint32_t>(exposure), rate));
    }
  }
  return areas;
}

ScanResult scanOf(const ScanAreas& areas, const ScanRequest& request, unsigned threads = 2) {
  Progress progress(Progress::Sink{}, std::stop_token{}, threads);
  auto found = scanAreas(areas, request, progress);
  EXPECT_OK(found);
  return found ? std::move(*found) : ScanResult{};
}

double sumOf(const std::vector<double>& values) { return std::accumulate(values.begin(), values.end(), 0.0); }

/// Each replicate drawn by itself and all its windows looked at one by one.
void expectMaxima(const ScanAreas& areas, ScanRequest request) {
  request.replicates = 70;  // more than one group of lanes
  request.seed = 5;
  const auto found = scanOf(areas, request);
  ASSERT_EQ(found.maxima.size(), 70U);
  const ScanDraws draws(request.model, areas.expected.empty() ? areas.exposure : areas.expected, static_cast<std::uint64_t>(sumOf(areas.events)), request.theta);
  ScanRequest alone = request;
  alone.replicates = 0;
  ScanDraws::Room room;
  std::vector<std::uint32_t> counts;
  for (std::size_t r = 0; r < 70; ++r) {
    Random random(5, r + 1);
    draws.draw(random, room, counts);
    ScanAreas replicate = areas;
    replicate.events.assign(counts.begin(), counts.end());
    ASSERT_EQ(sumOf(replicate.events), sumOf(areas.events));
    const auto one = scanOf(replicate, alone);
    EXPECT_NEAR(found.maxima[r], one.clusters.empty() ? 0 : one.clusters[0].statistic, 1e-9) << "replicate " << r;
  }
}

TEST(Scan, ManyReplicatesAtOnceFindWhatEachFindsByItself) {
  const auto areas = latticeOf(9, 1, 2);
  expectMaxima(areas, {});
  expectMaxima(areas, {.ellipses = true});
  expectMaxima(areas, {.model = ScanModel::Bernoulli});
  expectMaxima(areas, {.largest = 0.1});
  expectMaxima(areas, {.theta = 3.0});
  expectMaxima(areas, {.rates = ScanRates::Low});
  expectMaxima(areas, {.rates = ScanRates::Low, .ellipses = true, .largest = 0.2});
  expectMaxima(areas, {.model = ScanModel::Bernoulli, .rates = ScanRates::Low});
  auto expected = areas;
  for (const double exposure : areas.exposure) expected.expected.push_back(0.7 * exposure);
  for (std::size_t i = 0; i < 20; ++i) expected.expected[i] *= 1.5;
  expectMaxima(expected, {});
}

TEST(Scan, SoItIsInTime) {
  const auto areas = latticeOf(8, 7, 3);
  expectMaxima(areas, {.time = ScanTime::Retrospective});
  expectMaxima(areas, {.time = ScanTime::Prospective});
  expectMaxima(areas, {.rates = ScanRates::Low, .time = ScanTime::Retrospective});
  expectMaxima(areas, {.rates = ScanRates::Low, .time = ScanTime::Prospective});
}

TEST(Scan, SoItIsWithCountsThatNoByteHolds) {
  auto areas = latticeOf(6, 1, 4);
  for (auto& events : areas.events) events *= 400;
  for (auto& exposure : areas.exposure) exposure *= 400;
  expectMaxima(areas, {});
  expectMaxima(areas, {.rates = ScanRates::Low});
}

TEST(Scan, ThreadsChangeNothingAndSeedsDo) {
  const auto areas = latticeOf(20, 1, 6);
  const auto one = scanOf(areas, {.replicates = 199}, 1), four = scanOf(areas, {.replicates = 199}, 4);
  EXPECT_EQ(one.maxima, four.maxima);
  EXPECT_NE(one.maxima, scanOf(areas, {.replicates = 199, .seed = 2}).maxima);
  EXPECT_EQ(one.clusters[0].members, four.clusters[0].members);
  EXPECT_EQ(one.clusters[0].p, 0.005);
}

TEST(Scan, AWindowEndsOnlyWhereTheNextDistanceIsLarger) {
  ScanAreas areas;
  areas.places = {{0, 0}, {1, 0}, {-1, 0}, {0, 5}, {0, 6}, {0, 7}};
  areas.events = {5, 5, 0, 0, 1, 1}, areas.exposure = {10, 10, 10, 10, 10, 10};
  const auto found = scanOf(areas, {.replicates = 0});
  // Around the second place its own window and that with the first end alone; around the first its neighbours are one step.
  EXPECT_EQ(found.clusters.at(0).members, (std::vector<std::size_t>{0, 1}));
  EXPECT_EQ(found.clusters[0].centre, 1U);
}

TEST(Scan, ARunOfWeeksIsFoundBackwardsAndIfItLasts) {
  ScanAreas areas;
  areas.periods = 6;
  for (int i = 0; i < 5; ++i) areas.places.push_back({100.0 * i, 0});
  areas.events.assign(30, 1), areas.exposure.assign(30, 10);
  areas.events[1 * 6 + 2] = 9, areas.events[1 * 6 + 3] = 9;
  const auto back = scanOf(areas, {.time = ScanTime::Retrospective, .replicates = 99});
  EXPECT_EQ(back.clusters.at(0).members, std::vector<std::size_t>{1});
  EXPECT_EQ(back.clusters[0].first_period, 2U);
  EXPECT_EQ(back.clusters[0].last_period, 3U);
  EXPECT_EQ(back.clusters[0].observed, 18);
  EXPECT_EQ(back.clusters[0].p, 0.01);
  const auto now = scanOf(areas, {.time = ScanTime::Prospective, .replicates = 99});
  for (const auto& cluster : now.clusters) EXPECT_EQ(cluster.last_period, 5U);
  EXPECT_GT(now.clusters.at(0).p, 0.01);
}

TEST(Scan, AnEllipseFollowsARowOfPlaces) {
  ScanAreas areas;
  for (int i = 0; i < 100; ++i) {
    areas.places.push_back({100.0 * (i % 10), 100.0 * (i / 10)});
    areas.exposure.push_back(50);
    areas.events.push_back(i / 10 == 5 && i % 10 >= 2 && i % 10 <= 8 ? 9 : 3);
  }
  const auto found = scanOf(areas, {.ellipses = true, .replicates = 0});
  EXPECT_EQ(found.clusters.at(0).members, (std::vector<std::size_t>{52, 53, 54, 55, 56, 57, 58}));
  EXPECT_GE(found.clusters[0].ratio, 3);
  EXPECT_EQ(found.clusters[0].angle, 0);
  EXPECT_LT(found.clusters[0].statistic, found.clusters[0].llr);
}

TEST(Scan, NothingToFindIsNoClusterAndNoCrash) {
  ScanAreas areas;
  EXPECT_TRUE(scanOf(areas, {}).clusters.empty());
  areas.places = {{0, 0}}, areas.events = {3}, areas.exposure = {10};
  EXPECT_TRUE(scanOf(areas, {}).clusters.empty());
  areas = latticeOf(5, 1, 1);
  std::ranges::fill(areas.events, 0);
  EXPECT_TRUE(scanOf(areas, {}).clusters.empty());
  // All at one spot: its only window holds everything.
  std::ranges::fill(areas.events, 1), std::ranges::fill(areas.exposure, 1), std::ranges::fill(areas.places, Point{1, 1});
  EXPECT_TRUE(scanOf(areas, {}).clusters.empty());
}

TEST(Scan, WhatCannotBeMeantIsRefused) {
  const auto codeOf = [](const ScanAreas& areas, const ScanRequest& request) {
    Progress progress;
    const auto found = scanAreas(areas, request, progress);
    return found ? std::optional<ProblemCode>() : found.problem().code;
  };
  const ScanAreas good{.places = {{0, 0}, {1, 0}}, .events = {1, 2}, .exposure = {5, 5}};
  auto areas = good;
  areas.exposure = {0, 0}, areas.events = {0, 0};
  EXPECT_EQ(codeOf(areas, {}), ProblemCode::BadData);
  areas = good, areas.exposure = {0, 5};
  EXPECT_EQ(codeOf(areas, {}), ProblemCode::BadData);
  areas = good, areas.events = {0.5, 1};
  EXPECT_EQ(codeOf(areas, {}), ProblemCode::BadData);
  areas = good, areas.events = {6, 1};
  EXPECT_EQ(codeOf(areas, {.model = ScanModel::Bernoulli}), ProblemCode::BadData);
  areas = good, areas.events = {kNan, 1};
  EXPECT_EQ(codeOf(areas, {}), ProblemCode::InvalidArgument);
  areas = good, areas.places[0].x = kNan;
  EXPECT_EQ(codeOf(areas, {}), ProblemCode::InvalidArgument);
  EXPECT_EQ(codeOf(good, {.largest = 0}), ProblemCode::InvalidArgument);
  EXPECT_EQ(codeOf(good, {.time = ScanTime::Prospective}), ProblemCode::InvalidArgument);
  EXPECT_EQ(codeOf(good, {.replicates = 0}), std::nullopt);
}

}  // namespace
}  // namespace leeward::analysis
