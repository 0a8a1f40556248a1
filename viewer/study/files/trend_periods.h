#pragma once
/// `trend`: how a count or a measure changes from period to period.
#include <optional>
#include <string>
#include <vector>

#include "analysis/trends/mann_kendall.h"
#include "analysis/trends/poisson_trend.h"
#include "shared/base/dates.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

struct TrendRequest {
  LayerRequest table;
  std::string when, value;  ///< columns
  std::string by;           ///< column whose values part the rows into series; "" = one series
  std::string exposure;     ///< column; "" = values are not divided
  Every every = Every::Quarter;
  bool by_season = false;   ///< the same month or quarter of different years is compared
  double level = 0.90;
};

/// One series over all its periods.
struct Trend {
  std::string name;  ///< the value of --by, "" without
  analysis::MannKendall kendall;
  std::optional<analysis::SeasonalKendall> seasonal;  ///< with by_season
  analysis::SenSlope sen;                             ///< per period; with by_season per year, without interval
  std::optional<analysis::PoissonTrend> poisson;      ///< change a period; of whole counts alone
};

struct TrendAnswer {
  /// A row a period from the first to the last of all series: by (with --by), period, first_day, value (the sum of the rows' values), exposure and
  /// rate (with exposure), low, high (Garwood, of whole counts; of the rate with exposure), then the same in each row of a series: mk_s, mk_z,
  /// mk_p, sen_slope, change, change_low, change_high.
  Layer layer;
  std::vector<Trend> trends;
  std::vector<RefusedRow> refused;
};

/// Rows of a period are added up. A period without rows counts 0, since nothing was written of it; with exposure it is a gap.
/// Errors: those of reading; InvalidArgument for seasons of whole years; BadData without a day, for values that are no numbers, for exposure
///         below 0, for spans of over 5,000 periods.
Result<TrendAnswer> trendOfPeriods(const TrendRequest& request, Progress& progress);

}  // namespace leeward::study
