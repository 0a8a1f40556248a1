/// Fits the calibration of placing scores (chance of being within 30 m of the truth) on a messy log of Cambridge with
/// seeds of its own, and prints the coefficients for analysis/place/scoring.cpp:
///   leeward_calibrate_placing FOLDER-OF-CAMBRIDGE [bad]
/// With "bad": the lines that went wrong on the reported log.
#include <chrono>
#include <cmath>
#include <iostream>
#include <map>

#include "analysis/place/candidates.h"
#include "tests/reference/place/cambridge.h"

using namespace leeward;

namespace {

struct Case {
  std::array<double, 3> x{};  ///< one, weight, log of share
  bool right = false;
};

/// Logistic regression by Newton's method with a small ridge towards the start (few cases keep what they had).
std::array<double, 3> fit(const std::vector<Case>& cases, std::array<double, 3> start) {
  constexpr double kRidge = 1;
  std::array<double, 3> b = start;
  for (int round = 0; round < 40; ++round) {
    std::array<double, 3> g{};
    std::array<std::array<double, 4>, 3> h{};
    for (std::size_t i = 0; i < 3; ++i) {
      g[i] = -kRidge * (b[i] - start[i]);
      h[i][i] = kRidge;
    }
    for (const Case& c : cases) {
      const double p = 1 / (1 + std::exp(-(b[0] * c.x[0] + b[1] * c.x[1] + b[2] * c.x[2])));
      for (std::size_t i = 0; i < 3; ++i) {
        g[i] += ((c.right ? 1 : 0) - p) * c.x[i];
        for (std::size_t j = 0; j < 3; ++j) h[i][j] += p * (1 - p) * c.x[i] * c.x[j];
      }
    }
    for (std::size_t i = 0; i < 3; ++i) h[i][3] = g[i];
    for (std::size_t k = 0; k < 3; ++k) {  // Gauss-Jordan; positive definite by the ridge
      for (std::size_t i = 0; i < 3; ++i) {
        if (i == k) continue;
        const double factor = h[i][k] / h[k][k];
        for (std::size_t j = k; j < 4; ++j) h[i][j] -= factor * h[k][j];
      }
    }
    // Steps are held short: a first step far out would not come back.
    for (std::size_t i = 0; i < 3; ++i) b[i] += std::clamp(h[i][3] / h[i][i], -0.5, 0.5);
  }
  return b;
}

/// Grades that the reference can tell something about: some right and some wrong places are needed.
void fitGrades(const analysis::AddressIndex& index, const std::vector<test::LogLine>& log, const std::vector<analysis::PlacedBy>& grades) {
  constexpr std::ptrdiff_t kFewest = 50;
  std::map<analysis::PlacedBy, std::vector<Case>> cases;
  analysis::NearCoresMemo memo;
  for (const auto& entry : log) {
    const auto ranking = analysis::rankPlaces(index.data(), {entry.line.text, "", ""}, memo);
    for (std::size_t i = 0; i < std::min<std::size_t>(ranking.places.size(), 2); ++i) {
      const auto& c = ranking.places[i];
      const double off = std::hypot(c.position.x - entry.truth.x, c.position.y - entry.truth.y);
      cases[c.placed_by].push_back({{1, c.weight, std::log(std::max(ranking.shares[i], 1e-9))}, off <= 30});
    }
  }
  for (const analysis::PlacedBy grade : grades) {
    const auto& held = cases[grade];
    const auto right = std::count_if(held.begin(), held.end(), [](const Case& c) { return c.right; });
    std::cout << name(grade) << ": " << held.size() << " cases, " << right << " right";
    if (right >= kFewest && static_cast<std::ptrdiff_t>(held.size()) - right >= kFewest) {
      const auto b = fit(held, {-1, 0.3, 3});
      std::cout << ", base " << b[0] << ", weight " << b[1] << ", log share " << b[2];
    }
    std::cout << '\n';
  }
}

/// Every second point, so that numbers are missing from the reference as they are in life.
analysis::AddressPoints halved(const analysis::AddressPoints& all) {
  analysis::AddressPoints half;
  for (std::size_t row = 0; row < all.size(); ++row) {
    if (Random(2, row).below(2) == 0) continue;
    half.id.push_back(all.id[row]);
    half.number.push_back(all.number[row]);
    half.street.push_back(all.street[row]);
    half.place.push_back(all.place[row]);
    half.postcode.push_back(all.postcode[row]);
    half.position.push_back(all.position[row]);
  }
  return half;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const auto city = test::readCambridge(argv[1]);
  if (!city) return 3;
  Progress progress;
  const auto index = analysis::AddressIndex::build(city->points, city->ranges, progress);
  if (!index) return 3;
  const auto log = test::messyLog(*city, 20000, 7);
  std::vector<analysis::PlaceQuery> queries;
  for (const auto& entry : log) queries.push_back({entry.line.text, "", ""});
  const auto start = std::chrono::steady_clock::now();
  const auto placed = analysis::placeAddresses(*index, queries, progress);
  const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  if (!placed) return 4;
  const auto f = test::figuresOf(log, *placed, *city);
  std::cout << "right " << f.right << ", of recoverable " << f.right_recoverable << ", same id " << f.same_id << ", sure " << f.sure
            << ", sure and wrong " << f.sure_wrong << ", sure and far " << f.sure_far << ", undecided " << f.undecided << ", calibration error "
            << f.calibration_error << ", " << 20000 / seconds << " lines/s\n";
  fitGrades(*index, log, {analysis::PlacedBy::Point, analysis::PlacedBy::Crossing});
  const auto sparse = analysis::AddressIndex::build(halved(city->points), city->ranges, progress);
  if (!sparse) return 3;
  fitGrades(*sparse, log, {analysis::PlacedBy::Between, analysis::PlacedBy::Range});
  if (argc > 2) {
    for (std::size_t i = 0; i < log.size(); ++i) {
      const auto& p = (*placed)[i];
      const double off = std::hypot(p.position.x - log[i].truth.x, p.position.y - log[i].truth.y);
      if (off <= 30) continue;
      std::cout << (log[i].line.recoverable ? "" : "*") << log[i].line.text << " | " << city->points.number[log[i].row] << ' '
                << city->points.street[log[i].row] << " | " << name(p.decision) << ' ' << name(p.placed_by) << ' ' << p.score << ' '
                << p.matched_address << " | " << off << " m | " << p.why << '\n';
    }
  }
  return 0;
}
