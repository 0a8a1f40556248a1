#pragma once
/// `apportion`: figures of one set of areas, carried over to another.
#include <string>
#include <vector>

#include "viewer/study/files/derived_figures.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

struct ApportionAreasRequest {
  LayerRequest from, to;
  std::vector<std::string> counts, means;  ///< columns of `from`: at least one
  /// Columns with their margins of error, in the order of counts and then means; "" where one has none. Empty: none has.
  std::vector<std::string> margins;
  LayerRequest points;  ///< source "": by area; else by where these points stand (address points, say); areas stand at a point inside
  std::string weight;   ///< column of `points`: what each stands for (housing units, say); "" = one each
  std::vector<DerivedFigure> derived;  ///< after the figures
  bool with_reliability = false;       ///< then NAME_cv and NAME_reliability for all that have margins (90 %)
  Reliability reliability;
};

/// What came of one figure.
struct ApportionedFigure {
  std::string column;  ///< its name in the output
  bool is_mean = false;
  double source_total = 0, placed_total = 0;  ///< counts only; the difference lies in no target
  std::size_t missing_sources = 0;
};

struct ApportionedAreas {
  Layer layer;  ///< the columns of `to`, then each figure under its name in `from`, followed by its margin if it has one; then what is derived
  std::vector<ApportionedFigure> figures;
};

/// One row an area of `to`, in order; geometry as read. Counts are split, means averaged (analysis/overlay/apportion.h); margins follow
/// the formulas of the American Community Survey. A target is empty where sources without a value cover over 1 % of it, and where no
/// source lies. Errors: those of reading; InvalidArgument (no figure, a median, margins that don't match, a column named twice);
/// BadData (text where a number is needed, a negative margin, no areas, no points); CrsMismatch.
Result<ApportionedAreas> apportionAreas(const ApportionAreasRequest& request, Progress& progress);

}  // namespace leeward::study
