#pragma once
/// `scan`: where, and when, events lie closer together than their exposure explains.
#include <optional>
#include <string>
#include <vector>

#include "analysis/scans/scan.h"
#include "shared/base/dates.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

struct ScanAreasRequest {
  LayerRequest areas;  ///< areas stand at a point inside, points at themselves; or all at columns --x, --y (of the file's own coordinates)
  std::string events, exposure, expected, id;  ///< columns; "" = none (id: row numbers, from 1)
  std::string when;              ///< column with days; needed by a time scan. Rows of one place (of one id, else of one point) are its periods
  std::optional<Every> every;    ///< periods; nothing = each day that stands in the column
  analysis::ScanRequest scan;
};

struct ScannedAreas {
  /// A row a cluster: rank, centre, radius, members (ids, `;` between), observed, expected, relative_risk, llr, p, p_gumbel, areas (how many); with time from, to; of
  /// ellipses ratio, angle (degrees from east, counter-clockwise). Geometry: the members as one area, of points the centre.
  Layer layer;
  std::vector<RefusedRow> refused;  ///< rows that took no part
  analysis::ScanResult found;
  std::vector<std::string> names;   ///< of the places
  std::vector<std::string> periods; ///< names; one without a name where there is no time
  std::string frame;                ///< in what distances were measured, for people
};

/// InvalidArgument, those of reading, CrsMismatch, BadData (numbers below 0, events that are no counts, no exposure at all). Rows without a place, a number or a day, and
/// rows with events where nothing was exposed, are refused.
Result<ScannedAreas> scanAreaFile(const ScanAreasRequest& request, Progress& progress);

}  // namespace leeward::study
