/// Fits the calibration of placing scores (chance of being within 30 m of the truth) on a messy log of Cambridge with
/// seeds of its own, and prints the coefficients for analysis/place/scoring.cpp:
///   leeward_calibrate_placing FOLDER-OF-CAMBRIDGE [bad]
/// With "bad": the lines that went wrong on the reported log.
#include <chrono>
#include <cmath>
#include <iostream>

#include "tests/reference/place/cambridge.h"

using namespace leeward;

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
