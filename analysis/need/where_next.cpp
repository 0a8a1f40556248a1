#include "analysis/need/where_next.h"

namespace leeward::analysis {

Result<WhereNext> whereNext(const Record& record, const WhereNextRequest& request, Progress& progress) {
  WhereNext next;
  progress.report(0, "Where we have been");
  LEEWARD_ASSIGN(coverage, coverageOf(record));
  LEEWARD_ASSIGN(effort, plannedEffort(record));
  next.coverage = std::move(coverage);
  next.effort = std::move(effort);
  Progress estimating = progress.part(0.1, 0.3);
  estimating.report(0, "Dogs not yet met");
  LEEWARD_ASSIGN(unmet, expectedUnmet(record, next.effort, request.unmet, estimating));
  next.unmet = std::move(unmet);
  RankOptions rank = request.rank;
  rank.level = request.unmet.level;
  Progress ranking = progress.part(0.3, 1);
  ranking.report(0, "Where next");
  LEEWARD_ASSIGN(ranked, rankBlocks(record, next.effort, next.unmet, request.outing, rank, ranking));
  next.ranking = std::move(ranked);
  LEEWARD_ASSIGN(because, becauseOfAll(next.coverage, next.effort, next.unmet, next.ranking, progress.quiet()));
  next.because = std::move(because);
  return next;
}

}  // namespace leeward::analysis
