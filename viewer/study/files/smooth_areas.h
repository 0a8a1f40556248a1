#pragma once
/// `smooth`: rates of small areas, drawn towards the whole or the neighbourhood.
#include <string>

#include "viewer/study/files/input.h"
#include "viewer/study/files/neighbour_lists.h"

namespace leeward::study {

struct SmoothAreasRequest {
  LayerRequest areas;             ///< a table without geometry serves too
  std::string events, exposure;   ///< columns
  std::string by = "marshall";    ///< or gamma-poisson
  bool local = false;             ///< Marshall's local form; needs neighbours
  NeighboursRequest neighbours;   ///< for the local form; weights of edges don't count
  double level = 0.90;
};

/// The input's columns, then rate (events / exposure), rate_low, rate_high (gamma-Poisson: posterior interval at `level`; Marshall:
/// missing), smoothed. Rows without events or exposure are refused: all four stay empty. InvalidArgument, those of reading, BadData for a value that is no number (with its line).
Result<FileAnswer> smoothAreas(const SmoothAreasRequest& request, Progress& progress);

}  // namespace leeward::study
