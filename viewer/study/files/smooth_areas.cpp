#include "viewer/study/files/smooth_areas.h"

#include <cmath>
#include <limits>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/rates/empirical_bayes.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
Result<FileAnswer> smoothAreas(const SmoothAreasRequest& request, Progress& progress) {
  if (request.local) LEEWARD_TRY(neighbourKind(request.neighbours.kind));
  LEEWARD_ASSIGN(areas, readInput(request.areas, progress));
  LEEWARD_ASSIGN(events, needNumbers(areas.table, request.events, request.areas.source, "--events", true));
  LEEWARD_ASSIGN(exposure, needNumbers(areas.table, request.exposure, request.areas.source, "--exposure", true));
  std::vector<double> raw, low, high, smoothed;
  if (request.by == "gamma-poisson" && !request.local) {
    LEEWARD_ASSIGN(rates, analysis::gammaPoisson(events, exposure, analysis::GammaFit::MaximumLikelihood, request.level));
    raw = std::move(rates.raw), low = std::move(rates.low), high = std::move(rates.high), smoothed = std::move(rates.smoothed);
  } else if (request.by == "marshall") {
    analysis::MarshallRates rates;
    if (request.local) {
      LEEWARD_ASSIGN(lists, neighbourLists(areas, request.areas.source, request.neighbours, progress));
      areas.remarks.insert(areas.remarks.end(), lists.remarks.begin(), lists.remarks.end());
      LEEWARD_ASSIGN(found, analysis::marshallLocal(events, exposure, lists.neighbours));
      rates = std::move(found);
    } else {
      LEEWARD_ASSIGN(found, analysis::marshallGlobal(events, exposure));
      rates = std::move(found);
    }
    raw = std::move(rates.raw), smoothed = std::move(rates.smoothed);
    low.assign(raw.size(), std::numeric_limits<double>::quiet_NaN());
    high = low;
  } else {
    return Problem{ProblemCode::InvalidArgument, request.local ? "the local form is Marshall's" : fmt::format("\"{}\" is no way to smooth", request.by), "--by",
                   "Use marshall (with or without --local) or gamma-poisson"};
  }
  FileAnswer answer;
  for (std::size_t row = 0; row < areas.rows(); ++row) {
    if (std::isnan(events[row]) || std::isnan(exposure[row])) {
      answer.refused.push_back(refusedRow(areas.table, row, std::isnan(events[row]) ? request.events : request.exposure, "no number"));
    }
  }
  addColumns(areas, TableMaker{}.reals("rate", raw).reals("rate_low", low).reals("rate_high", high).reals("smoothed", smoothed).done());
  answer.layer = std::move(areas);
  return answer;
}

}  // namespace leeward::study
