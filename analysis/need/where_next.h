#pragma once
/// The heart in one call: states, effort, expected unmet, ranking and reasons, for a record as of its day.
#include "analysis/coverage/states.h"
#include "analysis/need/because.h"
#include "analysis/need/rank.h"
#include "analysis/need/unmet.h"

namespace leeward::analysis {

struct WhereNextRequest {
  UnmetOptions unmet;  ///< its level is the level of everything
  RankOptions rank;
  Outing outing;
};

struct WhereNext {
  Coverage coverage;
  Effort effort;
  UnmetEstimate unmet;
  Ranking ranking;
  std::vector<std::string> because;
};

Result<WhereNext> whereNext(const Record& record, const WhereNextRequest& request, Progress& progress);

}  // namespace leeward::analysis
