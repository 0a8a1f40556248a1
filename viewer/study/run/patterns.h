#pragma once
/// Where finds gather once effort is taken into account: the statistics of the study, and how each is said to a lay reader.
///
/// Everything is of doors whose first dog a planned look found (events) over effective planned doors (exposure), as analysis/coverage/effort.h
/// counts them: callers' reports and return visits go where dogs are known and stay out. Blocks without planned effort take no part.
#include <functional>
#include <string>
#include <vector>

#include "analysis/need/where_next.h"
#include "analysis/patterns/global_patterns.h"
#include "viewer/study/findings.h"
#include "viewer/study/run/book.h"
#include "viewer/study/run/overlays.h"
#include "viewer/study/run/sighting_layers.h"

namespace leeward::study {

using PatternTables = Findings::Patterns;

/// Below so many found doors, or blocks with planned effort, nothing is said but that (our own rule).
inline constexpr std::size_t kLeastForPatterns = 10;

/// The key of patternsOf(), from those of the blocks and the clusters.
std::string patternsKey(const RunContext& context, const std::string& blocks_key, const std::string& cluster_key);

/// Problems of the parts; a part that has too little to go on is empty, and `told` says so. Cancelled.
Result<PatternTables> patternsOf(const RunContext& context, const BlockFacts& facts, const analysis::WhereNext& found, const analysis::Record& record, const SightingLayers& sighted, Progress progress);

/// Five products of one computation, which is made if any of them is stale.
Result<PatternTables> patternProducts(Steps& steps, const std::string& key, Progress progress, const std::function<Result<PatternTables>(Progress&)>& make);

/// What the sentences are made of.
struct PatternFacts {
  const BlockFacts& facts;
  double level = 0.90;
  std::size_t looked = 0;                ///< blocks with planned effort
  double found_doors = 0, effort = 0;    ///< in all
  analysis::PatternTest even;            ///< Moran's I of the adjusted rates
  std::size_t tested = 0, more = 0, fewer = 0;
  int permutations = 0;
  std::string neighbours;                ///< in words
  std::size_t replicates = 0;
  double theta = 0;                      ///< of the scan's replicates, 0 = Poisson
  double nearby_m = 0;
  std::string not_explained{};           ///< why there is no regression
  analysis::PatternTest left{};          ///< Moran's I of the regression's residuals
};
/// Findings::Patterns::told; `tables` without it.
Table toldPatterns(const PatternFacts& facts, const PatternTables& tables, const Table& clusters);

}  // namespace leeward::study
