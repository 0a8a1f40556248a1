#pragma once
/// Cambridge, Massachusetts (city open data, PDDL 1.0): address points and street ranges in local plane metres, and a
/// visit log made from them by the mess generator.
#include <filesystem>
#include <vector>

#include "analysis/place/address_index.h"
#include "analysis/place/place.h"
#include "tests/reference/place/mess.h"

namespace leeward::test {

struct Cambridge {
  analysis::AddressPoints points;
  analysis::StreetRanges ranges;
  std::vector<CleanAddress> clean;  ///< one a point
  std::vector<std::pair<std::size_t, Point>> crossings;  ///< for each point with `crosses`: its row and the crossing's position
};

Result<Cambridge> readCambridge(const std::filesystem::path& folder);
/// The city's census blocks of 2020 in the same plane.
Result<Geometries> readCambridgeBlocks(const std::filesystem::path& folder);

struct LogLine {
  MessyLine line;
  std::size_t row = 0;  ///< of the points
  Point truth;
};
std::vector<LogLine> messyLog(const Cambridge& city, std::size_t lines, std::uint64_t seed);

struct PlacingFigures {
  double right = 0;            ///< share of all lines at the right premises: within 30 m of the truth (and shown, whatever the decision)
  double right_recoverable = 0;
  double same_id = 0;          ///< share whose matched id is the premises itself
  double sure_wrong = 0;       ///< score >= 0.9 and over 30 m off
  double sure_far = 0;         ///< score >= 0.9 and over 100 m off
  double sure = 0;             ///< score >= 0.9
  double undecided = 0;        ///< among recoverable lines
  double calibration_error = 0;  ///< expected calibration error over ten equal bins of the score
};
PlacingFigures figuresOf(const std::vector<LogLine>& log, const std::vector<analysis::Placement>& placed, const Cambridge& city);

}  // namespace leeward::test
