#pragma once
/// `lasting`: how long until an outcome, when for some it hasn't come yet.
#include <optional>
#include <string>
#include <vector>

#include "analysis/trends/survival.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

struct LastingRequest {
  LayerRequest table;
  std::string from, to, event;  ///< columns: the first day, the last day seen or that of the outcome, and whether it came (or which)
  std::string by;               ///< column whose values part the rows into groups; "" = one group
  bool competing = false;       ///< `event` names one of several outcomes that keep each other from happening
  double level = 0.90;
};

struct LastingAnswer {
  /// A row a time with an outcome. Without competing: by (with --by), days, at_risk, events, without (the share without it after that time), se, low, high.
  /// With competing: by, outcome, days, at_risk, events, share (who came to it by then), se, low, high.
  Layer layer;
  struct Group {
    std::string name;
    std::size_t subjects = 0, events = 0;
    double median_days = 0;  ///< nan if half never came to it; without competing
  };
  std::vector<Group> groups;
  std::optional<analysis::LogRank> difference;  ///< between two groups or more; without competing
  std::vector<RefusedRow> refused;              ///< no day, the last before the first, a mark that is neither yes nor no
};

/// Limits are built on log(-log), so that they stay between 0 and 1. Times are whole days from `from` to `to`: where a change is known only between
/// two visits, `to` says which day stands for it.
/// Errors: those of reading; BadData if no row can be used.
Result<LastingAnswer> lastingTimes(const LastingRequest& request, Progress& progress);

}  // namespace leeward::study
