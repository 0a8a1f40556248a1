/// Throws changed lines at the parser and the placer for a time and stops at the first fault or at a line that takes over a quarter of a second:
///   leeward_fuzz_placing SECONDS [SEED] [CORPUS-OUT]
/// Lines that take a new way through the code breed further ones; CORPUS-OUT gets the shortest of up to 300 ways, escaped, one a line
/// (tests/unit/place/hostile_lines.txt is such a file). Not run by ctest. Exit status 1 with the line if there was a fault.
#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <iostream>
#include <map>

#include "tests/unit/place/hostile.h"
#include "tests/unit/place/town.h"

using namespace leeward;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const double seconds = std::atof(argv[1]);
  Random random(argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1);
  test::TownParts town = test::smallTown();
  Progress progress;
  const auto index = analysis::AddressIndex::build(std::move(town.points), std::move(town.ranges), progress);
  if (!index) return 3;
  using Clock = std::chrono::steady_clock;
  const auto since = [](Clock::time_point start) { return std::chrono::duration<double>(Clock::now() - start).count(); };
  std::vector<std::string> lines = test::hostileSeeds();
  std::map<std::string, std::string> shortest;  // way -> line
  const auto start = Clock::now();
  std::size_t tried = 0;
  double slowest = 0;
  for (; since(start) < seconds; ++tried) {
    const std::string line = test::mutated(lines, random);
    const std::clock_t began = std::clock();  // processor time: what else the machine does is no fault of the line
    const std::string fault = test::lineFault(*index, line);
    const double took = static_cast<double>(std::clock() - began) / CLOCKS_PER_SEC;
    slowest = std::max(slowest, took);
    if (!fault.empty() || took > 0.25) {
      std::cout << (fault.empty() ? "slow: " + std::to_string(took) + " s" : fault) << '\n' << test::escaped(line) << '\n';
      return 1;
    }
    const auto [at, is_new] = shortest.try_emplace(test::wayThrough(*index, line), line);
    if (is_new && lines.size() < 20000) lines.push_back(line);
    if (line.size() < at->second.size()) at->second = line;
  }
  std::cout << tried << " lines, " << shortest.size() << " ways through, slowest " << slowest * 1000 << " ms\n";
  if (argc < 4) return 0;
  std::vector<std::string> kept;
  for (const auto& [way, line] : shortest) kept.push_back(test::escaped(line));
  std::sort(kept.begin(), kept.end());
  std::ofstream out(argv[3], std::ios::binary);
  for (std::size_t i = 0; i < std::min<std::size_t>(kept.size(), 300); ++i) out << kept[i * kept.size() / std::min<std::size_t>(kept.size(), 300)] << '\n';
  return 0;
}
