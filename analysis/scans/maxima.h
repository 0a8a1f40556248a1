#pragma once
/// The largest statistic of each of many replicates, fast: what a scan's chances are read from.
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "analysis/scans/draws.h"
#include "analysis/scans/likelihood.h"
#include "analysis/scans/windows.h"
#include "shared/base/progress.h"

namespace leeward::analysis {

/// Periods that a window spans, both counted in. In a list each span is one period, or the one before it and one period more at either end.
struct ScanSpan {
  std::uint32_t first = 0, last = 0;
};

struct MaximaRequest {
  const ScanWindows& windows;
  std::span<const ScanForm> forms;
  std::span<const ScanSpan> spans;
  std::size_t periods = 1;
  std::span<const double> weights;  ///< a cell: place * periods + period
  ScanLikelihood likelihood;
  const ScanDraws& draws;
  std::size_t replicates = 0;
  std::uint64_t seed = 1;           ///< replicate r draws from stream r + 1
  /// Called once for each centre and form, for several centres at once: what else wants the orders needn't sort them again.
  std::function<void(std::size_t centre, std::size_t form, const ScanOrder& order)> also;
};

/// Per replicate the largest penalised log likelihood ratio of all windows. Every window is looked at, most of them many at once: places are added to
/// windows in blocks for 64 replicates together, and where even a block's whole count with its first window's exposure could not beat what a replicate
/// has already found, none of its windows can. The table of counts that can't is a lower bound, so the result is that of looking at each.
/// Errors: Cancelled. Memory: a byte (four where counts are large) a cell and replicate, in portions of 256 MB.
Result<std::vector<double>> replicateMaxima(const MaximaRequest& request, Progress& progress);

}  // namespace leeward::analysis
